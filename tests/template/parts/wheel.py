"""The check of `pages/wheel.py` as plain Python; the sheet itself is in `chain.py`."""

SITES = {}
STOP = {"Drag of bearings, iron and air, of the jet's power": {"windage": 20.0}}
GOOD = {"Drag of bearings, iron and air, of the jet's power": {"windage": 0.2, "bearing_drag": 0.02}}


def expected(v, r, tables):
    """Nothing beyond `chain.py`."""


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    drags = r["ledger_bearings"] + r["ledger_iron"] + r["ledger_windage"]
    return [(100 * drags / r["jet_power"] if r["jet_power"] > 0 else 0.0, 10, 30, False)]

"""The sheet of `pages/as_tested.py` as plain Python."""

import hydrofunc as hf

from .diagnosis import ITEMS, asked

SITES = {}  # those of diagnosis.py
STOP = {}
GOOD = {}


def section_roughness(v, r, section, roughness):
    """Of section 2 or 3, where that of the first is `roughness`.

    In proportion to the plan, up to a twentieth of the bore.
    """
    planned, bore = v[f"roughness_{section}"] or 0.0, v[f"bore_{section}"] or 0.0
    rougher = roughness / r["roughness_used"] if r["roughness_used"] > 0 else 1.0
    return min(planned * rougher, max(planned, bore / 20))


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    planned, question = v | r, asked(v, r)
    question.pop("readings"), question.pop("uncertainties"), question.pop("gauge_height")
    rows, found = [], {}
    for (item, cell), (estimate, spread) in zip(ITEMS.items(), ((row[0], row[1]) for row in tables["estimates"])):
        most = {"velocity_coefficient": 1.0, "alignment": 1.0, "fittings": 1000.0}.get(item)
        tested = min(most, estimate) if most and estimate != "" else estimate
        found[item] = planned[cell] if tested == "" else tested
        basis = found[item] if v["basis"] == "as tested" else planned[cell]
        rows.append([planned[cell], tested, spread, found[item], basis, estimate])
        if most:
            rows[-1].append(most)
        r |= {f"tested_{item}": tested, f"found_{item}": found[item], f"basis_{item}": basis}
    for i in (2, 3):
        tested, found[f"roughness_{i}"], basis = (
            "" if first == "" else section_roughness(v, r, i, first)
            for first in (r["tested_roughness"], found["roughness"], r["basis_roughness"])
        )
        rows.append([v[f"roughness_{i}"] or 0.0, tested, found[f"roughness_{i}"], basis, tested])
        r |= {
            f"tested_roughness_{i}": tested,
            f"found_roughness_{i}": found[f"roughness_{i}"],
            f"basis_roughness_{i}": basis,
        }
        r[f"estimate_roughness_{i}"] = tested
        r[f"roughness_ceiling_{i}"] = max(v[f"roughness_{i}"] or 0.0, (v[f"bore_{i}"] or 0.0) / 20)
    is_read = v["load"] == "battery" and (v["reading_volts"] or 0) > 0
    volts_read = r["estimate_battery_volts"] = v["reading_volts"] if is_read else ""
    volts = r["bank_used"]
    known = volts_read if is_read else volts
    rows.append([volts, volts_read, known, known if v["basis"] == "as tested" else volts, volts_read])
    tables["as_tested"] = rows
    offset = r["gauge_offset"] = -r["water_density"] * r["gravity"] * v["gauge_height"] / 1e5

    plant = question | found
    if is_read:
        plant["battery_volts"] = volts_read

    def call(function, **more):
        names = [argument["name"] for argument in hf.functions()[function.name].record()["arguments"]]
        return function(**{name: value for name, value in (plant | more).items() if name in names})

    flow = call(hf.operating_flow)
    net = call(hf.nozzle_head, flow=flow)
    jet = call(hf.jet_velocity, net_head=net)
    speed, current, volts, watts = (
        call(function, flow=flow, jet_velocity=jet)
        for function in (hf.operating_speed, hf.operating_current, hf.operating_volts, hf.operating_power)
    )
    tested = [
        flow,
        net,
        call(hf.penstock_head, flow=flow),
        call(hf.running_pressure, net_head=net, flow=flow, bore=r["outlet_bore"]) + offset,
        jet,
        call(hf.jet_power, flow=flow, jet_velocity=jet),
        speed,
        current,
        call(hf.rectified_volts, speed=speed, current=current),
        volts,
        watts,
        call(hf.copper_loss, current=current),
        call(hf.cable_loss, current=current),
        100 * watts / hf.hydraulic_power(flow, found["gross_head"], v["water_temperature"], r["gravity"]),
    ]
    r["pipe_takes"] = tested[2] if r["fault_first_number"] == 1 else ""
    designed = """flow net_head lost_head running_pressure jet_velocity jet_power speed current rectifier_volts
    load_volts battery_watts ledger_windings ledger_cable plant_efficiency""".split()
    measured = {
        "flow": r["reading_flow"],
        "running_pressure": v["reading_running"],
        "speed": v["reading_speed"],
        "current": v["reading_amps"],
        "rectifier_volts": v["reading_rectifier"],
        "load_volts": v["reading_volts"],
        "battery_watts": r["reading_watts"],
    }
    tables["as_tested_results"] = []
    for name, value in zip(designed, tested):
        row = [r[name], value]
        if name in measured:
            row.append("" if measured[name] is None else measured[name])
        if name == "running_pressure":
            row.append(offset)
        tables["as_tested_results"].append(row)


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return []

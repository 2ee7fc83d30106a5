"""The sheet of `pages/housing.py` as plain Python."""

import math

import hydrofunc as hf

SITES = {
    "hole in the floor, wheel measured": {
        "outlet": "floor hole",
        "opening_width": 60.0,
        "opening_height": None,
        "wheel_outside": 155.0,
        "flood_level": 20.0,
    },
    "round hole, wheel too low": {
        "outlet": "round hole",
        "opening_width": 40.0,
        "wheel_height": 80.0,
        "blocked_share": 20.0,
    },
}
STOP = {"Air under the cups, most water and outlet part blocked": {"wheel_height": 100.0}}
GOOD = {}


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    r["outside_diameter"] = v["wheel_outside"] or v["pitch_diameter"] + r["cup_width"]
    lowest = r["lowest_cup"] = v["wheel_height"] - r["outside_diameter"] / 2
    r["slot_height"] = v["opening_height"] or 10000
    shape = {"outlet": v["outlet"], "opening_height": r["slot_height"]}
    rows = tables["box_levels"] = []
    for flow in (r["flow"], r["nozzle_thirst"]):
        for blocked in (0, v["blocked_share"]):
            level = hf.outlet_level(
                flow, opening_width=v["opening_width"], blocked_share=blocked, gravity=r["gravity"], **shape
            )
            rows.append([flow, blocked, level + v["flood_level"], lowest - level - v["flood_level"]])
    r["worst_level"] = max(row[2] for row in rows)
    r["worst_clearance"] = min(row[3] for row in rows)
    room = r["water_room"] = lowest - v["wanted_clearance"] - v["flood_level"]
    r["opening_needed"] = (
        hf.outlet_width(
            r["nozzle_thirst"], water_level=room, blocked_share=v["blocked_share"], gravity=r["gravity"], **shape
        )
        if room > 0
        else "set the wheel higher"
    )
    along = r["cup_speed"] = v["cup_friction"] * r["jet_velocity"] * (1 - r["speed_ratio"])
    turn = math.radians(v["deflection"])
    forward = r["leaving_forward"] = r["speed_ratio"] * r["jet_velocity"] + along * math.cos(turn)
    r["leaving_aside"] = along * math.sin(turn)
    r["leaving_speed"] = math.hypot(forward, r["leaving_aside"])
    r["splash_height"] = r["leaving_speed"] ** 2 / (2 * r["gravity"])
    r["stopped_speed"] = v["cup_friction"] * r["jet_velocity"]


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    return [(r["worst_clearance"], 30, 0, True)]

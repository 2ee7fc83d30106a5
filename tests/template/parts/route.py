"""The sheet of `pages/route.py` as plain Python. Its decisions are held by tests/template/test_pipe_decisions.py."""

import hydrofunc as hf
from hydrofunc.template.pages import route

POINTS = range(1, 41)


def _route(*points, **more):
    """Inputs of a route that has these (chainage, level) pairs and no others."""
    changes = dict.fromkeys([f"{what}_{i}" for i in POINTS for what in ("point", "chainage", "level")])
    for i, (chainage, level) in enumerate(points, start=1):
        changes |= {f"chainage_{i}": chainage, f"level_{i}": level}
    return changes | {"nozzle_level": 0.0} | more


HUMP = _route((0.0, 63.0), (40.0, 61.0), (110.0, 61.5), (180.0, 25.0), (420.0, 0.0))
SITES = {
    "no route": _route(),
    "route over a hump, high up": HUMP | {"altitude": 3200.0},
    "one point alone": _route((100.0, 30.0)),
    "route with bad rows": _route(
        (0.0, 62.5),
        (60.0, None),
        (None, 55.0),
        (100.0, 40.0),
        (90.0, 42.0),
        (150.0, 45.0),
        (None, None),
        (200.0, 20.0),
        (4200.0, 10.0),
        (300.0, 5000.0),
        (410.0, 4.0),
        (425.0, 0.0),
    ),
    "route that never falls": _route((20.0, 70.0), (50.0, 70.0), (100.0, 64.0), (200.0, 64.0)),
    "route through three sections": _route(
        (0.0, 62.0), (420.0, 40.0), (500.0, 30.0), (570.0, 12.0), (600.0, 16.0), (610.0, 0.0)
    )
    | {
        "length_2": 150.0,
        "bore_2": 26.0,
        "roughness_2": 0.007,
        "length_3": 40.0,
        "bore_3": 20.4,
        "roughness_3": 0.001,
        "section_rating_1": 2.0,
        "section_rating_2": 6.0,
        "suction_margin": 0.0,
        "nozzle": 5.0,
    },
    "route with level stretches": _route(
        (0.0, 60.0),
        (20.0, 50.0),
        (40.0, 50.0),
        (50.0, None),
        (60.0, 40.0),
        (80.0, 40.0),
        (100.0, 45.0),
        (110.0, 45.0),
        (115.0, None),
        (120.0, 45.0),
        (140.0, 48.0),
        (160.0, 48.0),
        (170.0, 48.0),
        (180.0, 20.0),
        (420.0, 20.0),
    ),
    "dry months on a long dip": _route(
        (5.0, 62.5), (60.0, 50.0), (100.0, 54.0), (160.0, 40.0), (200.0, 52.0), (300.0, 20.0), (420.0, 0.0)
    )
    | {"bucket_seconds": 60.0},
    "dry months, no route": _route() | {"bucket_seconds": 60.0},
    "route full to the last row": _route(*((10.4 * i, 62.0 - 1.5 * i + 3.0 * (i % 3)) for i in range(40))),
}
STOP = {
    "Route rows that cannot be used (1: only one row)": {"level_5": None},
    "Suction on the route while water flows, of what is usable": _route((0.0, 63.0), (300.0, 62.0), (420.0, 0.0)),
    "Pressure at rest along the route, of the rating": {"section_rating_1": 5.0},
    "Gross head, of the length of the pipe": {"pipe_length": 42.0} | _route(),
    "Length of the route and of the pipe differ by": {"pipe_length": 800.0},
    "Fall of the route and gross head differ by": {"level_1": 540.0},
}
GOOD = {}


def answers(rules, known):
    """The answers to the questions of a page's rules, known to those after them; by their columns, and as a list."""
    known = dict(known)
    for column, _, question, _, _ in rules:
        known[column.name] = question.value(known)
    columns = [column for column, *_ in rules]
    said = [known[column.name] for column in columns]
    return known | {columns[0].to(columns[-1]).name: said}, said


def words_of(rules):
    """What the sheet says where one of the rules holds, in their order."""
    return [word for *_, word, _ in rules]


def row_state(known):
    """(whether a row can be used, in words; what was asked for that), from what is known of the row."""
    known = known | {"chainage to level": [known["chainage"], known["level"]]}
    known, said = answers(route.STATE_RULES, known)
    known["state_word"] = route.STATE_WORD.value(known | {"route_reasons": words_of(route.STATE_RULES)})
    return route.STATE.value(known), [*said, known["state_word"]]


def point_says(known):
    """(what the sheet says of a point, what was asked for that), from what is known of it."""
    known = known | {"level_before to level_after": [known["level_before"], known["level_after"]]}
    known, said = answers(route.POINT_RULES, known)
    known["point_word"] = route.POINT_WORD.value(known | {"route_verdicts": words_of(route.POINT_RULES)})
    return route.SAYS.value(known), [*said, known["point_word"]]


def state(v, r, i):
    """Whether row i can be used, in words, and what was asked for that."""
    row = {name: v[f"{name}_{i}"] for name in ("chainage", "level")}
    return row_state(v | r | row | {"chainage_before": v[f"chainage_{i - 1}"] if i > 1 else "chainage, m"})


def kept_when_warm(v, i):
    """Share of its rating that section i keeps: of its own material, where one is given, else as the main pipe."""
    if i > 1 and v[f"length_{i}"] and v[f"material_{i}"]:
        return hf.temperature_factor(v[f"material_{i}"], v["wall_temperature"])
    return v["own_temperature_factor"] or hf.temperature_factor(v["pipe_material"], v["wall_temperature"])


def expected(v, r, tables):
    """Adds the named results to `r` and the table rows to `tables`."""
    temperature, g = v["water_temperature"], r["gravity"]
    two, three = v["length_2"] or 0.0, v["length_3"] or 0.0
    more = {
        f"{what}_{i}": v[f"{what}_{i}"] for i in (2, 3) for what in ("length", "bore") if v[f"{what}_{i}"] is not None
    }
    rough = {f"roughness_{i}": v[f"roughness_{i}"] for i in (2, 3) if v[f"roughness_{i}"] is not None}
    water_level = r["water_level"] = v["nozzle_level"] + r["gross_head"]
    whole = r["whole_length"] = v["pipe_length"] + two + three
    for i in (1, 2, 3):
        r[f"rating_used_{i}"] = (v[f"section_rating_{i}"] or v["pipe_rating"]) * kept_when_warm(v, i)
    top = v["altitude"] + r["gross_head"]
    r["full_suction"] = hf.available_suction(top, temperature, g)
    r["usable_suction"] = hf.available_suction(top, temperature, g, v["suction_margin"])

    points = {}
    for i in POINTS:
        if state(v, r, i)[0] != "used":
            continue
        chainage, level = v[f"chainage_{i}"], v[f"level_{i}"]
        x = min(chainage, whole)
        lost = hf.lost_head_at(
            x,
            r["flow"],
            v["pipe_length"],
            r["bore_used"],
            r["roughness_used"],
            r["fittings_k"],
            temperature,
            g,
            **more,
            **rough,
        )
        bore = hf.bore_at(x, v["pipe_length"], r["bore_used"], **more)
        moving = hf.velocity_head(r["flow"], bore, g) if chainage > 0 else 0.0
        over = water_level - lost - moving - level
        rest = hf.gauge_pressure(water_level - level, temperature, g)
        rating = route.RATING_THERE.value(v | r | {"chainage": x})
        points[i] = {
            "row": i,
            "on_pipe": x,
            "section": 1.0 + (x > v["pipe_length"]) + (x > v["pipe_length"] + two),
            "chainage": chainage,
            "level": level,
            "lost": lost,
            "moving": moving,
            "over": over,
            "rest": rest,
            "share": max(0.0, 100 * rest / rating),
        }
    # From the nozzle up: the water stands as high as what lies below asks for, but not below the pipe.
    line, below = v["nozzle_level"], None
    for point in reversed(points.values()):
        full = point["over"] + point["level"]
        line = full - r["unused_head"] if below is None else line + full - below
        line, below = min(full, max(point["level"], line)), full
        point["line"], point["running"] = line, hf.gauge_pressure(line - point["level"], temperature, g)
    r["route"] = points
    r["nozzle_line"] = v["nozzle_level"] + r["net_head"] - hf.velocity_head(r["flow"], r["outlet_bore"], g)
    friction = r["lost_head"] - r["fittings_head"]
    sinks = 1 - (r["nozzle_line"] - v["nozzle_level"]) / (r["gross_head"] - friction) if r["unused_head"] else 0.0
    r["straight_full_from"] = sinks
    told, rows, drawn = [], [], []
    last = {"chainage": 0.0, "level": water_level, "line": water_level, "row": 0.0}
    full_level = water_level - sinks * r["gross_head"]
    full_from = last | {"chainage": sinks * whole, "level": full_level, "line": full_level}
    at_nozzle = last | {"chainage": whole, "level": v["nozzle_level"], "line": r["nozzle_line"]}
    for i in POINTS:
        before = next((points[j]["level"] for j in range(i - 1, 0, -1) if j in points), "")
        level = points[i]["level"] if i in points else before
        others = [j for j in range(i + 1, 41) if j in points and points[j]["level"] != level]
        after = points[others[0]]["level"] if others else ""
        says, asked = state(v, r, i)
        last = here = points.get(i, last)
        names = ("running", "rest", "share", "lost", "moving", "line", "on_pipe", "section", "over")
        running, rest, share, lost, moving, line, on_pipe, section, over = (
            here[name] if i in points else "" for name in names
        )
        known = {"state": says, "level_before": before, "level_after": after, "level": v[f"level_{i}"], "line": line}
        known |= {"rest": rest, "running": running, "share": share, "full_over": over}
        word, doubts = point_says(v | r | known)
        told.append(word)
        rows.append(
            [
                *(running, word, rest, share, lost, moving, line, says, before, after),
                *(*asked, *doubts, on_pipe, section, level, last["row"], over),
                *(max((j for j in points if j < i), default=0), 41 - min(others, default=41)),
                (water_level - v[f"level_{i}"]) / (lost + moving)
                if i in points and min(rest, lost + moving) > 0
                else "",
                float(i),
            ]
        )
        stand_in = 0 if points else min(i - 1, 2)
        shown = (last, full_from, at_nozzle)[stand_in]
        drawn.append([shown["chainage"], shown["level"], water_level, shown["line"], last["row"], float(stand_in)])
    tables["route"], tables["route_lines"] = rows, drawn
    tables["straight"] = [
        [0.0, 0.0, water_level, water_level],
        [sinks, sinks * whole, full_level, full_level],
        [1.0, whole, v["nozzle_level"], r["nozzle_line"]],
    ]
    r["drawn_chainage"], r["drawn_level"] = ([row[column] for row in drawn] for column in (0, 1))
    r["route_foot"] = r["drawn_level"][-1]
    tables["route_sections"] = _sections(v, r)

    used = list(points.values())
    r["route_points"] = len(used)
    r["route_bad"] = sum(row[7] not in ("", "used") for row in rows)
    lowest = min(used, key=lambda point: point["running"], default=None)
    highest = max(used, key=lambda point: point["rest"], default=None)
    r["lowest_running"], r["lowest_running_at"] = (lowest["running"], lowest["chainage"]) if used else ("", "")
    r["highest_rest"], r["highest_rest_at"] = (highest["rest"], highest["chainage"]) if used else ("", "")
    r["worst_suction"] = max(0.0, -lowest["running"]) * 1e5 / (r["water_density"] * g) if used else ""
    r["most_of_rating"] = max(point["share"] for point in used) if used else ""
    r["points_above_line"] = sum(point["running"] < -v["route_suction_least"] for point in used)
    r["vent_points"], r["drain_points"] = told.count("vent here"), told.count("drain here")
    r["route_end"] = max((point["chainage"] for point in used), default=0.0)
    several = len(used) > 1
    r["route_length_off"] = 100 * (r["route_end"] / whole - 1) if several else ""
    r["route_fall"] = used[0]["level"] - used[-1]["level"] if several else ""
    r["route_fall_off"] = 100 * (r["route_fall"] / r["gross_head"] - 1) if several else ""


def _sections(v, r):
    """The rows of the table of sections."""
    rows, begin, lost = [], 0.0, r["fittings_head"]
    for i in (1, 2, 3):
        length = v["pipe_length"] if i == 1 else v[f"length_{i}"] or 0.0
        bore, rough = (
            (r["bore_used"], r["roughness_used"])
            if i == 1
            else (v[f"{what}_{i}"] or 0.0 for what in ("bore", "roughness"))
        )
        friction = moving = 0.0
        if length:
            friction = hf.friction_head(r["flow"], length, bore, rough, v["water_temperature"], r["gravity"]) / length
            moving = hf.velocity_head(r["flow"], bore, r["gravity"])
        rows.append([length, begin, begin + length, bore, rough, lost, friction, moving, r[f"rating_used_{i}"]])
        begin, lost = begin + length, lost + friction * length
    return rows


def checks(v, r):
    """(value, good to, stop beyond, whether low is bad) of each row of the module's CHECKS."""
    given, several = r["route_points"] > 0, r["route_points"] > 1
    return [
        (1 + r["route_bad"] if r["route_bad"] else "" if not given else 0 if several else 1, 0, 1, False),
        (0, 0, 0, False),
        (100 * r["worst_suction"] / r["usable_suction"] if given else "", 5, 100, False),
        (r["most_of_rating"] if given else "", 67, 100, False),
        (100 * r["gross_head"] / r["whole_length"], 100, 100, False),
        (abs(r["route_length_off"]) if several else "", 3, 10, False),
        (abs(r["route_fall_off"]) if several else "", 5, 15, False),
    ]

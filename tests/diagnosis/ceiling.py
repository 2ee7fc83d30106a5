"""How often a trouble could be named at all from a test day, whatever the method: a lower bound.

`python -m tests.diagnosis.ceiling field|yard [PLANTS] [SEED]` trains a small neural net, for the yard also trees where
lightgbm is installed (extra [referee]), on test days of the second or the third simulator. It scores them as
`field_score` or `yard_score` scores the diagnosis, on plants which they have not seen. They have learnt how that
simulator scatters and how often it draws every trouble, so they may do better than a method that has not. What they
name, the readings tell. With more plants they get better: the true ceiling is higher. They get what the diagnosis gets:
plan, readings, their limits, looks, and what is missing. It takes about 0.1 s a plant of the field, 0.02 s of the yard,
and is worth little below 5000 plants; scores move by one or two in a hundred from one training to the next.

Printed are scores with readings left out as people do, and with nothing left out; for the field those of the diagnosis
beside them. There the net ranks the faults by the chance that each is there, alone or as one of two.

Of the yard's days no answer is best for all aims at once. Where one plant in eighteen is healthy, who names most days
right calls half of the healthy ones ill. So there are columns: healthy plants count once, 3, 10 and 30 times ("first,
healthy x 10"); hidden troubles count too, as in the score of sureness ("sureness"); two at once and troubles without a
name count too ("whole deck").
"""

import argparse
import contextlib
import itertools
import math

import numpy as np

try:
    import lightgbm
except ImportError:  # of the extra [referee]
    lightgbm = None

from hydrofunc.physics import diagnosis
from tests.simulator import field as simulator
from tests.simulator import yard

from . import field_score, yard_score

AT_ONCE = 250  # plants
VARIANTS = 6  # test days of one plant: other errors of meters, other readings left out
HIDDEN, DROPPED, DECAY, BATCH, EPOCHS = 512, 0.35, 0.002, 512, 20  # of the net: choices by trial
ROUNDS = 100  # of the trees
TREES = {  # choices by trial
    "objective": "multiclass",
    "learning_rate": 0.08,
    "num_leaves": 15,
    "min_data_in_leaf": 30,
    "lambda_l2": 5,
    "feature_fraction": 0.3,
    "bagging_fraction": 0.7,
    "bagging_freq": 1,
    "max_bin": 63,
    "num_threads": 1,
    "verbose": -1,
}
FAULTS, TWO = len(diagnosis.FAULTS), field_score.TWO_OR_NONE
SHARPER = 8.0  # small ratios count: beside a feature the net gets the hyperbolic tangent of so many times it


def days(seed, numbers):
    """[(case, readings of a plant as planned, nothing left out)]: VARIANTS usual days of each, then complete ones."""
    plants = []
    for number in numbers:
        plan_dice, truth_dice, trouble_dice = (np.random.default_rng([seed, number, part]) for part in (1, 2, 3))
        plan, base = simulator.invent(plan_dice)
        truth, way = simulator._true_site(plan, base, truth_dice, 1.0), simulator._way(plan, base, plan_dice)
        day = simulator._Day(plan, base, truth, simulator._good_meters(), way)
        plants.append((number, day, simulator._add_troubles(day, trouble_dice)))
    as_planned = simulator.steady(*zip(*((day.plan, day.base, day.how) for _, day, _ in plants)))
    true = simulator._measure([day for _, day, _ in plants])
    result = []
    for (number, day, names), said, plan in zip(plants, true, as_planned, strict=True):
        for complete in (False, True):
            with _nothing_left_out() if complete else contextlib.nullcontext():
                for variant in range(VARIANTS):
                    dice = np.random.default_rng([seed, number, 4, complete, variant])
                    result.append((simulator._case(number, day, names, said, dice, 1.0), plan, complete))
    return result


@contextlib.contextmanager
def _nothing_left_out():
    """The simulator's person takes every reading and looks at everything."""
    usual = simulator._left_out, simulator._look
    simulator._left_out = lambda dice: set()
    simulator._look = lambda answer, dice, wrong, looked: usual[1](answer, dice, wrong, 1.0)
    try:
        yield
    finally:
        simulator._left_out, simulator._look = usual


def _ln(value):
    return np.log(np.maximum(value, 1e-4))


def features(plan, read, stated, seen, healthy):
    """What the diagnosis is told of days, as ratios to the plan: a day a row, NaN where it is missing. SI units.

    `plan` as in `field`, with length of the whole pipe, bore above the nozzle and number of sections; `read` and
    `stated` (readings and their limits) by name, `seen` the answers to the looks; `healthy` what plants just as planned
    read.
    """
    speed, volts, amps = (healthy[f"{what}_a"] for what in ("speed", "volts", "amps"))
    ways = np.where(plan["connection"] == "delta", 3, 1)
    copper = 2 * plan["phase_resistance"] / ways
    overlap = 3 * plan["pole_pairs"] * plan["phase_inductance"] / math.pi / ways
    torque = (healthy["rectifier_a"] + 2 * plan["diode_drop"] + copper * amps) * amps / speed
    emf = (healthy["rectifier_a"] + 2 * plan["diode_drop"] + (copper + overlap * speed) * amps) / speed
    loss, radius = healthy["static"] - healthy["running"], plan["pitch_diameter"] / 2
    flow, gravity = healthy["flow"], plan["gravity"]
    row = [_ln(plan[name]) for name in ("gross_head", "nozzle", "pitch_diameter", "fittings", "length", "bore")]
    row += [plan[name] for name in ("pole_pairs", "alignment", "cup_friction", "contraction", "velocity_coefficient")]
    row += [plan["jets"], _ln(1e3 * plan["roughness"]), plan["temperature"] / 300]
    row += [plan["sections"], ways, volts, _ln(amps), _ln(1e3 * flow)]
    row += [plan[name] / torque for name in ("bearing_drag", "iron_drag")] + [plan["windage"] * speed**2 / torque]
    row += [copper * amps / volts, overlap * speed * amps / volts, plan["cable_resistance"] * amps / volts]
    row += [plan["diode_drop"] / volts, plan["load"] == "resistor", plan["load"] == "controller"]
    row += [loss / healthy["static"], _ln(flow / plan["available_flow"]), plan["gauge_height"] / plan["gross_head"]]
    row += seen
    for name in simulator.READINGS:
        of_a = healthy[f"{name[:-2]}_a" if name.endswith("_b") else name]
        row += [_ln(stated[name] / abs(of_a)), _ln(read[name] / of_a)]
        if not name.endswith("_b"):  # which load B was is not told
            row += [(read[name] - healthy[name]) / stated[name]]

    def head(pressure):
        return pressure / (1000 * gravity) + plan["gauge_height"]

    def through(pressure, opening):
        area = plan["jets"] * plan["contraction"] * plan["velocity_coefficient"] * math.pi / 4 * opening**2
        return area * np.sqrt(2 * gravity * np.maximum(head(pressure), 0.01))

    planned = through(healthy["running"], plan["nozzle"])
    flows = [read["flow"], *(through(read["running"], d) / planned * flow for d in (plan["nozzle"], read["nozzle"]))]
    row += [_ln(flows[0] / other) for other in flows[1:]]
    row += [_ln(head(read[name]) / head(healthy[name])) for name in ("static", "running")]
    for above in (read["static"], healthy["static"]):
        lost = above - read["running"]
        row += [(lost - loss * (q / flow) ** 1.9) / healthy["static"] for q in (flow, *flows)]
        row += [_ln(lost / loss) - 1.9 * _ln(q / flow) for q in flows]
    jet = plan["velocity_coefficient"] * np.sqrt(2 * gravity * np.maximum(head(read["running"]), 0.01))
    turn = plan["alignment"] * (1 - plan["cup_friction"] * np.cos(plan["deflection"]))
    pulls, emfs = [], []
    for load in "ab":
        v, i, w, bridge = (read[f"{what}_{load}"] for what in ("volts", "amps", "speed", "rectifier"))
        cable = i * plan["cable_resistance"]
        excess = bridge - v - cable
        row += [excess / volts, excess / np.hypot(stated[f"rectifier_{load}"], 0.005 * volts)]
        row += [_ln((bridge - v) / np.maximum(i, 1e-6) / plan["cable_resistance"]), _ln(v * i / (volts * amps))]
        row += [_ln(v / np.maximum(i, 1e-4) / volts * amps)]
        for inner in (v + cable, np.where(np.isnan(bridge), v + cable, bridge)):
            of_emf = inner + 2 * plan["diode_drop"] + (copper + overlap * w) * i
            emfs.append(np.where(w > 0, of_emf / w / emf, math.nan))
            # Where no speed was read the emf tells it.
            without = (inner + 2 * plan["diode_drop"] + copper * i) / emf
            for turning in (w, without):
                pull = (inner + 2 * plan["diode_drop"] + copper * i) * i / turning
                pull = np.where(turning > 0, pull, math.nan)
                drag = plan["bearing_drag"] + plan["iron_drag"] + plan["windage"] * turning**2
                for q in (flow, *flows):
                    ideal = turn * 1000 * q * (jet - turning * radius) * radius - drag
                    pulls.append((ideal - pull) / torque)
                    row += [_ln(pull / np.maximum(ideal, 1e-3 * torque))]
                row += [turning * radius / jet, _ln(pull / torque)]
    half = len(pulls) // 2
    row += [*pulls, *(b - a for a, b in zip(pulls[:half], pulls[half:], strict=True))]
    open_emf = read["open_constant"] / healthy["open_constant"]
    row += [_ln(e) for e in emfs] + [_ln(e / open_emf) for e in emfs] + [_ln(emfs[3] / emfs[1])]
    row += [e * plan["pole_pairs"] for e in (*emfs, open_emf)]
    row += [_ln(read[f"{what}_b"] / np.maximum(read[f"{what}_a"], 1e-6)) for what in ("speed", "volts", "amps")]
    return np.stack([np.broadcast_to(column, flow.shape) for column in row], axis=1).astype(np.float32)


def _of_field(cases, as_planned):
    """`features` of cases of the second simulator."""
    plans = [case.plan for case in cases]
    plan = {name: np.array([p[name] for p in plans]) for name in plans[0] if not isinstance(plans[0][name], list)}
    plan |= {"length": np.array([sum(p["length"]) for p in plans]), "bore": np.array([p["bore"][-1] for p in plans])}
    plan |= {"roughness": np.array([p["roughness"][0] for p in plans])}
    plan |= {"sections": np.array([len(p["bore"]) for p in plans])}
    read, stated = (
        {name: np.array([getattr(case, what).get(name, math.nan) for case in cases]) for name in simulator.READINGS}
        for what in ("readings", "stated")
    )
    seen = [np.array([case.seen[look] for case in cases]) for look in ("intake_overflows", "screen_clean")]
    healthy = {name: np.array([values[name] for values in as_planned]) for name in simulator.READINGS}
    with np.errstate(all="ignore"):
        return features(plan, read, stated, seen, healthy)


class Trees:
    """Gradient boosting of decision trees (G. Ke and others, LightGBM, NeurIPS 2017; from memory): stronger than the
    net where days are few. Its answers: a distribution over `many` cells.
    """

    def __init__(self, rows, cells, many, seed):
        self.many = many
        data = lightgbm.Dataset(rows, cells)
        self.model = lightgbm.train(TREES | {"num_class": many, "seed": seed}, data, ROUNDS)

    def chances(self, rows):
        """Chance of every cell."""
        return self.model.predict(rows).reshape(len(rows), self.many)


# Days of the third simulator. A cell is what its score asks of a day: well, a single trouble that can be seen in the
# readings, one that is hidden there, two at once, or a trouble that no sheet has a name for.
PAIR, OTHER = 2 * TWO - 1, 2 * TWO
CELLS = OTHER + 1
ROWS = (*yard.TROUBLES, yard.PAIR)
READ_IN = np.array([1e5, 1e5, 1e-3, *[math.pi / 30, 1, 1, 1] * 2, 30 / math.pi / 1000, 1, 1e-3])  # SI units of readings
PLANNED_IN = {  # SI units of a plan, where they are others
    **dict.fromkeys(("nozzle", "pitch_diameter", "bore", "bore_2", "roughness", "phase_inductance"), 1e-3),
    "available_flow": 1e-3,
    "deflection": math.pi / 180,
    "phase_volts": 30 / math.pi / 1000,
    "windage": (30 / math.pi / 1000) ** 3,
}


def yard_deck(seed, count, variants=VARIANTS, rows=ROWS):
    """Plants, `count` of each row, read several times: [(days of a row, what its plants read as planned, complete)].

    The first days of a row are those of `yard.day_row`; then come days of the same plants by other people with other
    meters, and as many with every reading taken. All plants are calculated at once, as that is faster.
    """
    begun = [_begin(seed, name, count) for name in rows]
    values = yard.run(yard.joined([one[part] for part in ("p", "healthy", "planned") for one in begun]))
    pieces = [
        {name: value[..., k : k + count] for name, value in values.items()}
        for k in range(0, 3 * len(rows) * count, count)
    ]
    result = []
    for k, one in enumerate(begun):
        true, well, as_planned = pieces[k :: len(rows)]
        p, m = one["p"], one["m"]
        then = yard.water(p | {"nozzle": p["nozzle"] * m["nozzle_then"]})
        earlier = m["nozzle_then"] != 1
        true["running"] = np.where(earlier, then["running"], true["running"])
        true["flow"] = np.where(earlier, then["flow"] * 1000, true["flow"])
        for variant in range(2 * variants):
            complete = variant >= variants
            result.append((_read(rows[k], one, true, well, complete), as_planned, complete))
    return result


def _begin(seed, name, count):
    """Plants of a row, as `yard.day_row` begins them."""
    rng = np.random.default_rng([seed, ROWS.index(name)])
    plan, design = yard.plans(rng, count, off_best=name == "load: by design")
    if name == "battery full":
        plan["load"] = np.where(plan["load"] == "resistor", "battery", plan["load"])
        plan["load_resistance"] = np.zeros(count)
    healthy = yard.build(rng, plan, design)
    p, m = dict(healthy), yard.fresh_meters(count)
    numbers, change = yard.TROUBLES.get(name, ((), None))
    right = [numbers] * count
    if name == yard.PAIR:
        right = yard.two_at_once(rng, p, m, plan, design)
    elif change:
        change(rng, p, m, plan, design)
    planned = _as_planned(plan, design)
    return {"rng": rng, "plan": plan, "healthy": healthy, "p": p, "m": m, "right": right, "planned": planned}


def _read(name, one, true, well, complete):
    """A test day of each of these plants, as `yard.day_row` ends them."""
    rng, plan, m, count = one["rng"], one["plan"], one["m"], len(one["right"])
    person = np.array(yard.PEOPLE)[np.arange(count) % 3]
    taken = np.ones((count, len(yard.READINGS)), bool) if complete else yard.taken_readings(rng, person)
    gauge = yard.gauges(rng, plan, person)
    fine = gauge | {"class": 0 * gauge["range"], "range": 0 * gauge["range"]}
    truly = yard.read(rng, true, plan, m, fine, worse=0)
    good = yard.read(rng, well, plan, yard.fresh_meters(count), fine, worse=0)
    visible = np.any((np.abs(truly - good) > yard.stated(plan, good, gauge)) & taken, axis=1)
    if name == "load: by design":
        visible = taken.sum(axis=1) > 2
    readings = np.where(taken, yard.read(rng, true, plan, m, gauge), 0.0)
    uncertainties = np.where(taken, yard.stated(plan, readings, gauge), 0.0)
    return yard.Days(plan, readings, uncertainties, person, np.repeat([name], count), one["right"], visible)


def _as_planned(plan, design):
    """Plants just as planned. What a person does not know (the bank's own ohms, load B, the drill) is usual."""
    p = yard.build(np.random.default_rng(0), plan, design, scatter=0)
    battery, resistor = plan["load"] == "battery", plan["load"] == "resistor"
    inner = 0.031 * plan["battery_volts"]  # lost in the bank
    p["after_ohms_a"] = np.where(battery, inner / design["amps"], p["after_ohms_a"])
    p["bus_volts_a"] = np.where(battery, plan["battery_volts"] - inner, p["bus_volts_a"])
    p["after_ohms_b"] = p["after_ohms_a"] * np.where(resistor, 0.6, 1)
    heavy = np.where(battery, p["bus_volts_a"] - 1.65 * inner, 0.84 * p["bus_volts_a"])
    p["bus_volts_b"] = np.where(resistor, 0.0, heavy)
    return p | {"drill_turn": np.minimum(60.0, design["turn"])}


def _of_yard(days, as_planned):
    """`features` of days of the third simulator."""
    plan = {name: value * PLANNED_IN[name] if name in PLANNED_IN else value for name, value in days.plan.items()}
    two = plan["length_2"] > 0
    plan |= {"length": plan["length"] + plan["length_2"], "bore": np.where(two, plan["bore_2"], plan["bore"])}
    plan |= {"sections": 1 + two, "gravity": yard.GRAVITY, "temperature": plan["temperature"] + 273.15}
    taken = np.where(days.uncertainties > 0, 1.0, math.nan)
    read, limits = days.readings * taken, days.uncertainties * taken * math.sqrt(3)
    told, untold = simulator.READINGS[: len(READ_IN)], simulator.READINGS[len(READ_IN) :]
    healthy = {name: as_planned[theirs] * unit for name, theirs, unit in zip(told, yard.READINGS, READ_IN)}
    read, limits, seen = (
        dict(zip(told, (read[:, : len(READ_IN)] * READ_IN).T, strict=True)),
        dict(zip(told, (limits[:, : len(READ_IN)] * READ_IN).T, strict=True)),
        list(read[:, len(READ_IN) :].T),
    )
    for name in untold:  # the speed of the open volts: this referee has to do without
        healthy[name] = np.ones(len(taken))
        read[name], limits[name] = np.full((2, len(taken)), math.nan)
    with np.errstate(all="ignore"):
        return features(plan, read, limits, seen, healthy)


def _yard_answers(days):
    """(cells of days, single troubles that are there)."""
    present = np.zeros((len(days.row), TWO - 1), dtype=np.float32)
    cells = np.zeros(len(days.row), dtype=int)
    for k, (row, numbers, visible) in enumerate(zip(days.row, days.right, days.visible, strict=True)):
        present[k, [number - 1 for number in numbers if 0 < number < TWO]] = 1
        cells[k] = numbers[0] if visible or row == "none" else TWO - 1 + numbers[0]
    cells[days.row == yard.PAIR] = PAIR
    cells[np.isin(days.row, yard.UNNAMEABLE)] = OTHER
    return cells, present


def _softmax(logs):
    share = np.exp(logs - logs.max(axis=1, keepdims=True))
    return share / share.sum(axis=1, keepdims=True)


class Net:
    """Two hidden layers with dropout, trained by Adam (Kingma and Ba, 2015; from memory), averaged over its last steps.

    Its answers: a distribution over `many` cells (faults, for one), and the chance of every single fault to be there.
    """

    def __init__(self, rows, cells, present, many, dice):
        self.many = many
        flat = np.arcsinh(rows)
        flat = np.where(np.isnan(flat).all(axis=0), 0.0, flat)  # what nobody reads on any day tells nothing
        self.mean, self.scale = np.nanmean(flat, axis=0), np.nanstd(flat, axis=0) + 1e-6
        x = self._inputs(rows)
        sizes = (x.shape[1], HIDDEN, HIDDEN, many + present.shape[1])
        weights = []
        for before, after in itertools.pairwise(sizes):
            weights += [dice.normal(0, math.sqrt(2 / before), (before, after)), np.zeros(after)]
        weights = [w.astype(np.float32) for w in weights]
        target = np.concatenate([np.eye(many, dtype=np.float32)[cells], present], axis=1)
        first, second = [np.zeros_like(w) for w in weights], [np.zeros_like(w) for w in weights]
        self.weights = [w.copy() for w in weights]
        steps = EPOCHS * (len(x) // BATCH)
        for step in range(1, steps + 1):
            some = dice.integers(len(x), size=BATCH)
            slopes = self._slopes(weights, x[some], target[some], dice)
            rate = 0.0015 * (1 + math.cos(math.pi * step / steps)) / 2
            for k, slope in enumerate(slopes):
                first[k] += 0.1 * (slope - first[k])
                second[k] += 0.001 * (slope**2 - second[k])
                move = first[k] / (1 - 0.9**step) / (np.sqrt(second[k] / (1 - 0.999**step)) + 1e-7)
                weights[k] -= rate * (move + (DECAY * weights[k] if k % 2 == 0 else 0))
                self.weights[k] += 0.005 * (weights[k] - self.weights[k])

    def _inputs(self, rows):
        flat = np.clip((np.arcsinh(rows) - self.mean) / self.scale, -6, 6)
        parts = np.nan_to_num(flat), np.tanh(SHARPER * np.nan_to_num(rows)), np.isnan(rows)
        return np.concatenate(parts, axis=1).astype(np.float32)

    def _slopes(self, weights, x, target, dice):
        def thinned(layer):
            return layer * (dice.random(layer.shape, dtype=np.float32) > DROPPED) / np.float32(1 - DROPPED)

        one = thinned(np.maximum(x @ weights[0] + weights[1], 0))
        two = thinned(np.maximum(one @ weights[2] + weights[3], 0))
        out = two @ weights[4] + weights[5]
        said = np.concatenate(self._said(out), axis=1)
        back = (said - target) / len(x)
        back_two = back @ weights[4].T * (two > 0) / np.float32(1 - DROPPED)
        back_one = back_two @ weights[2].T * (one > 0) / np.float32(1 - DROPPED)
        pairs = (x, back_one), (one, back_two), (two, back)
        return [slope for layer, change in pairs for slope in (layer.T @ change, change.sum(axis=0))]

    def _said(self, out):
        return _softmax(out[:, : self.many]), (1 + np.tanh(out[:, self.many :] / 2)) / 2

    def chances(self, rows):
        """Chance of every cell, and of every single fault to be there."""
        layer = self._inputs(rows)
        for k in (0, 2):
            layer = np.maximum(layer @ self.weights[k] + self.weights[k + 1], 0)
        return self._said(layer @ self.weights[4] + self.weights[5])


def _answers(cases):
    """(faults by their label, single faults that are there) of cases."""
    present = np.zeros((len(cases), FAULTS), dtype=np.float32)
    for row, case in zip(present, cases, strict=True):
        row[[field_score.FAULT_OF[trouble] for trouble in case.troubles]] = 1
    number = np.array([len(case.troubles) for case in cases])
    return np.where(number == 2, TWO, np.where(number == 0, 0, present.argmax(axis=1))), present[:, 1:TWO]


def scores(cases, chances):
    """Shares by name, as in `field_score`."""
    named = np.argsort(-chances, axis=1, kind="stable")[:, :2]
    good = np.array([[field_score.right(c.troubles, f) for f in two] for c, two in zip(cases, named, strict=True)])
    number = np.array([len(case.troubles) for case in cases])
    meter = np.array([len(case.troubles) == 1 and case.troubles[0].startswith("wrong_") for case in cases])
    sure, error = chances.max(axis=1), 0.0
    for low, high in itertools.pairwise(field_score.BINS):
        inside = (sure >= low) & (sure < high)
        if inside.any():
            error += inside.mean() * abs(good[inside, 0].mean() - sure[inside].mean())
    return {
        "one or none: first": good[number < 2, 0].mean(),
        "one or none: in two": good[number < 2].any(axis=1).mean(),
        "two: one of them, or two": good[number == 2, 0].mean(),
        "wrong meter: first": good[meter, 0].mean(),
        "all well: left alone": good[number == 0, 0].mean(),
        "expected calibration error": error,
    }


def by_trouble(cases, chances):
    """Share named first of each trouble alone."""
    first, result = chances.argmax(axis=1), {}
    for trouble in field_score.FAULT_OF:
        own = [i for i, case in enumerate(cases) if case.troubles == (trouble,)]
        if own:
            result[trouble] = np.mean(first[own] == field_score.FAULT_OF[trouble])
    return result


def field_chances(cells, present):
    """Chance to be right of every name in FAULTS, of the second simulator's days."""
    return np.concatenate([cells[:, :1], present, cells[:, TWO:]], axis=1)


def yard_chances(cells, well=1.0, hidden=0.0):
    """Chance of every name, of one trouble or none; healthy plants and hidden troubles count so many times."""
    chances = np.zeros((len(cells), FAULTS))
    chances[:, :TWO] = cells[:, :TWO]
    chances[:, 0] *= well
    chances[:, 1:TWO] += hidden * cells[:, TWO:PAIR]
    return chances / np.maximum(chances.sum(axis=1, keepdims=True), 1e-12)


def aims(cells, present):
    """Answers of the third simulator's days, by what they are best at."""
    chances = {f"first, healthy x {well}": yard_chances(cells, well) for well in (1, 3, 10, 30)}
    chances["sureness"] = yard_chances(cells, hidden=1.0)
    chances["whole deck"] = np.concatenate([cells[:, :1], present, cells[:, OTHER:]], axis=1)
    return {name: _answer(of) for name, of in chances.items()}


def _answer(chances):
    order = np.argsort(-chances, axis=1, kind="stable")
    return yard_score.Answers(chances, order[:, 0], order[:, 1])


def yard_lines(days, said):
    """Shares by name, in per cent, as `yard_score` says them."""
    lines = {label: float(text.split("of")[0].replace("-", "nan")) for label, text in yard_score.summary(days, said)}
    return lines | {"expected calibration error": yard_score.reliability(days, said)[1]}


def learn(days, rows, trees=True):
    """What has learnt these days of the third simulator: gives, of features, the chance of every cell and every single
    fault. Net and trees together, where trees can be had: the mean of both.
    """
    cells, present = _yard_answers(days)
    net = Net(rows, cells, present, CELLS, np.random.default_rng(1))
    if not trees:
        return net.chances
    grown = Trees(rows, cells, CELLS, 1)

    def chances(unseen):
        of_net, there = net.chances(unseen)
        return (of_net + grown.chances(unseen)) / 2, there

    return chances


def together(parts):
    """(days, features, whether they are complete) of decks."""
    rows = np.concatenate([_of_yard(days, as_planned) for days, as_planned, _ in parts])
    complete = np.concatenate([np.full(len(days.row), whole) for days, _, whole in parts])
    return yard.joined([days for days, *_ in parts]), rows, complete


def _decks(seeds, each, variants):
    return together([part for seed in seeds for part in yard_deck(seed, each, variants)])


def some(days, mask):
    """Days of the mask, as they are scored: without plan and truth."""
    parts = {name: getattr(days, name)[mask] for name in ("readings", "uncertainties", "person", "row", "visible")}
    return yard.Days(plan={}, right=[days.right[k] for k in np.flatnonzero(mask)], **parts)


def print_yard(count, seed):
    """Train on so many plants; print the scores of days that the net has not seen, a quarter as many."""
    each = min(AT_ONCE // 2, max(count // len(ROWS), 4))
    learnt = max(count // (each * len(ROWS)), 1)
    if lightgbm is None:
        print("Without trees: lightgbm is not installed (extra [referee]). The net alone names less.")
    days, rows, _ = _decks(range(seed, seed + learnt), each, VARIANTS // 2)
    chances = learn(days, rows, lightgbm is not None)
    days, rows, complete = _decks(range(seed + learnt, seed + learnt + max(learnt // 4, 1)), each, 1)
    for whole in (False, True):
        here = complete == whole
        these, said = some(days, here), aims(*chances(rows[here]))
        print(f"\n{here.sum()} days, {'nothing' if whole else 'some readings'} left out; per cent: {', '.join(said)}")
        table = [yard_lines(these, answers) for answers in said.values()]
        for label in table[0]:
            print(f"  {label:54s}" + "".join(f"{lines[label]:8.1f}" for lines in table))
        print(
            "By trouble, first column:", *yard_score.by_fault(these, next(iter(said.values()))), sep="\n  ", flush=True
        )


def print_field(count, seed):
    """Train on four fifths of the plants; print the scores of the others."""
    pieces = [range(start, min(start + AT_ONCE, count)) for start in range(0, count, AT_ONCE)]
    split = max(1, len(pieces) * 4 // 5)
    learnt, unseen = ([day for piece in half for day in days(seed, piece)] for half in (pieces[:split], pieces[split:]))
    cases, plans, _ = zip(*learnt, strict=True)
    net = Net(_of_field(cases, plans), *_answers(cases), FAULTS, np.random.default_rng(seed))
    for complete in (False, True):
        cases, plans = zip(*[(case, plan) for case, plan, whole in unseen if whole == complete][::VARIANTS])
        plants = [field_score.planned(case.plan) for case in cases]
        merged = {name: np.array([plant[name] for plant in plants]) for name in diagnosis.PLANT}
        y, u = (np.array(part) for part in zip(*map(field_score.read, cases), strict=True))
        said = diagnosis.diagnose(y, u, **merged).probability, field_chances(*net.chances(_of_field(cases, plans)))
        print(f"\n{len(cases)} days, {'nothing' if complete else 'some readings'} left out: diagnosis, net")
        for score in (scores, by_trouble):
            for name, share in score(cases, said[0]).items():
                print(f"  {name}: {share:.3f}, {score(cases, said[1]).get(name, math.nan):.3f}")


def main():
    """The scores of one simulator."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("simulator", choices=("field", "yard"))
    parser.add_argument("plants", type=int, nargs="?", default=5000)
    parser.add_argument("seed", type=int, nargs="?", default=9001, help="no seed that a score of the diagnosis has")
    choice = parser.parse_args()
    (print_field if choice.simulator == "field" else print_yard)(choice.plants, choice.seed)


if __name__ == "__main__":
    main()

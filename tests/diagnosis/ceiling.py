"""How often a trouble could be named at all from a test day, whatever the method: a lower bound.

`python -m tests.diagnosis.ceiling [PLANTS] [SEED]` trains a small neural net on test days of the second simulator, and
scores it as `field_score` scores the diagnosis, on plants which the net has not seen. The net has learnt how that
simulator scatters and how often it draws every trouble, so it may do better than a method that has not. What it names,
the readings tell. With more plants it gets better: the true ceiling is higher. It gets what the diagnosis gets: plan,
readings, their limits, looks, and what is missing. It takes about 0.1 s a plant, and is worth little below 5000 plants;
scores move by one or two in a hundred from one training to the next.

Printed are the net and the diagnosis, with readings left out as people do, and with nothing left out. The net ranks the
faults by the chance that each is there, alone or as one of two.
"""

import contextlib
import itertools
import math
import sys

import numpy as np

from hydrofunc.physics import diagnosis
from tests.simulator import field as simulator

from . import field_score

AT_ONCE = 250  # plants
VARIANTS = 6  # test days of one plant: other errors of meters, other readings left out
HIDDEN, DROPPED, DECAY, BATCH, EPOCHS = 512, 0.35, 0.002, 512, 20  # of the net: choices by trial
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
    return math.log(max(value, 1e-4)) if value == value else math.nan


def features(case, healthy):
    """What the diagnosis is told of a day, as ratios to the plan; NaN where it is missing. `healthy` is load A's."""
    plan, stated = case.plan, case.stated
    read = {name: case.readings.get(name, math.nan) for name in simulator.READINGS}
    speed, volts, amps = (healthy[f"{what}_a"] for what in ("speed", "volts", "amps"))
    ways = 3 if plan["connection"] == "delta" else 1
    copper = 2 * plan["phase_resistance"] / ways
    overlap = 3 * plan["pole_pairs"] * plan["phase_inductance"] / math.pi / ways
    torque = (healthy["rectifier_a"] + 2 * plan["diode_drop"] + copper * amps) * amps / speed
    emf = (healthy["rectifier_a"] + 2 * plan["diode_drop"] + (copper + overlap * speed) * amps) / speed
    loss, radius = healthy["static"] - healthy["running"], plan["pitch_diameter"] / 2
    flow, gravity = healthy["flow"], plan["gravity"]
    row = [_ln(plan[name]) for name in ("gross_head", "nozzle", "pitch_diameter", "fittings")]
    row += [plan[name] for name in ("pole_pairs", "alignment", "cup_friction", "contraction", "velocity_coefficient")]
    row += [_ln(sum(plan["length"])), _ln(plan["bore"][-1]), len(plan["bore"]), ways, volts, _ln(amps), _ln(1e3 * flow)]
    row += [plan[name] / torque for name in ("bearing_drag", "iron_drag")] + [plan["windage"] * speed**2 / torque]
    row += [copper * amps / volts, overlap * speed * amps / volts, plan["cable_resistance"] * amps / volts]
    row += [
        plan["diode_drop"] / volts,
        plan["load"] == "resistor",
        plan["load"] == "controller",
        loss / healthy["static"],
    ]
    row += [_ln(flow / plan["available_flow"]), plan["gauge_height"] / plan["gross_head"], *case.seen.values()]
    for name in simulator.READINGS:
        row += [_ln(stated[name] / abs(healthy[name])) if name in stated else math.nan]
        if not name.endswith("_b"):  # which load B was is not told
            row += [_ln(read[name] / healthy[name]), (read[name] - healthy[name]) / stated.get(name, math.nan)]

    def head(pressure):
        return pressure / (1000 * gravity) + plan["gauge_height"]

    def through(pressure, opening):
        area = plan["contraction"] * plan["velocity_coefficient"] * math.pi / 4 * opening**2
        return area * math.sqrt(2 * gravity * max(head(pressure), 0.01))

    planned = through(healthy["running"], plan["nozzle"])
    flows = [read["flow"], *(through(read["running"], d) / planned * flow for d in (plan["nozzle"], read["nozzle"]))]
    row += [_ln(flows[0] / other) for other in flows[1:]]
    row += [_ln(head(read[name]) / head(healthy[name])) for name in ("static", "running")]
    for above in (read["static"], healthy["static"]):
        lost = above - read["running"]
        row += [(lost - loss * (q / flow) ** 1.9) / healthy["static"] for q in (flow, *flows)]
        row += [_ln(lost / loss) - 1.9 * _ln(q / flow) for q in flows]
    jet = plan["velocity_coefficient"] * math.sqrt(2 * gravity * max(head(read["running"]), 0.01))
    jet = jet if read["running"] == read["running"] else math.nan
    turn = plan["alignment"] * (1 - plan["cup_friction"] * math.cos(plan["deflection"]))
    pulls, emfs = [], []
    for load in "ab":
        v, i, w, bridge = (read[f"{what}_{load}"] for what in ("volts", "amps", "speed", "rectifier"))
        cable = i * plan["cable_resistance"]
        excess = bridge - v - cable
        row += [excess / volts, excess / math.hypot(stated.get(f"rectifier_{load}", math.nan), 0.005 * volts)]
        row += [_ln((bridge - v) / max(i, 1e-6) / plan["cable_resistance"]), _ln(v * i / (volts * amps))]
        row += [_ln(v / max(i, 1e-4) / volts * amps)]
        for inner in (v + cable, bridge if bridge == bridge else v + cable):
            of_emf = inner + 2 * plan["diode_drop"] + (copper + overlap * w) * i
            emfs.append(of_emf / w / emf if w > 0 else math.nan)
            # Where no speed was read the emf tells it.
            without = (inner + 2 * plan["diode_drop"] + copper * i) / emf
            for turning in (w, without):
                pull = (inner + 2 * plan["diode_drop"] + copper * i) * i / turning if turning > 0 else math.nan
                drag = plan["bearing_drag"] + plan["iron_drag"] + plan["windage"] * turning**2
                for q in (flow, *flows):
                    ideal = turn * 1000 * q * (jet - turning * radius) * radius - drag
                    pulls.append((ideal - pull) / torque)
                    row += [_ln(pull / max(ideal, 1e-3 * torque)) if ideal == ideal else math.nan]
                row += [turning * radius / jet, _ln(pull / torque)]
    half = len(pulls) // 2
    row += [*pulls, *(b - a for a, b in zip(pulls[:half], pulls[half:], strict=True))]
    open_emf = read["open_constant"] / healthy["open_constant"]
    row += [_ln(e) for e in emfs] + [_ln(e / open_emf) for e in emfs] + [_ln(emfs[3] / emfs[1])]
    row += [e * plan["pole_pairs"] for e in (*emfs, open_emf)]
    row += [_ln(read[f"{what}_b"] / max(read[f"{what}_a"], 1e-6)) for what in ("speed", "volts", "amps")]
    return np.array(row, dtype=np.float32)


def _softmax(logs):
    share = np.exp(logs - logs.max(axis=1, keepdims=True))
    return share / share.sum(axis=1, keepdims=True)


class Net:
    """Two hidden layers with dropout, trained by Adam (Kingma and Ba, 2015; from memory), averaged over its last steps.

    Its answers: a distribution over FAULTS, and the chance of every single fault to be there.
    """

    def __init__(self, rows, faults, present, dice):
        flat = np.arcsinh(rows)
        self.mean, self.scale = np.nanmean(flat, axis=0), np.nanstd(flat, axis=0) + 1e-6
        x = self._inputs(rows)
        sizes = (x.shape[1], HIDDEN, HIDDEN, FAULTS + present.shape[1])
        weights = []
        for before, after in itertools.pairwise(sizes):
            weights += [dice.normal(0, math.sqrt(2 / before), (before, after)), np.zeros(after)]
        weights = [w.astype(np.float32) for w in weights]
        target = np.concatenate([np.eye(FAULTS, dtype=np.float32)[faults], present], axis=1)
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

    @staticmethod
    def _slopes(weights, x, target, dice):
        def thinned(layer):
            return layer * (dice.random(layer.shape, dtype=np.float32) > DROPPED) / np.float32(1 - DROPPED)

        one = thinned(np.maximum(x @ weights[0] + weights[1], 0))
        two = thinned(np.maximum(one @ weights[2] + weights[3], 0))
        out = two @ weights[4] + weights[5]
        said = np.concatenate([_softmax(out[:, :FAULTS]), 1 / (1 + np.exp(-out[:, FAULTS:]))], axis=1)
        back = (said - target) / len(x)
        back_two = back @ weights[4].T * (two > 0) / np.float32(1 - DROPPED)
        back_one = back_two @ weights[2].T * (one > 0) / np.float32(1 - DROPPED)
        pairs = (x, back_one), (one, back_two), (two, back)
        return [slope for layer, change in pairs for slope in (layer.T @ change, change.sum(axis=0))]

    def chances(self, rows):
        """Chance to be right of every name in FAULTS."""
        layer = self._inputs(rows)
        for k in (0, 2):
            layer = np.maximum(layer @ self.weights[k] + self.weights[k + 1], 0)
        out = layer @ self.weights[4] + self.weights[5]
        alone = _softmax(out[:, :FAULTS])
        return np.concatenate([alone[:, :1], 1 / (1 + np.exp(-out[:, FAULTS:])), alone[:, TWO:]], axis=1)


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


def main():
    """Train on four fifths of the plants; print the scores of the others."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    pieces = [range(start, min(start + AT_ONCE, count)) for start in range(0, count, AT_ONCE)]
    split = max(1, len(pieces) * 4 // 5)
    learnt, unseen = ([day for piece in half for day in days(seed, piece)] for half in (pieces[:split], pieces[split:]))
    rows = np.array([features(case, plan) for case, plan, _ in learnt])
    net = Net(rows, *_answers([case for case, _, _ in learnt]), np.random.default_rng(seed))
    for complete in (False, True):
        cases, plans = zip(*[(case, plan) for case, plan, whole in unseen if whole == complete][::VARIANTS])
        plants = [field_score.planned(case.plan) for case in cases]
        merged = {name: np.array([plant[name] for plant in plants]) for name in diagnosis.PLANT}
        y, u = (np.array(part) for part in zip(*map(field_score.read, cases), strict=True))
        said = diagnosis.diagnose(y, u, **merged).probability, net.chances(np.array([*map(features, cases, plans)]))
        print(f"\n{len(cases)} days, {'nothing' if complete else 'some readings'} left out: diagnosis, net")
        for score in (scores, by_trouble):
            for name, share in score(cases, said[0]).items():
                print(f"  {name}: {share:.3f}, {score(cases, said[1]).get(name, math.nan):.3f}")


if __name__ == "__main__":
    main()

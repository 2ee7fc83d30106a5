"""Kernels of physics in numpy beside loops compiled by numba, and beside plain Python for one value."""

from functools import partial

import numpy as np

from hydrofunc.physics import battery, housing, operating_point, pipe, water, wheel
from hydrofunc.physics.groups import Pipe, Section, Storage, Water

from . import scalar_kernels
from .timing import Row, processor_medians

SIZES = 1, 1_000, 1_000_000
STEPS = 24  # of a battery's run, each counted as a value
TOLERANCE = 1e-9
MANY, SINGLE = 2.0, 10.0  # aims: of the compiled loop with the most values, of plain Python with one


def report(long=False):
    try:
        import numba
    except ImportError:
        yield Row("kernels / a compiled loop", None, "", "numba is not here: pip install -e '.[bench]'")
        return
    compiled, plain = scalar_kernels.kernels(numba.njit(cache=False)), scalar_kernels.kernels(lambda kernel: kernel)
    loops = _loops(numba, compiled)
    for name, (draw, ours, constants) in CASES.items():
        for size in SIZES:
            count = max(1, size // STEPS) if name == "state_of_charge" else size
            values = draw(np.random.default_rng(2026), count)
            out = np.empty(count)
            kernel = "operating_power" if name.startswith("operating_power") else name

            def loop(values=values, out=out, kernel=kernel, constants=constants):
                loops[kernel](out, values, constants)

            def theirs(values=values, ours=ours, constants=constants):
                return ours(values, constants)

            loop()
            apart = np.abs(theirs() - out) / np.where(out == 0, 1, np.abs(out))
            assert not np.isnan(out).any() and apart.max() <= TOLERANCE, f"{name}: {apart.max():g}"
            runs = 1 if size == SIZES[-1] else 500 // min(size, 50)  # calls together, as a clock is coarse
            one, other = processor_medians(_often(theirs, runs), _often(loop, runs), repeats=3)
            told = f"{1e6 * one / runs:.3g} µs, {1e6 * other / runs:.3g} µs; {np.count_nonzero(out)} not 0"
            aim = f"<= {MANY:g}" if size == SIZES[-1] else ""
            yield Row(f"{name} of {size}, numpy / compiled loop", one / other, aim, told)
            if size == 1:
                alone = [v[0] if v.ndim > 1 else float(v[0]) for v in values]
                row = [v.tolist() if np.ndim(v) else v for v in alone]
                one, other = processor_medians(
                    _often(partial(ours, alone, constants), runs),
                    _often(partial(plain[kernel], *row, *constants), runs),
                    repeats=3,
                )
                told = f"{1e6 * one / runs:.3g} µs, {1e6 * other / runs:.3g} µs"
                yield Row(f"{name} of one, numpy / plain Python", one / other, f"<= {SINGLE:g}", told)


def _often(work, times):
    def run():
        for _ in range(times):
            work()

    return run


def _loops(numba, compiled):
    """A loop over all values for each kernel, compiled too."""

    def looped(kernel, count, constants):
        taken = ", ".join(f"v{i}[i]" for i in range(count))
        given = ", ".join([*(f"v{i}" for i in range(count)), *(f"c{i}" for i in range(constants))])
        fixed = ", ".join(f"c{i}" for i in range(constants))
        space = {"kernel": kernel}
        exec(  # numba takes no list of arrays of different shape
            f"def loop(out, {given}):\n    for i in range(len(out)):\n        out[i] = kernel({taken}, {fixed})", space
        )
        run = numba.njit(space["loop"])
        return lambda out, values, fixed: run(out, *values, *fixed)

    numbers = {
        name.partition(" ")[0]: (len(draw(np.random.default_rng(1), 1)), len(constants))
        for name, (draw, _, constants) in CASES.items()
    }
    return {name: looped(kernel, *numbers[name]) for name, kernel in compiled.items()}


def _pipes(random, count):
    return (
        random.uniform(0.1e-3, 5e-3, count),
        random.uniform(50, 900, count),
        random.uniform(0.02, 0.1, count),
        10 ** random.uniform(-6, -3.7, count),
    )


def _losses(random, count):
    _, *section = _pipes(random, count)
    return random.uniform(0.5, 120, count), *section, random.uniform(0, 12, count)


def _machines(henries):
    """Plants that settle in every way: standing, free, below and beyond the greatest torque."""

    def draw(random, count):
        return (
            random.uniform(0.3e-3, 3e-3, count),
            random.uniform(15, 45, count),
            random.uniform(0.1, 0.3, count),
            random.uniform(0.02, 0.3, count),
            random.integers(3, 12, count).astype(float),
            random.uniform(0.02, 1.0, count),
            random.uniform(11, 60, count),
            random.uniform(*henries, count),
        )

    return draw


_DIODE, _CABLE, _DEFLECTION, _CUPS, _ALIGNMENT = 0.8, 0.2, np.radians(165), 0.9, 0.9
_BEARINGS, _IRON, _WINDAGE, _WARM = 0.05, 0.05, 1e-6, 283.15
_ELECTRICS = (
    _DIODE,
    _CABLE,
    float(wheel.turning_factor(_DEFLECTION, _CUPS)),
    _ALIGNMENT,
    _BEARINGS + _IRON,
    _WINDAGE,
    float(water.density(_WARM)),
)


def _power(values, constants):
    tail = _DIODE, _CABLE, _DEFLECTION, _CUPS, _ALIGNMENT, _BEARINGS, _WINDAGE, _IRON, "battery", 0.0, 1.0, _WARM
    return operating_point.operating_power.flat(*values, "star", *tail)


def _days(random, count):
    return random.uniform(0, 2e6, (count, STEPS)), random.uniform(0, 2e6, (count, STEPS))


def _storage(values, constants):
    return battery.state_of_charge(Storage(*values, *constants), 0.0)


_VISCOSITY, _GRAVITY = float(water.kinematic_viscosity(_WARM)), 9.81


def _friction(values, constants):
    return pipe.friction_head(*values, _WARM, _GRAVITY)


def _flow(values, constants):
    head, length, bore, rough, fittings = values
    return pipe.flow_for_loss(head, Pipe((Section(length, bore, rough, np.nan),), fittings), Water(_WARM, _GRAVITY))


def _slots(random, count):
    return random.uniform(0, 8e-3, count), random.uniform(0.03, 0.4, count)


def _level(values, constants):
    height, discharge, gravity = constants
    return housing.outlet_level(values[0], "slot", values[1], height, 0.0, discharge, gravity)


CASES = {  # what is drawn, our kernel, and the constants of the loop's
    "friction_head": (_pipes, _friction, (_VISCOSITY, _GRAVITY)),
    "flow_for_loss": (_losses, _flow, (_VISCOSITY, _GRAVITY)),
    "operating_power": (_machines((0, 4e-4)), _power, _ELECTRICS),
    "operating_power of high inductance": (_machines((2e-3, 6e-2)), _power, _ELECTRICS),
    "state_of_charge": (_days, _storage, (1e7, 0.8, 0.5, 0.3, 0.85, 1e6)),
    "outlet_level": (_slots, _level, (0.05, 0.6, _GRAVITY)),
}

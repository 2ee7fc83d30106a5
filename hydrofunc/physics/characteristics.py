"""Surge by the method of characteristics: sections in series, friction, a valve that shuts or opens. SI units.

Heads are counted from the level at rest: 0 is the still water of the intake, whatever the height of the point.

    along dx = +a dt:  H_new + (B + R |Q|) Q_new = H + B Q
    along dx = -a dt:  H_new - (B + R |Q|) Q_new = H - B Q        B = a / (g A),  R Q² = head lost in a reach

A reach is what a wave travels in one step. All sections together have `REACHES` to `2 REACHES` of them: as many as let
every section hold whole reaches most nearly. What is off is the time that a wave takes through a section, never its
impedance B: so the first step of a surge is exact, and so is every reflection at a joint. A section too short for one
reach counts as one. As much hangs on which waves meet, some such runs are made, and the worst of them counts.

Friction is that of the steady flow, with its Darcy factor. As water slows the true factor grows, and quick changes
lose more than steady flow does: in a real pipe a surge is lower and dies sooner. Plastic creeps, which takes off more.

Water that boils is not in it: where the lowest pressure is below that of vapour, the column parts there and may slam
together harder than the highest pressure says.
"""

import math
from collections.abc import Collection, Mapping
from itertools import permutations
from typing import Any, NamedTuple

import numpy as np

from .groups import Outlet, Pipe, Section, Water
from .pipe import losses, outlet_bore
from .values import Result, Values
from .water import density, kinematic_viscosity

REACHES = 32
TRAVELS = {"blocked": 48, "shut": 20, "opened": 16}  # of a wave through the pipe, after the valve has come to rest
LONGEST = 30  # travels, for the part of the valve's way that counts; a slower valve is taken in proportion to this one
NEARLY = 0.98  # share of the full flow's area from which a valve is taken for open
QUANTITIES = ("blocked_highest", "blocked_lowest", "shut_highest", "shut_lowest", "opened_lowest")
OPEN = 1e-6  # impedance of the water in the intake, over that of the first section: its head does not move
_TOGETHER = 512  # lanes by grids run at a time: few calls, and their arrays stay in the processor's cache


class Envelope(NamedTuple):
    """What a run gives, nodes along the last axis: the first ones lie in the intake, the last one is at the nozzle.

    Highest and lowest head above the level at rest [m], and chainage of the nodes. [m]
    """

    highest: Result
    lowest: Result
    chainage: Result

    def at(self, chainage: Values) -> tuple[Result, Result]:
        """Highest and lowest head at chainages along the last axis: the worse of the two nodes beside each. [m]"""
        there, nodes = np.asarray(chainage)[..., None], self.chainage[..., None, :]
        gap = 1e-9 * nodes[..., -1:]
        above = (nodes <= there + gap).sum(axis=-1) - 1
        below = (nodes < there - gap).sum(axis=-1)

        def beside(heads):
            spread = np.broadcast_to(heads, (*above.shape[:-1], heads.shape[-1]))
            return [
                np.take_along_axis(spread, np.clip(node, 0, heads.shape[-1] - 1), axis=-1) for node in (above, below)
            ]

        nowhere = np.where(np.isnan(chainage), np.nan, 0.0)
        return nowhere + np.maximum(*beside(self.highest)), nowhere + np.minimum(*beside(self.lowest))


class _Line(NamedTuple):
    """A pipe as the runs take it: lanes, then grids, then sections or nothing along the last axis."""

    valve_time: Result
    jet_share: Result
    flow: Result
    gross_head: Result
    minor: Result
    length: Result
    travel: Result
    impedance: Result
    lost: Result


def jet_share(outlet: Outlet, pipe: Pipe) -> Result:
    """Area of all jets over that of a valve as wide as the pipe before them, at most 1. [-]"""
    return np.minimum(1.0, outlet.jets * outlet.contraction * np.square(outlet.nozzle / outlet_bore(pipe)))


def envelope(
    event: str,
    valve_time: Values,
    jet_share: Values,
    flow: Values,
    gross_head: Values,
    pipe: Pipe,
    water: Water,
) -> Envelope:
    """Highest and lowest head along the pipe, at nodes along a last axis.

    Parameters
    ----------
    event : str
        "blocked": the running jet is stopped at once. "shut": the valve before it goes evenly from open to shut.
        "opened": from shut to open, all at rest before.
    valve_time : array_like
        In which the valve goes all its way; not used for "blocked". [s]
    jet_share : array_like
        Area of all jets over that of the open valve; 1 for a spear, or a valve with no nozzle behind it. [-]
    flow : array_like
        With everything open and the pipe full. [m³/s]
    gross_head : array_like
        Of the level at rest above the nozzle. [m]
    pipe, water : group
        Sections with length, bore, roughness and wave speed; fittings count just below the intake. See
        `hydrofunc.physics.groups`.

    Returns
    -------
    Envelope
        Running before or after is part of it. NaN where the flow would lose the whole gross head. [m]

    Notes
    -----
    The valve is an orifice before the orifice of the jets. The part of its way in which it hardly throttles (`NEARLY`)
    is left out. Where the rest takes more than `LONGEST` travels of a wave, the run takes those, and what it adds to
    the steady heads is lessened in proportion to the time: a slow change takes a head in proportion to its speed.

    References
    ----------
    E. B. Wylie and V. L. Streeter, Fluid Transients: method of characteristics, reservoir, series connection, valve
    (from memory, not looked up). Orifices in series: as `surge.stopping_time`.
    """
    pipe = pipe.laid()
    sections = [value for section in pipe.sections for value in section]
    lanes = np.broadcast_shapes(
        *map(np.shape, (valve_time, jet_share, flow, gross_head, pipe.fittings, *water, *sections))
    )

    def alike(value):
        return np.broadcast_to(np.asarray(value, dtype=float), lanes).reshape(-1, 1, 1)

    viscosity = kinematic_viscosity(water.temperature)
    parts = [map(alike, of_waves(flow, part, viscosity, water.gravity)) for part in pipe.sections]
    line = _Line(
        *map(alike, (valve_time, jet_share, flow, gross_head, losses(flow, pipe, viscosity, water.gravity).fittings)),
        *(np.concatenate(values, axis=-1) for values in zip(*parts, strict=True)),
    )
    counts = _reaches(np.where(_is_known(line), line.travel, 1.0))
    totals = counts[:, 0].sum(axis=-1).astype(int)
    found = Envelope(*np.zeros((3, len(totals), 2 * REACHES + 1)))
    for total in set(totals.tolist()):  # so a lane has the same nodes whatever stands beside it
        alike = np.flatnonzero(totals == total)
        for some in np.array_split(alike, -(-len(alike) * counts.shape[1] // _TOGETHER)):
            of_some = _envelope(event, _Line(*(value[some] for value in line)), counts[some])
            for values, own in zip(found, of_some, strict=True):
                values[some, -own.shape[-1] :] = own
    return Envelope(*(values.reshape(*lanes, -1) for values in found))


def of_waves(flow: Values, part: Section, viscosity: Values, gravity: Values) -> tuple[Values, ...]:
    """Length, travel of a wave, impedance, and head lost in the steady flow of a section. [m], [s], [s/m²], [m]"""
    impedance = 4 * part.wave_speed / (gravity * np.pi * np.square(part.bore))
    lost = losses(flow, Pipe((part,)), viscosity, gravity).friction
    return part.length, part.length / part.wave_speed, impedance, lost


def _is_known(line):
    return np.isfinite(line.travel + line.impedance + line.lost).all(axis=-1, keepdims=True)


def _reaches(travel):
    """How many whole reaches each section has: sections along the last axis, grids along the one before.

    The first grid is that which bends the times least; in each other one a reach goes from a section to another. Were
    there only the first, waves that all but meet might meet to the step in it, and cancel.
    """
    share = travel / travel.sum(axis=-1, keepdims=True)
    totals = np.arange(REACHES, 2 * REACHES - 1)[:, None]
    counts = np.where(share > 0, np.maximum(1.0, np.rint(totals * share)), 0.0)
    counts = counts + np.where(_largest(share), totals - counts.sum(axis=-1, keepdims=True), 0.0)
    off = np.abs(counts / totals - share).max(axis=-1)
    best = np.argmin(np.round(off, 6), axis=-1)
    counts = np.take_along_axis(counts, best[..., None, None], axis=-2)
    one = np.eye(share.shape[-1])
    moved = counts + np.array([0 * one[0], *(to - away for away, to in permutations(one, 2))])
    fine = (np.sign(moved) == np.sign(counts)).all(axis=-1, keepdims=True)
    return np.where(fine, moved, counts)


def _largest(share):
    return np.arange(share.shape[-1]) == np.argmax(share, axis=-1)[..., None]


def _envelope(event, line, counts):
    """The worst of all grids at the nodes of the first one; one axis of lanes, of as many reaches each."""
    known = _is_known(line)
    travel, impedance = np.where(known, line.travel, 1.0), np.where(known, line.impedance, 1.0)
    net_head = line.gross_head - line.lost.sum(axis=-1, keepdims=True) - line.minor
    net_head = np.where(known & (net_head > 0), net_head, np.nan)

    size = 1 + int(counts[0, 0].sum())  # the first reach lies in the intake
    ends = 1 + np.cumsum(counts, axis=-1)
    first = ends[..., :1] - counts[..., :1]
    reach = np.arange(size)
    section = (reach >= ends[..., None]).sum(axis=-2)
    in_pipe = reach >= first

    def of(value):
        return np.take_along_axis(np.broadcast_to(value, counts.shape), section, axis=-1)

    def at_nodes(value):
        return np.concatenate([np.zeros((*counts.shape[:-1], 1)), np.cumsum(value, axis=-1)], axis=-1)

    share = np.where(in_pipe, 1 / np.maximum(of(counts), 1.0), 0.0)
    fall = share * of(line.lost) + np.where(reach == first, line.minor, 0.0)
    running = -at_nodes(fall)
    highest, lowest, slow = _run(
        event,
        np.where(in_pipe, of(impedance), OPEN * impedance[..., :1]),
        fall / np.where(line.flow > 0, np.square(line.flow), 1.0),
        running,
        line.valve_time / travel.sum(axis=-1, keepdims=True),
        line,
        net_head,
        counts.sum(axis=-1, keepdims=True),
    )
    highest, lowest = slow * highest, running + slow * (lowest - running)
    chainage = at_nodes(share * of(line.length))
    grids = (Envelope(highest[:, grid], lowest[:, grid], chainage[:, grid]) for grid in range(counts.shape[-2]))
    highest, lowest = zip(*(grid.at(chainage[:, 0]) for grid in grids), strict=True)
    return Envelope(np.max(highest, axis=0), np.min(lowest, axis=0), chainage[:, 0])


def from_above(head: Values, water: Values, size: Values, impedance: Values, rub: Values) -> tuple[Result, Result]:
    """What arrives at the lower end of a reach: H + B Q, and B + R |Q| there; the size of Q is |Q|."""
    # R |Q| Q_new for R Q |Q|: where a front passes, the head comes out a little too high rather than too low.
    return head + impedance * water, impedance + rub * size


def from_below(head: Values, water: Values, size: Values, impedance: Values, rub: Values) -> tuple[Result, Result]:
    """What arrives at the upper end of a reach: H - B Q, and B + R |Q| there."""
    return head - impedance * water, impedance + rub * size


def met(down: Values, ahead: Values, up: Values, back: Values) -> tuple[Result, Result]:
    """Flow and head where two waves meet."""
    water = (down - up) / (ahead + back)
    return water, up + back * water


def at_valve(
    down: Values, ahead: Values, square: Values, gross_head: Values, sqrt: Any = np.sqrt, copysign: Any = np.copysign
) -> tuple[Result, Result]:
    """Flow and head at the valve: Q |Q| = 2 c H, H above the jet, and H + B Q = what arrives."""
    push, through = down + gross_head, ahead * square
    water = copysign(sqrt(through * through + 2 * square * abs(push)) - through, push)
    return water, down - ahead * water


def throttling(jet_share: Values) -> Result:
    """Opening of the valve from which on it throttles. [-]"""
    return 1 / np.sqrt(1 + (1 / NEARLY**2 - 1) / np.square(jet_share))


def valve_square(opening: Values, jet_share: Values, flow: Values, net_head: Values) -> Result:
    """The c in Q |Q| = 2 c H of the valve, with the jets behind it, at an opening. [m⁵/s²]"""
    area = opening / np.sqrt(np.square(opening) + np.square(jet_share) * (1 - np.square(opening))) / NEARLY
    return np.square(area * flow) / (2 * net_head)


def _run(event, impedance, rub, running, valve_travels, line, net_head, reaches):
    """Highest and lowest head at each node, and by which share of them a slower valve changes the steady heads."""
    throttles = throttling(line.jet_share)
    whole = throttles * valve_travels if event != "blocked" else np.zeros_like(valve_travels)
    taken = np.minimum(whole, LONGEST)
    own_steps = np.ceil(reaches * (np.where(np.isfinite(taken), taken, 0.0) + TRAVELS[event]))
    steps, fewest = int(own_steps.max()), int(own_steps.min())
    done = np.minimum(1.0, np.arange(1, steps + 1) / np.maximum(reaches * taken, 1e-9))
    opening = throttles * (done if event == "opened" else 1 - done)
    square = valve_square(opening, line.jet_share, line.flow, net_head)

    at_rest = event == "opened"
    head = np.zeros_like(running) if at_rest else running.copy()
    water = np.full_like(running, 0.0 if at_rest else line.flow)
    highest, lowest = np.maximum(running, 0.0), np.minimum(running, 0.0)
    gross_head = line.gross_head[..., 0]
    if water.size == water.shape[-1]:  # one lane: plain numbers take a tenth of the time of arrays of one
        squares, gross = square.ravel().tolist(), gross_head.item()

        def valve(down, ahead, step):
            return at_valve(down.item(-1), ahead.item(-1), squares[step], gross, math.sqrt, math.copysign)

    else:

        def valve(down, ahead, step):
            return at_valve(down[..., -1], ahead[..., -1], square[..., step], gross_head)

    above, below, inner = np.s_[..., :-1], np.s_[..., 1:], np.s_[..., 1:-1]
    size = np.empty_like(water)
    at_top, at_foot = ([value[side] for value in (head, water, size)] for side in (above, below))  # of the reaches
    water_inner, head_inner = water[inner], head[inner]
    for step in range(steps):
        np.abs(water, out=size)
        down, ahead = from_above(*at_top, impedance, rub)
        up, back = from_below(*at_foot, impedance, rub)
        water_inner[...], head_inner[...] = met(down[above], ahead[above], up[below], back[below])
        water[..., -1], head[..., -1] = valve(down, ahead, step)
        # A lane counts as long as its own run goes on: what others beside it ask for changes nothing.
        if step < fewest:
            np.maximum(highest, head, out=highest)
            np.minimum(lowest, head, out=lowest)
        else:
            goes_on = step < own_steps
            np.maximum(highest, head, out=highest, where=goes_on)
            np.minimum(lowest, head, out=lowest, where=goes_on)
    return highest, lowest, np.where(whole > LONGEST, LONGEST / np.maximum(whole, 1e-9), 1.0)


def pressure_change(quantity: str, run: Envelope, chainage: Values, water: Water) -> Result:
    """What a run of the quantity's event adds to the pressure at rest at a chainage; below rest it is negative. [Pa]"""
    highest, lowest = run.at(np.asarray(chainage)[..., None])
    head = highest if quantity.endswith("highest") else lowest
    return density(water.temperature) * water.gravity * head[..., 0]


def surge_run(
    plant: Mapping[str, Any],
    quantity: str,
    chainage: Values = np.inf,
    names: Collection[str] = (),
    values: Collection[Any] = (),
) -> Result:
    """Pressure above that at rest, highest or lowest while the jet is blocked or a valve is shut or opened.

    Parameters
    ----------
    plant : mapping
        Names to values: flow, gross_head, the sections of the pipe with their wave speeds, fittings, temperature,
        gravity; for a valve also nozzle, jets, contraction and valve_time. [SI]
    quantity : str
        One of `QUANTITIES`.
    chainage : array_like
        Where in the pipe, from the intake; infinite or beyond the pipe: at the nozzle. [m]
    names, values : collections
        Inputs that have another value here.

    Returns
    -------
    float or ndarray
        See `envelope`. [Pa]
    """
    known = {**plant, **dict(zip(names, values, strict=True))}
    return pressure_change(quantity, run_of(quantity, known), chainage, Water.from_names(known))


def run_of(quantity: str, known: Mapping[str, Any]) -> Envelope:
    """The run that a quantity asks for; `known` are the inputs by name. [SI]"""
    event, _, _ = quantity.partition("_")
    pipe = Pipe.from_names(known)
    blocked = event == "blocked"
    share = 1.0 if blocked else jet_share(Outlet.from_names({"velocity_coefficient": 1.0, **known}), pipe)
    time = 0.0 if blocked else known["valve_time"]
    return envelope(event, time, share, known["flow"], known["gross_head"], pipe, Water.from_names(known))

"""Surge by the method of characteristics: sections in series, friction, a valve that shuts or opens. SI units.

Heads are counted from the level at rest: 0 is the still water of the intake, whatever the height of the point.

    along dx = +a dt:  H_new + B Q_new = H + B Q - R Q |Q|
    along dx = -a dt:  H_new - B Q_new = H - B Q + R Q |Q|        B = a / (g A),  R Q² = head lost in a reach

A reach is what a wave travels in one step. All sections together have `REACHES` to `2 REACHES` of them: as many as let
every section hold whole reaches most nearly. What is off is the time that a wave takes through a section, never its
impedance B: so the first step of a surge is exact, and so is every reflection at a joint. A section too short for one
reach counts as one.

Friction is that of the steady flow, with its Darcy factor. As water slows the true factor grows, and quick changes
lose more than steady flow does: in a real pipe a surge is lower and dies sooner. Plastic creeps, which takes off more.
"""

from typing import NamedTuple

import numpy as np

from .groups import Pipe, Water
from .pipe import losses
from .values import Result, Values
from .water import density, kinematic_viscosity

REACHES = 32  # at least, over the whole pipe
GRIDS = 4  # runs of one case, with other numbers of reaches: the worst counts
TRAVELS = {"blocked": 40, "shut": 12, "opened": 16}  # of a wave through the pipe, after the valve has come to rest
LONGEST = 30  # travels, for the part of the valve's way that counts; a slower valve is taken in proportion to this one
NEARLY = 0.98  # share of the full flow from which a valve is taken for open
EVENTS = tuple(TRAVELS)
EXTREMES = ("highest", "lowest")
_OPEN = 1e-6  # impedance of the water in the intake, over that of the first section: its head does not move


class Envelope(NamedTuple):
    """What a run gives, nodes along the last axis: the last one is at the nozzle, the first ones lie in the intake.

    Highest and lowest head above the level at rest [m], and chainage of the nodes. [m]
    """

    highest: Result
    lowest: Result
    chainage: Result


def _reaches(travel):
    """How many whole reaches each section has: sections along the last axis, grids along the one before.

    One grid for each rest of the number of all reaches over `GRIDS`: were they free to choose, sections of travel times
    such as 1 to 1 would stand so in all grids, and where waves meet to the step they may well cancel.
    """
    share = (travel / travel.sum(axis=-1, keepdims=True))[..., None, :, :]
    totals = np.arange(REACHES, 2 * REACHES).reshape(-1, GRIDS).T[..., None]
    counts = np.where(share > 0, np.maximum(1.0, np.rint(totals * share)), 0.0)
    longest = np.arange(share.shape[-1]) == np.argmax(share, axis=-1)[..., None]
    counts = counts + np.where(longest, totals - counts.sum(axis=-1, keepdims=True), 0.0)
    off = np.abs(counts / totals - share).max(axis=-1)
    best = np.argmin(np.round(off, 6), axis=-1)
    return np.take_along_axis(counts, best[..., None, None], axis=-2)[..., 0, :]


def _area(opening, jet_share):
    """Area for the flow, over that of the open valve: valve and jets one after the other."""
    with np.errstate(divide="ignore"):
        return 1 / np.sqrt(1 + jet_share**2 * (1 / opening**2 - 1))


def envelope(
    event: str,
    valve_time: Values,
    jet_share: Values,
    flow: Values,
    gross_head: Values,
    pipe: Pipe,
    water: Water,
) -> Envelope:
    """Highest and lowest head along the pipe, the run's own nodes along a last axis.

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
        With everything open. [m³/s]
    gross_head : array_like
        Of the level at rest above the nozzle. [m]
    pipe, water : group
        Sections with length, bore, roughness and wave speed; fittings count just below the intake. See
        `hydrofunc.physics.groups`.

    Returns
    -------
    Envelope
        NaN where the flow would lose more than the gross head. [m]

    Notes
    -----
    The valve is an orifice before the orifice of the jets. The part of its way in which it hardly throttles (`NEARLY`)
    is left out. Where the rest takes more than `LONGEST` travels of a wave, the run has that long, and what it adds to
    the steady heads shrinks as the time grows: a slow change of flow takes a head in proportion to its speed.

    References
    ----------
    E. B. Wylie and V. L. Streeter, Fluid Transients: method of characteristics, reservoir, series connection, valve (from
    memory, not looked up). Orifices in series: as `surge.stopping_time`.
    """
    values = [valve_time, jet_share, flow, gross_head, pipe.fittings, *water]
    sections = [value for section in pipe.sections for value in section]
    lanes = np.broadcast_shapes(*map(np.shape, (*values, *sections)))
    valve_time, jet_share, flow, gross_head = (
        np.broadcast_to(np.asarray(value, dtype=float), lanes)[..., None, None]
        for value in (valve_time, jet_share, flow, gross_head)
    )

    def along(of_section):
        """A value of each section, sections along the last axis."""
        parts = [np.broadcast_to(of_section(part), lanes) for part in pipe.sections]
        return np.stack(parts, axis=-1).astype(float)[..., None, :]

    viscosity = kinematic_viscosity(water.temperature)
    lost = along(lambda part: losses(flow[..., 0, 0], Pipe((part,)), viscosity, water.gravity).friction)
    minor = np.broadcast_to(losses(flow[..., 0, 0], pipe, viscosity, water.gravity).fittings, lanes)[..., None, None]
    length = along(lambda part: part.length)
    travel = along(lambda part: part.length / part.wave_speed)
    impedance = along(lambda part: 4 * part.wave_speed / (water.gravity * np.pi * part.bore**2))
    known = np.isfinite(travel + impedance + lost).all(axis=-1, keepdims=True) & np.isfinite(flow + gross_head + minor)
    net_head = np.where(known, gross_head - lost.sum(axis=-1, keepdims=True) - minor, np.nan)
    travel, impedance = np.where(known, travel, 1.0), np.where(known, impedance, 1.0)

    counts = _reaches(travel)
    ends = np.cumsum(counts, axis=-1)
    size = int(ends[..., -1].max()) + 1  # in every lane at least one reach lies in the intake
    ends = ends + size - ends[..., -1:]  # the nozzle stands at the last node in all lanes
    reach = np.arange(size)
    section = (reach >= ends[..., None, :].swapaxes(-1, -2)).sum(axis=-2)
    first = ends[..., :1] - counts[..., :1]
    in_pipe = reach >= first

    def of(value):
        return np.take_along_axis(np.broadcast_to(value, counts.shape), section, axis=-1)

    square = np.where(flow > 0, flow**2, 1.0)
    fall = np.where(in_pipe, of(lost / np.maximum(counts, 1.0)), 0.0) + np.where(reach == first, minor, 0.0)
    chainage = np.cumsum(np.where(in_pipe, of(length / np.maximum(counts, 1.0)), 0.0), axis=-1)
    start = np.zeros((*counts.shape[:-1], 1))
    running = -np.concatenate([start, np.cumsum(fall, axis=-1)], axis=-1)
    highest, lowest, scale = _run(
        event,
        np.where(in_pipe, of(impedance), _OPEN * impedance[..., :1]),
        fall / square,
        running,
        valve_time / travel.sum(axis=-1, keepdims=True),
        jet_share,
        flow,
        gross_head,
        net_head,
        ends[..., -1:] - first,
    )
    return Envelope(
        scale * highest,
        running + scale * (lowest - running),
        np.concatenate([start, chainage], axis=-1),
    )


def _run(event, impedance, rub, running, valve_travels, jet_share, flow, gross_head, net_head, reaches):
    """Highest and lowest head at each node, and by which share of them a slower valve changes the steady heads."""
    opening = 1 / np.sqrt(1 + (1 / NEARLY**2 - 1) / jet_share**2)  # from which it throttles
    whole = opening * valve_travels if event != "blocked" else np.zeros_like(valve_travels)
    taken = np.minimum(whole, LONGEST)
    steps = int(np.ceil(np.max(reaches * (np.where(np.isfinite(taken), taken, 0.0) + TRAVELS[event]))))
    now = np.minimum(1.0, np.arange(1, steps + 1) / np.maximum(reaches * taken, 1e-9))
    way = now if event == "opened" else 1 - now
    square = (_area(opening * way, jet_share) / NEARLY * flow) ** 2 / (2 * net_head)  # Q |Q| = 2 square H

    head = np.zeros_like(running) if event == "opened" else running.copy()
    water = np.zeros_like(running) if event == "opened" else np.broadcast_to(flow, running.shape).copy()
    highest, lowest = np.maximum(running, 0.0), np.minimum(running, 0.0)
    end = gross_head[..., 0]
    for step in range(steps):
        # R Q |Q| as R Q_new |Q|: where a front passes, the head comes out too high rather than too low.
        ahead, back = impedance + rub * np.abs(water[..., :-1]), impedance + rub * np.abs(water[..., 1:])
        down = head[..., :-1] + impedance * water[..., :-1]
        up = head[..., 1:] - impedance * water[..., 1:]
        water[..., 1:-1] = (down[..., :-1] - up[..., 1:]) / (ahead[..., :-1] + back[..., 1:])
        head[..., 1:-1] = up[..., 1:] + back[..., 1:] * water[..., 1:-1]
        last = ahead[..., -1]
        arriving, c = down[..., -1], square[..., step]
        through = last * c
        push = arriving + end
        size = np.sqrt(through**2 + 2 * c * np.abs(push)) - through
        water[..., -1] = np.copysign(size, push)
        head[..., -1] = arriving - last * water[..., -1]
        np.maximum(highest, head, out=highest)
        np.minimum(lowest, head, out=lowest)
    return highest, lowest, np.where(whole > LONGEST, LONGEST / np.maximum(whole, 1e-9), 1.0)

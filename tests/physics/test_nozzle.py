"""Nozzle, jet, and the flow at which source, pipe and nozzle settle; the best nozzle."""

import numpy as np
import pytest
from fluids.friction import Clamond
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

import hydrofunc
from hydrofunc.physics import nozzle as physics
from hydrofunc.physics import pipe
from hydrofunc.physics.water import density, kinematic_viscosity

GRAVITY = 9.80665
VELOCITY_COEFFICIENT = 0.97
KINK = 1e-9  # how closely a flow is found where the slope of the losses has a step; elsewhere 1e-12


@st.composite
def sites(draw):
    """A site in trade units, without its nozzle."""
    return {
        "gross_head": draw(st.floats(2, 300)),
        "length": draw(st.floats(10, 3000)),
        "bore": draw(st.floats(12, 100)),
        "fittings": draw(st.floats(0, 20)),
        "roughness": draw(st.sampled_from([0.0, 0.003, 0.15]) | st.floats(0, 0.5)),
        "jets": draw(st.sampled_from([1, 2, 4])),
        "velocity_coefficient": draw(st.floats(0.9, 1.0)),
        "contraction": draw(st.floats(0.6, 1.0)),
        "temperature": draw(st.floats(0, 40)),
    }


def widest(site):
    """Nozzle of which all jets are as wide as the pipe. [mm]"""
    return site["bore"] / site["jets"] ** 0.5


def best_of(site):
    """The site without what the pipe's limit of power does not depend on."""
    return {k: v for k, v in site.items() if k not in ("jets", "velocity_coefficient", "contraction")}


nozzles = st.floats(2, 50)
shares = st.floats(0.02, 0.99)  # of the bore


class Sites:
    """Many random sites in SI, most with the best flow near the transition (Reynolds 600 to 12 000)."""

    def __init__(self, count, seed, sections=1, near=0.7):
        rng = np.random.default_rng(seed)
        self.length, self.bore = 10 ** rng.uniform(0.5, 4, count), 10 ** rng.uniform(-2.3, -0.7, count)
        self.fittings = rng.uniform(0, 10, count) * (rng.random(count) < 0.8)
        self.temperature = 273.15 + rng.uniform(0, 40, count)
        self.roughness = self.bore * np.where(rng.random(count) < 0.2, 0, 10 ** rng.uniform(-6, -1.3, count))
        self.more = [np.zeros(count)] * 6
        if sections == 3:
            bores = [self.bore * rng.uniform(0.5, 2, count) for _ in range(2)]
            lengths = [self.length * rng.uniform(0, 3, count) * (rng.random(count) < 0.7) for _ in range(2)]
            self.more = [lengths[0], bores[0], self.roughness, lengths[1], bores[1], self.roughness / 2]
        number = 10 ** rng.uniform(2.8, 4.1, count)
        flow = number * kinematic_viscosity(self.temperature) * np.pi / 4 * self.bore
        near = rng.random(count) < near
        about_three = rng.uniform(2, 3.5, count)
        self.head = np.where(near, self.lost(flow) * about_three, 10 ** rng.uniform(-0.5, 3, count))
        self.available = np.where(rng.random(count) < 0.3, flow * rng.uniform(0.3, 3, count), np.inf)
        self.pipe = (self.head, self.length, self.bore, self.roughness)
        self.rest = (
            self.fittings,
            1.0,
            VELOCITY_COEFFICIENT,
            1.0,
            self.temperature,
            GRAVITY,
            self.available,
            *self.more,
        )

    def lost(self, flow):
        return pipe.penstock_head.flat(
            flow,
            self.length,
            self.bore,
            self.roughness,
            self.fittings,
            self.temperature,
            GRAVITY,
            *self.more,
        )

    def flow(self, nozzle):
        return physics.operating_flow.flat(*self.pipe, nozzle, *self.rest)

    def nozzle_head(self, nozzle):
        return physics.nozzle_head.flat(self.flow(nozzle), nozzle, 1.0, VELOCITY_COEFFICIENT, 1.0, GRAVITY)

    def jet_power(self, nozzle):
        """By the jet's own energy, not by the heads."""
        flow = self.flow(nozzle)
        return density(self.temperature) * flow * (flow / (np.pi / 4 * nozzle**2)) ** 2 / 2

    def best(self, what="best_nozzle"):
        return getattr(physics, what).flat(*self.pipe, *self.rest)


# -- the nozzle alone


@given(st.floats(0.5, 500), nozzles, st.sampled_from([1, 2, 4]), st.floats(0.8, 1), st.floats(0.6, 1))
def test_nozzle_head_turns_nozzle_flow_round(net_head, nozzle, jets, velocity_coefficient, contraction):
    kind = (nozzle, jets, velocity_coefficient, contraction)
    flow = hydrofunc.nozzle_flow(net_head, *kind)
    assert hydrofunc.nozzle_head(flow, *kind) == pytest.approx(net_head, rel=1e-13)


@given(st.floats(0.5, 500), nozzles, st.sampled_from([1, 2, 4]), st.floats(0.8, 1), st.floats(0.6, 1))
def test_flow_is_velocity_times_area_of_the_jets(net_head, nozzle, jets, velocity_coefficient, contraction):
    velocity = hydrofunc.jet_velocity(net_head, velocity_coefficient)
    jet = hydrofunc.jet_diameter(nozzle, contraction)
    flow = hydrofunc.nozzle_flow(net_head, nozzle, jets, velocity_coefficient, contraction)
    assert flow == pytest.approx(jets * np.pi / 4 * jet**2 * velocity / 1000, rel=1e-13)


@given(st.floats(0.5, 500), st.floats(0.1, 50), st.floats(0.8, 1))
def test_the_jet_keeps_the_velocity_coefficient_squared_of_the_power(net_head, flow, velocity_coefficient):
    velocity = hydrofunc.jet_velocity(net_head, velocity_coefficient)
    power = hydrofunc.jet_power(flow, velocity)
    water = hydrofunc.hydraulic_power(flow, net_head)
    assert power == pytest.approx(water * velocity_coefficient**2, rel=1e-13)
    assert hydrofunc.jet_force(flow, velocity) * velocity == pytest.approx(2 * power, rel=1e-13)


@given(st.floats(1, 500), st.floats(0.1, 5), st.floats(30, 100))
def test_a_running_gauge_reads_the_net_head_less_the_velocity_head(net_head, flow, bore):
    pressure = hydrofunc.running_pressure(net_head, flow, bore)
    velocity_head = hydrofunc.pipe_velocity(flow, bore) ** 2 / (2 * GRAVITY)
    assert hydrofunc.static_pressure(net_head) - pressure == pytest.approx(
        hydrofunc.static_pressure(velocity_head), rel=1e-6, abs=1e-12
    )


# -- pipe and nozzle together


@given(sites(), shares)
def test_flow_rises_with_head_and_falls_with_length_and_roughness(site, share):
    nozzle = share * widest(site)
    flow = hydrofunc.operating_flow(nozzle=nozzle, **site)
    assert hydrofunc.operating_flow(nozzle=nozzle, **site | {"gross_head": site["gross_head"] * 1.01}) > flow
    assert hydrofunc.operating_flow(nozzle=nozzle, **site | {"length": site["length"] * 1.1}) < flow
    rougher = hydrofunc.operating_flow(nozzle=nozzle, **site | {"roughness": site["roughness"] * 1.1 + 0.001})
    assert rougher <= flow * (1 + 1e-13)
    assert hydrofunc.operating_flow(nozzle=nozzle * 1.01, **site) > flow


@given(sites(), shares, st.floats(0.001, 20))
def test_flow_is_never_above_what_the_source_gives(site, share, available_flow):
    nozzle = share * widest(site)
    free = hydrofunc.operating_flow(nozzle=nozzle, **site)
    held = hydrofunc.operating_flow(nozzle=nozzle, available_flow=available_flow, **site)
    assert held == pytest.approx(min(free, available_flow), rel=4e-16)  # trade units there and back
    assert hydrofunc.best_nozzle_flow(available_flow=available_flow, **site) <= available_flow * (1 + 4e-16)


@pytest.mark.parametrize("sections", [1, 3])
def test_losses_and_nozzle_together_use_up_the_gross_head(sections):
    """20 000 sites, in every regime, where the source does not limit; where it does, head is left over."""
    site = Sites(20_000, 10 + sections, sections)
    nozzle = site.bore * np.random.default_rng(0).uniform(0.05, 1.0, 20_000)
    used = site.lost(site.flow(nozzle)) + site.nozzle_head(nozzle)
    held = site.flow(nozzle) >= site.available
    assert 0.02 < held.mean() < 0.5
    assert np.abs(used / site.head - 1)[~held].max() < 1e-12
    assert np.all(used[held] <= site.head[held] * (1 + 1e-12))


def factor_beside(number, relative):
    """Friction factor by fluids; ln f straight in ln Re between 2000 and 2600."""
    if number <= 2000:
        return 64 / number
    if number >= 2600:
        return Clamond(number, relative)
    share = np.log(number / 2000) / np.log(1.3)
    return np.exp((1 - share) * np.log(64 / 2000) + share * np.log(Clamond(2600.0, relative)))


def head_left_over(flow, length, bore, wall, fittings, nozzle, viscosity, head):
    """What losses and jet need at a flow, less the gross head."""
    velocity, jet = 4 * flow / np.pi / bore**2, 4 * flow / np.pi / nozzle**2
    loss = factor_beside(velocity * bore / viscosity, wall / bore) * length / bore + fittings
    return (loss * velocity**2 + (jet / VELOCITY_COEFFICIENT) ** 2) / (2 * GRAVITY) - head


def test_two_hundred_sites_against_an_independent_root_finder():
    """scipy's brentq on the energy equation, friction by fluids.friction.Clamond where it is turbulent."""
    site = Sites(200, 21, near=0.5)
    nozzle = site.bore * np.random.default_rng(1).uniform(0.05, 1.0, 200)
    ours = site.flow(nozzle)
    for i in range(200):
        length, bore, wall = site.length[i], site.bore[i], site.roughness[i]
        viscosity = kinematic_viscosity(site.temperature[i])

        lane = (length, bore, wall, site.fittings[i], nozzle[i], viscosity, site.head[i])
        root = brentq(head_left_over, 1e-12, 10.0, args=lane, xtol=1e-18, rtol=1e-14, maxiter=300)
        assert ours[i] == pytest.approx(min(root, site.available[i]), rel=1e-12)


def test_three_sections_of_one_bore_are_one_pipe():
    site = Sites(5000, 22)
    nozzle = site.bore / 3
    fifths = [0.2 * site.length, 0.5 * site.length, 0.3 * site.length]
    head, _, bore, wall = site.pipe
    split = (head, fifths[0], bore, wall), (*site.rest[:7], fifths[1], bore, wall, fifths[2], bore, wall)
    three = physics.operating_flow.flat(*split[0], nozzle, *split[1])
    assert np.abs(three / site.flow(nozzle) - 1).max() < 1e-12
    power = physics.best_nozzle_power.flat(*split[0], *split[1])
    assert np.abs(power / site.best("best_nozzle_power") - 1).max() < KINK


# -- the best nozzle


@pytest.mark.parametrize(("seed", "sections"), [(31, 1), (32, 1), (33, 3)])
def test_no_other_nozzle_gives_more_jet_power(seed, sections):
    """Near by and far off: 5000 sites, most of them about the transition, where the most may sit at a kink
    or two sizes compete."""
    site = Sites(5000, seed, sections)
    best = site.best()
    most = site.jet_power(best)
    assert not np.isnan(best).any()
    assert np.abs(most / site.best("best_nozzle_power") - 1).max() < 1e-12
    for step in (1.001, 1.01, 1.05, 1.2, 1.5, 2.0):
        for other in (best * step, best / step):
            assert np.max(site.jet_power(other) / most) <= 1 + 1e-12


@pytest.mark.parametrize(("seed", "sections"), [(34, 1), (35, 3)])
def test_the_best_nozzle_is_the_best_of_a_fine_scan(seed, sections):
    """300 sizes from a thirtieth of the bore to three bores: none gives more, and one comes within 2 % even
    of a peak with a kink."""
    site = Sites(150, seed, sections, near=0.9)
    most = site.best("best_nozzle_power")
    scan = np.max([site.jet_power(site.bore * size) for size in np.geomspace(1 / 30, 3, 300)], axis=0)
    within = (site.best() > site.bore / 25) & (site.best() < site.bore * 2.5)
    assert within.mean() > 0.9
    assert np.max(scan / most) <= 1 + 1e-12
    assert np.min((scan / most)[within]) > 0.98


def test_of_two_maxima_the_higher_is_found_though_one_lies_just_above_a_step():
    """Power peaks at 8.99 mL/s, before the second section turns turbulent, and higher at 9.53, where the first
    ceases to be laminar: a search that began on the step itself saw the slope of its lower side."""
    pipes = {
        "length": 31.520181292577984,
        "bore": 3.456482882446651,
        "roughness": 0.04567166967530349,
        "fittings": 0.14683695537848684,
        "temperature": 0.5847522492122437,
        "length_2": 1.455212938602552,
        "bore_2": 1.667420397967377,
        "roughness_2": 1e-9,  # smooth
    }
    head = 128.18119250284593
    flows = np.linspace(0.0085, 0.0105, 2001)
    power = hydrofunc.hydraulic_power(flows, head - hydrofunc.penstock_head(flows, **pipes), pipes["temperature"])
    assert flows[np.argmax(power)] == pytest.approx(0.009534, rel=1e-4)
    limit = hydrofunc.pipe_power_limit(head, **pipes)
    assert power.max() * (1 - 1e-12) <= limit <= power.max() * (1 + 1e-3)


@given(sites())
def test_neighbours_of_the_best_nozzle_give_no_more(site):
    best, most = hydrofunc.best_nozzle(**site), hydrofunc.best_nozzle_power(**site)
    for step in (0.99, 0.999, 1.001, 1.01):
        if best * step > widest(site):
            continue
        flow = hydrofunc.operating_flow(nozzle=best * step, **site)
        area = site["jets"] * np.pi / 4 * hydrofunc.jet_diameter(best * step, site["contraction"]) ** 2
        assert hydrofunc.jet_power(flow, flow / area * 1000, site["temperature"]) <= most * (1 + 1e-12)


@given(sites())
def test_the_best_nozzle_takes_the_flow_and_gives_the_power_that_are_promised(site):
    best = hydrofunc.best_nozzle(**site)
    if best > widest(site):  # so short a pipe is best left open
        return
    flow = hydrofunc.operating_flow(nozzle=best, **site)
    assert flow == pytest.approx(hydrofunc.best_nozzle_flow(**site), rel=KINK)
    kind = {k: site[k] for k in ("jets", "velocity_coefficient", "contraction")}
    velocity = hydrofunc.jet_velocity(hydrofunc.nozzle_head(flow, best, **kind), site["velocity_coefficient"])
    assert hydrofunc.jet_power(flow, velocity, site["temperature"]) == pytest.approx(
        hydrofunc.best_nozzle_power(**site), rel=KINK
    )


@given(st.floats(5, 200), st.floats(1, 50), st.floats(20, 100))
def test_with_a_constant_loss_coefficient_a_third_of_the_head_is_lost(gross_head, fittings, bore):
    """F. M. White, Fluid Mechanics, problem 11.95."""
    flow = hydrofunc.best_nozzle_flow(gross_head, 0, bore, 0, fittings)
    assert hydrofunc.minor_head(flow, bore, fittings) == pytest.approx(gross_head / 3, rel=1e-9)


@given(sites(), st.floats(0.01, 0.99))
def test_where_the_source_gives_less_than_the_best_flow_the_best_nozzle_just_takes_it(site, share):
    """In turbulent flow, where power rises with flow all the way up to the best."""
    free = hydrofunc.best_nozzle_flow(**site)
    available = share * free
    if hydrofunc.reynolds_number(available, site["bore"], site["temperature"]) < 2600:
        return
    assert hydrofunc.best_nozzle_flow(available_flow=available, **site) == pytest.approx(available, rel=1e-12)
    nozzle = hydrofunc.best_nozzle(available_flow=available, **site)
    if nozzle <= widest(site):
        assert hydrofunc.operating_flow(nozzle=nozzle, **site) == pytest.approx(available, rel=1e-12)


@given(st.floats(2, 300), st.floats(25, 100))
def test_a_pipe_without_losses_has_no_best_nozzle_unless_the_source_has_an_end(gross_head, bore):
    with pytest.raises(hydrofunc.InputError):
        hydrofunc.best_nozzle(gross_head, 0, bore, 0)
    nozzle = hydrofunc.best_nozzle(gross_head, 0, bore, 0, available_flow=2.0)
    assert hydrofunc.operating_flow(gross_head, 0, bore, 0, nozzle) == pytest.approx(2.0, rel=1e-12)


@given(sites(), shares)
def test_no_nozzle_delivers_more_than_the_limit_of_the_pipe(site, share):
    nozzle = share * widest(site)
    flow = hydrofunc.operating_flow(nozzle=nozzle, **site)
    kind = {k: site[k] for k in ("jets", "velocity_coefficient", "contraction")}
    net_head = hydrofunc.nozzle_head(flow, nozzle, **kind)
    delivered = hydrofunc.hydraulic_power(flow, net_head, site["temperature"])
    limit = hydrofunc.pipe_power_limit(**best_of(site))
    assert delivered <= limit * (1 + 1e-12)
    jet = hydrofunc.best_nozzle_power(**site)
    assert jet == pytest.approx(limit * site["velocity_coefficient"] ** 2, rel=1e-12)


@given(sites(), st.lists(shares, min_size=1, max_size=8), st.none() | st.floats(0.05, 10))
def test_the_best_listed_nozzle_is_that_of_trying_each(site, listed, available_flow):
    sizes, powers = [share * widest(site) for share in listed], []
    for size in sizes:
        flow = hydrofunc.operating_flow(nozzle=size, available_flow=available_flow, **site)
        area = site["jets"] * np.pi / 4 * hydrofunc.jet_diameter(size, site["contraction"]) ** 2 / 1e6
        powers.append(hydrofunc.jet_power(flow, flow / 1000 / area, site["temperature"]))
    chosen = hydrofunc.best_listed_nozzle(sizes=sizes, available_flow=available_flow, **site)
    place = int(np.argmin(np.abs(np.array(sizes) - chosen)))
    assert chosen == pytest.approx(sizes[place], rel=1e-15)
    assert powers[place] >= max(powers) * (1 - 1e-12)


def test_the_best_listed_nozzle_of_many_sites_at_once():
    heads = np.array([10.0, 30.0, 90.0])
    sizes = [6.0, 8.0, 10.0, 12.0]
    together = hydrofunc.best_listed_nozzle(heads, 200.0, 40.0, 0.003, sizes)
    assert together.tolist() == [hydrofunc.best_listed_nozzle(h, 200.0, 40.0, 0.003, sizes) for h in heads]


# -- arrays


def test_arrays_equal_scalars():
    site = Sites(50, 41, sections=3)
    nozzle = site.bore / 3
    flow, best = site.flow(nozzle), site.best()
    for i in range(50):
        head, rest = [a[i] for a in site.pipe], [a[i] if np.ndim(a) else a for a in site.rest]
        assert float(physics.operating_flow.flat(*head, nozzle[i], *rest)) == pytest.approx(flow[i], rel=1e-12)
        assert float(physics.best_nozzle.flat(*head, *rest)) == pytest.approx(best[i], rel=KINK)


def test_arguments_broadcast():
    """Heads down, nozzles across, lengths in a third direction."""
    heads, sizes = np.array([20.0, 50.0]), np.array([6.0, 8.0, 10.0])
    lengths = np.array([100.0, 200.0, 300.0, 400.0])
    flow = hydrofunc.operating_flow(heads[:, None, None], lengths, 40.0, 0.003, sizes[:, None])
    assert flow.shape == (2, 3, 4)
    assert flow[1, 2, 3] == pytest.approx(hydrofunc.operating_flow(50, 400, 40, 0.003, 10), rel=1e-12)
    assert hydrofunc.best_nozzle(heads[:, None], lengths, 40.0, 0.003).shape == (2, 4)


@pytest.mark.parametrize("what", ["flow", "best_nozzle", "best_nozzle_flow", "best_nozzle_power"])
@pytest.mark.parametrize("place", ["head", "length", "bore", "roughness", "fittings", "temperature", "available"])
def test_a_bad_site_leaves_its_neighbours_alone(what, place):
    """Not a number in any one argument, straight into the physics: only that site is lost."""

    def result(site):
        return site.flow(site.bore / 3) if what == "flow" else site.best(what)

    site = Sites(5, 42)
    good = result(site)
    spoilt = Sites(5, 42)
    getattr(spoilt, place)[2] = np.nan
    found = result(spoilt)
    assert np.isnan(found).tolist() == [False, False, True, False, False]
    others = [0, 1, 3, 4]
    assert np.abs(found[others] / good[others] - 1).max() < KINK


def test_bad_elements_of_a_call_become_nan_and_the_others_stay():
    sizes = np.array([8.0, np.nan, -1.0, 10.0, 600.0])
    flow = hydrofunc.operating_flow(50.0, 200.0, 40.0, 0.003, sizes)
    assert np.isnan(flow).tolist() == [False, True, True, False, True]
    assert flow[[0, 3]].tolist() == pytest.approx(
        [hydrofunc.operating_flow(50, 200, 40, 0.003, d) for d in (8, 10)], rel=1e-12
    )


@pytest.mark.parametrize(
    ("further", "widest"),
    [
        ({}, 40),
        ({"length_2": 50, "bore_2": 30}, 30),
        ({"length_3": 50, "bore_3": 25}, 25),
        ({"length_2": 0, "bore_2": 30}, 40),
        ({"length_2": 50, "bore_2": 30, "length_3": 50, "bore_3": 35}, 35),
    ],
)
def test_a_nozzle_wider_than_the_pipe_that_feeds_it_is_refused(further, widest):
    site = {"gross_head": 50, "length": 200, "bore": 40, "roughness": 0.003} | further
    site |= {"roughness_2": 0.003, "roughness_3": 0.003}
    assert hydrofunc.operating_flow(nozzle=widest, **site) > 0
    with pytest.raises(hydrofunc.InputError, match="operating_flow: nozzle: must not be larger than the bore"):
        hydrofunc.operating_flow(nozzle=widest + 0.1, **site)
    some = hydrofunc.operating_flow(nozzle=np.array([10, 41, 20.0]), **site)
    assert np.isnan(some).tolist() == [False, True, False]
    two = widest / 2**0.5
    assert hydrofunc.operating_flow(nozzle=two, jets=2, **site) > 0
    with pytest.raises(hydrofunc.InputError, match="all jets count together"):
        hydrofunc.operating_flow(nozzle=two + 0.1, jets=2, **site)
    assert hydrofunc.best_listed_nozzle(sizes=[two - 0.1, two + 0.1], jets=2, **site) == two - 0.1
    with pytest.raises(hydrofunc.InputError):
        hydrofunc.best_listed_nozzle(sizes=[two + 0.1], jets=2, **site)


def test_no_gauge_reads_below_a_vacuum():
    """6.3 L/s through 10 mm would need -27 bar before a nozzle with 50 m of head: no pipe passes that."""
    with pytest.raises(
        hydrofunc.InputError, match=r"comes to -27.* bar, which cannot be: above -1.01325 bar is possible"
    ):
        hydrofunc.running_pressure(50, 6.3, 10)
    assert hydrofunc.running_pressure(0.01, 1.0, 10.3) == pytest.approx(-0.719, abs=0.01)


def test_even_a_trickle_through_a_capillary_uses_up_its_head():
    """No least flow stands in the way of the root."""
    site = {"length": 20000, "bore": 0.02, "roughness": 0.0}
    flow = hydrofunc.operating_flow(gross_head=1e-3, nozzle=0.02, **site)
    assert 0 < flow < 1e-9
    assert hydrofunc.penstock_head(flow, **site) == pytest.approx(1e-3, rel=1e-9)


def test_a_listed_size_wider_than_the_pipe_is_passed_over():
    """A 30 mm hole is no nozzle on a 26 mm pipe, however short; with wider ones alone there is no answer."""
    pipe = {"gross_head": 5, "length": 0.5, "bore": 26, "roughness": 0.01, "fittings": 0.01}
    assert hydrofunc.best_listed_nozzle(sizes=[20, 26, 30, 40], **pipe) == pytest.approx(26, rel=1e-12)
    assert hydrofunc.explain("best_listed_nozzle", sizes=[30, 40], **pipe)

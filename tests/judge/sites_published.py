"""A second population of true sites, whose distributions rest on published measurements where any were found.

Its maker knew the judge's own population (`sites`) but took no number from it, and not what the product takes for
usual. Where a number comes from is said in the function's text: by a word in brackets from the list below; "from
memory" for a published value that was not looked up; "own" for the maker's judgement, where nothing was found. Of
most sources only the abstract or an extract was read; "(abstract)", "(extract)" or "(page)" says which.

Wheels, nozzle to shaft
- [Cobb] B. R. Cobb, K. V. Sharp, Impulse (Turgo and Pelton) turbine performance characteristics and their impact on
  pico-hydro installations, Renewable Energy 50 (2013) 959-964, and Cobb's thesis, Oregon State University 2011
  (abstracts): a small Pelton wheel just over 70 % at best, at 0.43 of the jet's speed, the loss laid to its rough
  cups; less with the jet at the cups' edge.
- [Agar] D. Agar, M. Rasi, On the use of a laboratory-scale Pelton wheel water turbine in renewable energy education,
  Renewable Energy 33 (2008) 1517-1522 (abstract): a wheel of their own make, 0.47 ± 0.02 at 0.17 L/s.
- [Bode] C. Bode and others, Pelton turbine laboratory report (students' report on a bench rig), 2016 (extract): 45 % at
  best, 783 rpm, 0.229 L/s.
- [Bench] "Calculations exp 1, 2", an unnamed student's sheet of a bench rig (scribd 367450556, extract): 25 to 40 %
  at single loads, 3 to 5 W.
- [Gudukeya] L. Gudukeya, I. Madanhire, Efficiency improvement of Pelton wheel and crossflow turbines in micro-hydro
  power plants, Int. J. Engineering and Computer Science 2 (2013) 416-432 (abstract): 60 %, an estimate.

Whole plants, water to wire
- [Blog] water-to-wire.blogspot.com, entry of 15 July 2018 (page): a jet of 5.36 mm, 0.63 L/s, 870 rpm, 127 W.
- [Acharya] K. Acharya, T. Bajracharya, Current status of micro hydro technology in Nepal, 2013 (abstract): 59.8 % on
  the average of 19 plants of many kilowatts.
- [Kathamba] Pico Energy Ltd, case study 1 (page): 28 m, 8 L/s (printed 0.08 m³/s), 1.2 kW: 55 %.
- [Fajardo] A. L. Fajardo and others, Performance evaluation of a pico-hydro power unit, Univ. Philippines Los Baños
  (abstract): a 200 W propeller set with its own magnet generator, 24.6 to 37.8 % in all, 57.3 % at the shaft.
- [Setyawan] E. Y. Setyawan and others, Optimizing Pelton turbine performance, 2024 (extrica 23966, abstract): a
  laboratory set with one nozzle 8.8 %, with three 13.7 %.
- [Rules] What sellers and handbooks say such plants give, as a share of head times flow: 0.35 (100 W from 100 ft and 15
  gpm, Real Goods, quoted by zetatalk.com), 0.40 (Practical Answers Sri Lanka), 0.42 (Mother Earth News 1994), 0.44
  (westcoastgreen.com), 0.50 (homepower.ca), 0.51 and 0.53 (greeneyecoop.com 2015), 0.53 (homehydro.com) (pages).

Pipes, nozzles, springs, electricity
- [Rocha] H. S. da Rocha and others, Internal surface roughness of plastic pipes for irrigation, Rev. Bras. Eng.
  Agríc. Ambient. 21 (2017) 143-149 (abstract): 350 samples, 3.3 µm PVC, 8.1 µm low density polyethylene.
- [Biofilm] The influence of freshwater biofilms on drag in hydroelectric power schemes, WSEAS Trans. Fluid Mechanics
  3 (2008) 201-206 (abstract): wall friction 1.5 times under low slime, 4.1 times under long algae.
- [Unwin] W. C. Unwin, Hydraulics, Encyclopaedia Britannica, 11th ed., vol. 14, 1910 (pages): Weisbach's velocity
  coefficients of bell mouths 0.967 at 0.5 m, 0.975 at 3.5 m, 0.994 at 17 and 103 m; sharp holes 0.97 with
  contraction 0.64; conical and rounded mouths discharge 0.90 to 0.99.
- [Nozzles] Nozzle discharge coefficient for center-pivot system, Engenharia Agrícola (abstract): 123 small nozzles,
  0.88 to 0.98 at 4 to 21 m.
- [MS 1058] Table of polyethylene pipe, MS 1058 part 2 of 2005 (extract): walls may be thicker by a tenth and 0.2 mm.
- [Springs] Hydrological classification of 33 springs in Uttarakhand, Water Supply 20 (2020) 594 (abstract): most
  0.01 to 0.76 L/s. Rainfall and spring discharge patterns in the western Himalaya, The Environmentalist 2004
  (abstract): means of 0.07 and 0.11 L/s.
- [Crater] M. Nathenson, Temperatures of springs in the vicinity of Crater Lake, Oregon, 1990 (abstract): air 13.2 °C
  less 4.6 °C per km, springs 1.9 °C colder. Temperature patterns in springs of the Swiss Central Alps, 2017
  (abstract): 41 springs, 3.7 °C per km.
- [Pipelines] Published lines of head and length: 220 ft in 1200 ft and 150 ft in 400 ft (jimlavalleeplumbing.com
  2014), 100 ft in 1000 ft (energybible.com), 50 m in 150 m with 10 % lost (homepower.ca), 100 ft in 300 ft
  (Real Goods, as above) (pages).
- [Charging] Battery trade pages: charged to 2.40 V a cell, float 2.30 to 2.32, gassing 2.40 ± 0.05 (pages).
- [Cables] Electrical Contractor on the Approved Cables Initiative (extract): failed samples down to half of the
  copper printed. A. Winstanley's journal, 27 September 2013 (page): up to one reel in five, by the same campaign.
- [Axial] windandwet.com, alternator test (page): a first home-made coreless alternator, 40 W out of 140 W, and next to
  no torque without load.
"""

import numpy as np

from . import truth
from .population import Population, by_name, choice, lognormal
from .truth import Array

LEAST_WATTS, MOST_WATTS = 10.0, 500.0  # "tens to a few hundred watts"
THINNEST_JET = 2.0  # [mm]; own: thinner ones block
RULE = 0.45  # watts in the battery over head times flow, the middle of [Rules]
HAZEN_WILLIAMS = 150.0  # of polyethylene, as its tables say (smartpluvia.com, glossary)
PIPE_SIZES = np.array((16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 75.0))  # outside [mm], EN 12201-2 (from memory)
WALL_RATIOS = (7.4, 11.0, 13.6, 17.0)  # outside over wall [MS 1058]
CABLE_SIZES = np.array((1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0))  # [mm²], IEC 60228 (from memory)
SPEED_RATIO = 0.46  # of cups and jet, between theory's 0.5 and the 0.43 of [Cobb]


def _by_kind(kind: Array, *of_each: Array) -> Array:
    """The first array where the kind is 0, the second where it is 1, and so on."""
    return np.choose(kind.astype(int), of_each)


def _log_uniform(rng: np.random.Generator, n: int, low: float, high: float) -> Array:
    return np.exp(rng.uniform(np.log(low), np.log(high), n))


def _nearest(sizes: Array, wanted: Array) -> Array:
    return sizes[np.abs(np.log(sizes[:, None]) - np.log(wanted)).argmin(axis=0)]


def _system_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Small plants beside their battery are 12 V more often than not (own)."""
    return choice(rng, n, (12, 24, 48), (0.50, 0.33, 0.17))


def _altitude(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Hills more often than high mountains [m] (own)."""
    return np.clip(lognormal(rng, n, 700, 0.8), 20, 3500)


def _latitude(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Half in the tropics and subtropics, half in temperate hills [°] (own)."""
    return np.where(rng.random(n) < 0.5, rng.uniform(0, 30, n), np.clip(rng.normal(46, 7, n), 30, 66))


def _gross_head(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Published small ones have 28, 30, 46, 50 and 67 m [Kathamba, Pipelines]; the middle so, the spread own. [m]"""
    return np.clip(lognormal(rng, n, 42, 0.6), 15, 170)


def _pipe_length(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """By the fall along the pipe.

    [Pipelines] have 0.10 to 0.38 (geometric mean 0.24, spread of the logarithm 0.55); the plants meant have a long
    pipe, so that the middle is taken lower (own). [m]
    """
    return np.clip(v["gross_head"] / np.clip(lognormal(rng, n, 0.17, 0.6), 0.03, 0.7), 60, 1500)


def _source_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """In the dry season. [Springs] are mostly below 0.8 L/s; those that plants are built at, and brooks, more (own).

    [L/s]
    """
    return np.clip(lognormal(rng, n, 1.0, 1.1), 0.03, 40)


def _left_in_stream(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Nothing where the spring is one's own; else for house, neighbours or fish a twentieth to a half [%] (own)."""
    return np.where(rng.random(n) < 0.4, 0.0, rng.uniform(5, 50, n))


def _planned_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """What there is, or what the watts wished for need by the rule of thumb [Rules]; the wishes are own. [m³/s]"""
    wished = lognormal(rng, n, 130, 0.8)
    return np.minimum(truth.available_flow(v), wished / (RULE * 9810 * v["gross_head"]))


def _pipe_outside(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The size nearest to a bore that loses the share of head people accept at the planned flow. [mm]

    Advice is a tenth [Pipelines]; handbooks go to a quarter, and most power is at a third (both from memory); pipe
    costs most of all, so that the middle is taken at a sixth (own). One in five uses a pipe that was there (own).
    """
    share = np.clip(lognormal(rng, n, 0.17, 0.55), 0.04, 0.6)
    slope = share * v["gross_head"] / v["pipe_length"]
    bore = (10.67 * v["planned_flow"] ** 1.852 / (HAZEN_WILLIAMS**1.852 * slope)) ** (1 / 4.87)  # [m]
    second_hand = rng.random(n) < 0.2
    bore = bore * np.where(second_hand, np.exp(rng.normal(0, 0.3, n)), 1.0)
    return _nearest(PIPE_SIZES, 1000 * bore / 0.82)


def _pipe_wall(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """As printed [mm]; thick enough for the head; at least 2 mm [MS 1058]; the shares are own."""
    ratio = choice(rng, n, WALL_RATIOS, (0.10, 0.45, 0.20, 0.25))
    ratio = np.where(v["gross_head"] > 90, np.minimum(ratio, 11.0), ratio)
    return np.maximum(v["pipe_outside"] / ratio, 2.0)


def _pipe_bore(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Walls are up to a tenth and 0.2 mm thicker than printed [MS 1058], mostly less, for thrift (own).

    Outside up to 0.3 mm over (EN 12201-2, from memory); 0.6 % for ovality and stretching (own). [mm]
    """
    wall = v["pipe_wall"] + rng.beta(1.5, 2.5, n) * (0.1 * v["pipe_wall"] + 0.2)
    return (v["pipe_outside"] + rng.uniform(0, 0.3, n) - 2 * wall) * rng.normal(1, 0.006, n)


def _pipe_roughness(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Clean 3 to 8 µm [Rocha]; with low slime 1.5 times the friction [Biofilm]; between them some film.

    In a bore of 26 mm at Reynolds number 50 000, 1.5 times the smooth friction is a roughness of 0.14 mm by
    Colebrook's formula. Spring water in the dark has no algae, so that the 4.1 times are left out. Shares own. [mm]
    """
    kind = choice(rng, n, (0, 1, 2), (0.45, 0.38, 0.17))
    middle = _by_kind(kind, *(np.full(n, value) for value in (0.0055, 0.022, 0.11)))
    return np.clip(middle * np.exp(rng.normal(0, 0.5, n)), 0.0015, 0.6)


def _entrance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Sharp to inward 0.5 to 1 (Crane TP-410, from memory); two in three have a strainer of 0.2 to 2.5 (own)."""
    return rng.uniform(0.5, 1.0, n) + np.where(rng.random(n) < 0.67, rng.uniform(0.2, 2.5, n), 0.0)


def _fittings_k(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Entrance, bends, valves, couplings and what narrows.

    Elbows 0.3 to 0.9, ball or gate valve 0.05 to 0.3, globe valve or filter 5 to 10 (Crane TP-410, from memory).
    Couplings every 50 to 100 m: half of the lines have barbs inside, 0.2 to 0.6 by Borda's formula for a bore of
    0.8 to 0.9, the others next to nothing (shares and numbers own).
    """
    bends = (2 + rng.poisson(v["pipe_length"] / 120)) * rng.uniform(0.1, 0.7, n)
    valves = rng.integers(1, 4, n) * rng.uniform(0.05, 0.3, n)
    barbs = np.where(rng.random(n) < 0.5, rng.uniform(0.2, 0.6, n), rng.uniform(0.02, 0.1, n))
    joints = v["pipe_length"] / rng.uniform(50, 100, n) * barbs
    narrow = np.where(rng.random(n) < 0.15, rng.uniform(5, 10, n), 0.0)
    return v["entrance"] + bends + valves + joints + narrow


def _water_temperature(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The year's mean of the air, 4.2 °C less per km of height and 1 °C colder at that [Crater].

    At sea level 27 °C at the equator and 13 °C at 43° of latitude ([Crater] and from memory). Where it is colder than
    2 to 5 °C nobody lives (own). [°C]
    """
    level = np.maximum(27 - 0.0073 * v["latitude"] ** 2, 8.0)
    mean = level - 0.0042 * v["altitude"] - 1 + rng.normal(0, 2.2, n)
    return np.maximum(mean, rng.uniform(2, 5, n))


def _pipe_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Flow of most jet power: head lost as flow to the power m has 1 / (1 + m) of it lost there. [m³/s]"""
    return truth.flow_for_loss(v, 0.35 * v["gross_head"])


def _best_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    return np.minimum(v["pipe_flow"], truth.available_flow(v))


def _design_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """What the nozzle is chosen for. [m³/s]"""
    return np.minimum(v["planned_flow"], v["best_flow"])


def _drilled(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 for a hole drilled in a cap, 0 for a nozzle with a taper or rounding inside (own)."""
    return (rng.random(n) < 0.35).astype(float)


def _velocity_coefficient(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Turned: 0.975 to 0.994 when as good as Weisbach's [Unwin], less where hand-made: with the contraction below
    the discharge of [Nozzles]. Drilled: 0.97 [Unwin].

    A hole in a thick cap could run full, at 0.82, below about 13 m only: above that the pressure at the narrowest
    place would be less than none, and the jet springs clear of the wall (derived from [Unwin]'s figures).
    """
    return np.where(v["drilled"] > 0.5, 0.945 + 0.045 * rng.beta(2.5, 2, n), 0.945 + 0.048 * rng.beta(2.2, 1.6, n))


def _contraction(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Sharp holes 0.62 to 0.66 [Unwin], up to 0.88 where the edge is broken or rounded (own).

    Turned: so that it makes 0.88 to 0.98 with the velocity coefficient [Nozzles].
    """
    sharp = rng.uniform(0.615, 0.66, n)
    broken = 0.66 + 0.22 * rng.beta(1.6, 2, n)
    drilled = np.where(rng.random(n) < 0.4, sharp, broken)
    return np.where(v["drilled"] > 0.5, drilled, 0.91 + 0.09 * rng.beta(2.8, 1.3, n))


def _best_nozzle(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """For the design flow. [mm]"""
    left = np.maximum(v["gross_head"] - truth.pipe_loss(v, v["design_flow"]), 0.1)
    velocity = v["velocity_coefficient"] * np.sqrt(2 * truth.gravity(v) * left)
    return 1000 * np.sqrt(4 * v["design_flow"] / (np.pi * velocity * v["contraction"]))


def _nozzle_print(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """An eighth off the best, to the half millimetre; half that above it where the source is short (own).

    There the pipe would run empty, which is seen, and people then take the next smaller one [Blog].
    """
    off = rng.normal(-0.02, 0.12, n)
    short = v["design_flow"] > 0.999 * truth.available_flow(v)
    off = np.where(short & (off > 0), off / 2, off)
    return np.maximum(np.round(2 * v["best_nozzle"] * np.exp(off)) / 2, 1.5)


def _nozzle(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Drills cut wide by about 0.1 mm, and sand wears the rest (own). [mm]"""
    return v["nozzle_print"] + np.where(v["drilled"] > 0.5, rng.normal(0.10, 0.10, n), rng.normal(0.04, 0.08, n))


def _jet_flow(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """[m³/s]"""
    return truth.jet(v)[0]


def _jet_velocity(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """[m/s]"""
    return v["jet_flow"] / truth.jet_area(v)


def _making(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The wheel: 0 a first home-made one, 1 cast or printed in a small workshop, 2 well made.

    The three shares (own) and the classes of the next functions are set so that the whole agrees with the measured
    efficiencies of such wheels: 25 to 47 % [Bench, Bode, Agar], 60 % [Gudukeya], 70 % [Cobb].
    The bench rigs lie in its lower half, as bearings take more of their few watts; what sellers say of whole plants
    [Rules] lies in the upper half.
    """
    return choice(rng, n, (0, 1, 2), (0.35, 0.45, 0.20))


def _pitch_diameter(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """9 to 50 jet diameters: a wheel is bought or cast in one size and used with the jet there is. [mm]

    Handbooks say ten and more (from memory). [Blog] has 5.36 mm and 870 rpm, which is about 46 jets at 0.43 of the
    jet's speed. Middle and spread, and 60 to 400 mm, are own.
    """
    jet = v["nozzle"] * np.sqrt(v["contraction"])
    return np.clip(jet * np.clip(lognormal(rng, n, 15, 0.4), 8, 50), 60, 400)


def _deflection(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Handbooks say 165 (from memory), spoons and cut pipe less (own). [°]"""
    angle = _by_kind(v["making"], rng.normal(150, 8, n), rng.normal(161, 5, n), rng.normal(166, 3, n))
    return np.clip(angle, 125, 177)


def _cup_friction(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Rough cups were what cost [Cobb]'s wheel its efficiency. By `making`; the numbers are own."""
    return _by_kind(
        v["making"],
        0.45 + 0.40 * rng.beta(2.5, 2, n),
        0.70 + 0.24 * rng.beta(3, 2, n),
        0.82 + 0.16 * rng.beta(3, 2, n),
    )


def _alignment(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """What splashes, misses the cups or meets their edges ([Cobb] moved the jet). By `making`; the numbers are own."""
    return _by_kind(
        v["making"],
        0.40 + 0.50 * rng.beta(3, 2.5, n),
        0.60 + 0.37 * rng.beta(3, 2.2, n),
        0.78 + 0.19 * rng.beta(3, 2, n),
    )


def _shaft_speed(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """To size drags and windings by. [rad/s]"""
    return SPEED_RATIO * v["jet_velocity"] / (v["pitch_diameter"] / 2000)


def _shaft_torque(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Of the jet on this wheel at that speed. [N·m]"""
    cups = 1 + v["cup_friction"] * np.cos(np.pi - np.radians(v["deflection"]))
    force = 1000 * v["jet_flow"] * v["alignment"] * cups * v["jet_velocity"] * (1 - SPEED_RATIO)
    return force * v["pitch_diameter"] / 2000


def _bearing_drag(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Two small ball bearings, often with rubbing seals, sometimes a lip seal on the shaft. [N·m]

    Rolling: friction 0.001 to 0.005 (nbyfbearing.com) of some 100 N at 8 mm; rubbing seals 0.006 to 0.04 together,
    a lip seal 0.02 to 0.08 (makers' data, from memory; shares own). A shaft that takes more than a fifth of the
    torque is felt to be stiff and changed (own).
    """
    rolling = lognormal(rng, n, 0.003, 0.5)
    seals = np.where(rng.random(n) < 0.6, rng.uniform(0.006, 0.04, n), 0.0)
    lip = np.where(rng.random(n) < 0.2, rng.uniform(0.02, 0.08, n), 0.0)
    return np.minimum(rolling + seals + lip, rng.uniform(0.15, 0.2, n) * v["shaft_torque"])


def _windage(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 to 12 % of the shaft's power at 15 jets: air, and above all spray thrown back; more on larger wheels.

    The share of the air rises with the square of the wheel's size over the jet's (similarity of fans at one speed of
    the cups), that of the spray does not (own): it is taken to rise with the first power, to a fifth at most.

    Best at 0.43 of the jet's speed [Cobb] where theory has 0.5 is what a drag with the square of the speed of about
    10 % does, by 1 - 2 x = 3 c x² (derived).
    """
    power = v["shaft_torque"] * v["shaft_speed"]
    jets = v["pitch_diameter"] / v["nozzle"] / np.sqrt(v["contraction"])
    share = np.minimum(_log_uniform(rng, n, 0.01, 0.12) * jets / 15, 0.2)
    return share * power / (v["shaft_speed"] * truth.RPM / 1000) ** 3


def _iron_drag(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Without iron next to nothing [Axial]; with it 2 to 15 %, as machines are mostly larger than the plant (own).

    [Blog] has to take out more than half of the iron at low flow, as the wheel could not turn it.
    """
    ironless = rng.random(n) < 0.3
    share = np.where(ironless, _log_uniform(rng, n, 0.002, 0.01), _log_uniform(rng, n, 0.02, 0.15))
    return share * v["shaft_torque"]


def _diode_drop(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Silicon bridges 0.7 to 1.05 V, Schottky 0.33 to 0.6 V a diode (data sheets, from memory; shares own)."""
    return np.where(rng.random(n) < 0.15, rng.uniform(0.33, 0.6, n), rng.uniform(0.7, 1.05, n))


def _battery_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """A plant that runs day and night keeps its battery near 2.25 to 2.45 V a cell [Charging]; lower while it fills.

    Three in five are held by a dump load, the others fill, at 2.1 to 2.3 V (own).
    """
    regulated = rng.random(n) < 0.6
    volts = np.where(regulated, rng.normal(13.9, 0.35, n), rng.normal(13.1, 0.4, n))
    return v["system_volts"] / 12 * np.clip(volts, 12.3, 15.0)


def _pole_pairs(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Hand-wound discs, converted car and washing machines, hub motors, small ready-made ones (own)."""
    kinds = (2, 3, 4, 5, 6, 8, 10, 14, 20, 23, 28)
    return choice(rng, n, kinds, (0.06, 0.09, 0.14, 0.10, 0.22, 0.13, 0.06, 0.04, 0.04, 0.05, 0.07))


def _delta(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """1 for delta (own)."""
    return (rng.random(n) < 0.25).astype(float)


def _current(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """To size cable and winding by. [A]"""
    return 0.75 * v["shaft_torque"] * v["shaft_speed"] / v["battery_volts"]


def _cable_length(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Published examples have 9 and 50 m ([Rules]' Real Goods and homepower.ca); middle between, spread own. [m]"""
    return np.clip(lognormal(rng, n, 22, 0.9), 2, 250)


def _cable_print(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The size nearest to a loss of about a twentieth, a rule of installers (from memory; spread own). [mm²]"""
    share = np.clip(lognormal(rng, n, 0.05, 0.6), 0.01, 0.2)
    area = 2 * v["cable_length"] * truth.COPPER * v["current"] / (share * v["battery_volts"]) * 1e6
    return _nearest(CABLE_SIZES, area)


def _cable_area(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """The greatest resistances of IEC 60228 are those of 93 to 95 % of the print (from memory); so 93 to 100 %.

    One cable in fourteen has half to 87 %: [Cables] found half, and claims more cables than that. [mm²]
    """
    poor = rng.random(n) < 0.07
    return v["cable_print"] * np.where(poor, rng.uniform(0.5, 0.87, n), rng.uniform(0.93, 1.0, n))


def _cable_temperature(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Near the water's, which is the year's mean, by season and current warmer or colder (own). [°C]"""
    return np.clip(v["water_temperature"] + 5 + rng.normal(0, 8, n), 0.5, 60)


def _copper_share(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Of the battery's volts lost in the winding.

    [Fajardo]'s set kept about two thirds from shaft to wire at its best points, [Axial] a third; better ones keep
    above 80 % (from memory). Middle an eighth, spread own.
    """
    return np.clip(lognormal(rng, n, 0.12, 0.7), 0.02, 0.7)


def _commutation_share(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Of the battery's volts lost while the current passes from phase to phase: little without iron (own)."""
    return _log_uniform(rng, n, 0.005, 0.13)


def _phase_volts(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """Meant to turn near the best speed, and a sixth off it, as few machines are to be had (own)."""
    cable = np.minimum(truth.cable_resistance(v) * v["current"] / v["battery_volts"], 0.3)
    needed = v["battery_volts"] * (1 + cable + v["copper_share"] + v["commutation_share"]) + 2 * v["diode_drop"]
    emf = needed / v["shaft_speed"] * np.exp(rng.normal(0, 0.17, n))
    return emf / truth.THREE_PHASE * 1000 / truth.RPM * np.sqrt(_part(v))


def _part(v: dict[str, Array]) -> Array:
    return np.where(v["delta"] > 0.5, 3.0, 1.0)


def _phase_resistance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """By `copper_share`, 5 % as windings turn out (own). [Ω]"""
    share = v["copper_share"] * np.exp(rng.normal(0, 0.05, n))
    return share * v["battery_volts"] / v["current"] / 2 * _part(v)


def _phase_inductance(v: dict[str, Array], rng: np.random.Generator, n: int) -> Array:
    """By `commutation_share`, 5 % as windings turn out (own). [mH]"""
    reactance = v["commutation_share"] * np.exp(rng.normal(0, 0.05, n)) * v["battery_volts"] / v["current"]
    return 1000 * reactance / (3 / np.pi * v["pole_pairs"] * v["shaft_speed"]) * _part(v)


DRAWS = by_name(
    (
        _system_volts,
        _altitude,
        _latitude,
        _gross_head,
        _pipe_length,
        _source_flow,
        _left_in_stream,
        _planned_flow,
        _pipe_outside,
        _pipe_wall,
        _pipe_bore,
        _pipe_roughness,
        _entrance,
        _fittings_k,
        _water_temperature,
        _pipe_flow,
        _best_flow,
        _design_flow,
        _drilled,
        _velocity_coefficient,
        _contraction,
        _best_nozzle,
        _nozzle_print,
        _nozzle,
        _jet_flow,
        _jet_velocity,
        _making,
        _pitch_diameter,
        _deflection,
        _cup_friction,
        _alignment,
        _shaft_speed,
        _shaft_torque,
        _bearing_drag,
        _windage,
        _iron_drag,
        _diode_drop,
        _battery_volts,
        _pole_pairs,
        _delta,
        _current,
        _cable_length,
        _cable_print,
        _cable_area,
        _cable_temperature,
        _copper_share,
        _commutation_share,
        _phase_volts,
        _phase_resistance,
        _phase_inductance,
    )
)
PUBLISHED = Population("published", DRAWS, LEAST_WATTS, MOST_WATTS, THINNEST_JET)

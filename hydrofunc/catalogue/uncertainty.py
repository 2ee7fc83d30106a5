"""Declarations: a measured efficiency and its uncertainty."""

from math import inf

import numpy as np

from ..physics import efficiency_measured, uncertainty
from ..registry import REQUIRED, Argument, Example, Rule, declare
from .electrical_safety import POWER
from .nomenclature import BORE, FLOW, GRAVITY, NET_HEAD, PITCH_DIAMETER, SPEED, TEMPERATURE
from .survey import GAUGE_HEIGHT

GROUP = "Efficiency and uncertainty"
GUM = "JCGM 100:2008 (GUM)"
FIELD_TEST = "In the manner of IEC 60041 and IEC 62006 (clauses not seen)"
MODEL_TEST = "IEC 60193 (from memory, not looked up)"

RUNNING_PRESSURE = Argument("running_pressure", "bar", "What the gauge reads while water flows.", "[0, 150]")
GAUGE_ABOVE = GAUGE_HEIGHT.with_(default=REQUIRED)
HEAD = NET_HEAD.with_(within="(0, 1500]")
UNCERTAINTIES = Argument(
    "uncertainties", "-", "Standard uncertainties of the inputs, all in one unit such as %.", "[0, inf)", many=True
)
SENSITIVITIES = Argument(
    "sensitivities", "-", "Change of the result per change of each input, as many as those.", "(-inf, inf)", many=True
)
CORRELATIONS = Argument(
    "correlations",
    "-",
    "One for each pair, in the order 1-2, 1-3, ... 2-3, ...; 0 or left out: none.",
    "[-1, 1]",
    default=0.0,
    many=True,
)
CONTRIBUTIONS = Argument(
    "contributions", "-", "Sensitivity x standard uncertainty of each input, in one unit.", "(-inf, inf)", many=True
)
DEGREES_EACH = Argument(
    "degrees_each",
    "-",
    "Degrees of freedom of each: readings less 1; 0 or left out: not from readings.",
    "[0, inf]",
    default=0.0,
    many=True,
)
DEGREES_OF_FREEDOM = Argument(
    "degrees_of_freedom",
    "-",
    "Degrees of freedom, as from EFFECTIVE_DEGREES; left out: infinitely many.",
    "[1, inf]",
    default=inf,
)
CONFIDENCE = Argument(
    "confidence", "%", "Probability that the interval holds the value.", "[1, 99.9999]", default=95.45
)


def _length(values):
    return np.shape(np.atleast_1d(values))[-1]


def _fit_or_none(values, count):
    """Whether a list holds `count` values, or a single 0."""
    return (_length(values) == count) | ((_length(values) == 1) & np.all(np.equal(values, 0), axis=-1))


AS_MANY = Rule(
    "sensitivities",
    "be as many as the uncertainties (a blank cell does not count)",
    lambda uncertainties, sensitivities, **_: _length(sensitivities) == _length(uncertainties),
)
FITTING_CORRELATIONS = Rule(
    "correlations",
    "be one for each pair and possible together, or 0",
    lambda uncertainties, correlations, **_: (
        ~np.isnan(uncertainty.correlation_matrix(np.atleast_1d(correlations), _length(uncertainties))).any(
            axis=(-1, -2)
        )
    ),
)
FITTING_DEGREES = Rule(
    "degrees_each",
    "be as many as the contributions (a blank cell does not count), or 0",
    lambda contributions, degrees_each: _fit_or_none(np.atleast_1d(degrees_each), _length(contributions)),
)

declare(
    efficiency_measured.measured_head,
    group=GROUP,
    help="Net head before the nozzle, from the gauge while water flows, its height and the flow.",
    arguments=(RUNNING_PRESSURE, GAUGE_ABOVE, FLOW, BORE, TEMPERATURE, GRAVITY),
    unit="m",
    meaning="Net head.",
    symbol="H_n",
    equation="H_n = p / (rho g) + z + V² / 2g",
    source=f"Energy equation (Bernoulli). {FIELD_TEST}",
    example=Example(
        {
            "running_pressure": 4.91717,
            "gauge_height": 0,
            "flow": 2.393304,
            "bore": 40.9,
            "temperature": 8,
            "gravity": 9.80447,
        },
        50.33,
    ),
    caution="A gauge line under pressure can throw its hose: bleed it slowly, face aside.",
)
declare(
    efficiency_measured.measured_efficiency,
    group=GROUP,
    help="Power delivered, of the power of the water before the nozzle.",
    arguments=(POWER, FLOW.with_(within="(0, 1000]"), HEAD, TEMPERATURE, GRAVITY),
    unit="%",
    meaning="Efficiency, water to where the power is read.",
    possible="[0, 100]",  # more comes from a wrong reading
    symbol="eta",
    equation="eta = P / (rho g Q H_n)",
    source=f"Definition of efficiency. {FIELD_TEST}",
    example=Example({"power": 772.8, "flow": 2, "net_head": 81.5993}, 48.3, "27.6 V x 28 A out of 2 L/s at 8 bar."),
)
declare(
    efficiency_measured.speed_factor,
    group=GROUP,
    help="Speed without dimension: equal wheels of any size run alike where it is equal.",
    arguments=(SPEED, PITCH_DIAMETER, HEAD, GRAVITY),
    unit="-",
    meaning="Speed factor.",
    symbol="n_ED",
    equation="n_ED = n D / sqrt(g H_n), n in turns per second",
    source=MODEL_TEST,
    example=Example({"speed": 2230.93, "pitch_diameter": 120, "net_head": 50.32899, "gravity": 9.80447}, 0.20086),
)
declare(
    efficiency_measured.discharge_factor,
    group=GROUP,
    help="Flow without dimension: equal wheels of any size are loaded alike where it is equal.",
    arguments=(FLOW, PITCH_DIAMETER, HEAD, GRAVITY),
    unit="-",
    meaning="Discharge factor.",
    symbol="Q_ED",
    equation="Q_ED = Q / (D² sqrt(g H_n))",
    source=MODEL_TEST,
    example=Example({"flow": 2.393304, "pitch_diameter": 120, "net_head": 50.32899, "gravity": 9.80447}, 0.0074819),
)
declare(
    uncertainty.combined_uncertainty,
    group=GROUP,
    help="Standard uncertainty of a result, from those of its inputs and what each does to the result: root of the "
    "sum of squares where "
    "they are independent.",
    arguments=(UNCERTAINTIES, SENSITIVITIES, CORRELATIONS),
    unit="-",
    meaning="Standard uncertainty, in the unit of sensitivity x uncertainty.",
    symbol="u_c",
    equation="u_c² = sum of c_i c_j u_i u_j r_ij",
    source=f"{GUM}, equations 10 and 16",
    rules=(AS_MANY, FITTING_CORRELATIONS),
    example=Example(
        {"uncertainties": [2, 1, 0.5, 1.2], "sensitivities": [-1, -1, 1, 1]},
        2.5865,
        "Flow 2 %, pressure 1 %, volts 0.5 %, amperes 1.2 %.",
    ),
)
declare(
    uncertainty.effective_degrees,
    group=GROUP,
    help="Degrees of freedom of a combined uncertainty (Welch-Satterthwaite); above a million it gives a million.",
    arguments=(CONTRIBUTIONS, DEGREES_EACH),
    unit="-",
    meaning="Effective degrees of freedom.",
    symbol="nu_eff",
    equation="nu_eff = u_c⁴ / sum of (u_i⁴ / nu_i)",
    source=f"{GUM}, equation G.2b",
    rules=(FITTING_DEGREES,),
    example=Example({"contributions": [3, 4], "degrees_each": [2, 5]}, 6.8, "625 / (81/2 + 256/5)."),
)
declare(
    uncertainty.coverage_factor,
    group=GROUP,
    help="Factor that widens a standard uncertainty so that the interval holds the value with a given probability "
    "(Student's t).",
    arguments=(DEGREES_OF_FREEDOM, CONFIDENCE),
    unit="-",
    meaning="Coverage factor.",
    symbol="k",
    equation="probability of |t| <= k equals the confidence",
    source=f"{GUM}, G.3 and table G.2",
    example=Example({"degrees_of_freedom": 16, "confidence": 99}, 2.921),
)

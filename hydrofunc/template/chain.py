"""How the template's cells feed our functions: argument name -> worksheet expression.

`call` writes a worksheet call with every argument of the declaration wired, so that no position can be
mistaken and a new argument cannot be forgotten.
"""

from .. import catalogue  # noqa: F401  (fills the registry)
from ..errors import DeclarationError
from ..registry import FUNCTIONS
from .expression import Expression, cell, of_ours

WIRED = {
    "temperature": "water_temperature",
    "length": "pipe_length",
    "bore": "bore_used",
    "roughness": "roughness_used",
    "fittings": "fittings_k",
    **{
        name: name
        for name in """gravity gross_head net_head flow available_flow nozzle jets velocity_coefficient contraction
        length_2 bore_2 roughness_2 length_3 bore_3 roughness_3 jet_velocity pitch_diameter deflection cup_friction
        alignment bearing_drag windage phase_volts pole_pairs phase_resistance phase_inductance connection diode_drop
        cable_resistance iron_drag load battery_volts load_resistance controller_efficiency speed current
        jet_diameter speed_ratio wave_speed wave_speed_2 wave_speed_3 valve_time surge_allowed
        altitude pipe_standard pipe_class wall_temperature
        autonomy depth_of_discharge delivery_efficiency battery_temperature cell_volts compensation rated_hours peukert
        gassing heat_efficiency""".split()
    },
}


def call(name: str, **given: object) -> str:
    """`HYDRO_NAME(...)` with the template's names, except where `given` says otherwise, as worksheet text. The last
    arguments are left out where they are given as "".

    Raises DeclarationError for an argument the function does not have, or that nothing feeds.
    """
    return f"{FUNCTIONS[name].sheet_name}({','.join(str(fed) for fed in _fed(name, given).values()).rstrip(',')})"


def asked(name: str, **given: object) -> Expression:
    """The same as an expression; what `given` holds are expressions, numbers, or texts such as "battery"."""
    fed = _fed(name, given)
    return of_ours(FUNCTIONS[name], {key: text if key in given else cell(text) for key, text in fed.items()})


def _fed(name, given):
    """What feeds each argument of a function, in order."""
    function = FUNCTIONS[name]
    unknown = set(given) - {argument.name for argument in function.arguments}
    if unknown:
        raise DeclarationError(f"the template gives {name} arguments it does not have: {sorted(unknown)}")
    fed = {}
    for argument in function.arguments:
        if argument.name not in given and argument.name not in WIRED:
            raise DeclarationError(f"the template does not say what feeds {name}'s argument {argument.name}")
        fed[argument.name] = given[argument.name] if argument.name in given else WIRED[argument.name]
    return fed


def of_plant(quantity: str, *pairs: str, block: str = "plant") -> str:
    """`HYDRO_PLANT(plant,"quantity",...)` as worksheet text; `pairs` is a name and a value, or a range of each.

    A name that begins with a letter and is no cell is written as text. Raises DeclarationError for an unknown quantity.
    """
    known = next(argument for argument in FUNCTIONS["plant"].arguments if argument.name == "quantity").choices
    if quantity not in known:
        raise DeclarationError(f"a plant has no quantity {quantity}")
    if pairs and pairs[0].isidentifier() and pairs[0].islower():
        pairs = (f'"{pairs[0]}"', *pairs[1:])
    return f"HYDRO_PLANT({','.join((block, _quoted(quantity), *pairs))})"


def _quoted(word):
    return f'"{word}"'

"""All names that a workbook needs to carry every worksheet function."""

from functools import lru_cache

from ..errors import DeclarationError
from ..registry import FUNCTIONS
from .lambda_names import HELPER, LEFT_OUT, LOCAL_WORDS, READERS, Names, add_function, by_hand, left_out
from .of_plants import OF_PLANTS
from .plant import add_plant
from .symbols import CannotTrace
from .text import stored
from .trace import traced
from .wave_names import add_waves


@lru_cache(maxsize=1)
def names() -> Names:
    """Every worksheet function and what it calls, as a workbook stores it.

    Raises `DeclarationError` for a function that cannot be traced, or is too long, and is not in `LEFT_OUT`.
    """
    result = Names()
    for name, text in READERS.items():
        result.add(HELPER + name, stored(by_hand(text, LOCAL_WORDS)))
    for function in FUNCTIONS.values():
        if function.name in LEFT_OUT:
            result.add(function.sheet_name, left_out(function), f"Not without Python: {LEFT_OUT[function.name]}.")
        elif function.name == "plant":
            add_waves(result, add_plant(result))
        elif function.name not in OF_PLANTS:
            try:
                add_function(result, function, traced(function))
            except CannotTrace as error:
                raise DeclarationError(str(error)) from error
    return result

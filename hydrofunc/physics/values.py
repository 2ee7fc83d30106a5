"""Types of the physics: what goes into a function and what comes out.

Numbers are in SI units. Every function works on single numbers and on arrays alike; arrays broadcast together, and the
result has the shape they have together.
"""

from typing import Any, TypeAlias

import numpy as np

Values: TypeAlias = float | np.ndarray[Any, Any]  # a number or an array of numbers
Words: TypeAlias = str | np.ndarray[Any, Any]  # a word of a short list, such as "star", or an array of them
Result: TypeAlias = Any  # a number or an array of numbers, in the shape of the arguments together

"""Shared by all tests.

The gate draws the same examples every time, so that it says something about the change and not about luck. To go
looking for trouble with new ones:  python -m pytest --hypothesis-profile=wide
"""

import gc

from hypothesis import settings

# A compiled workbook is hundreds of thousands of small objects, and none of them is garbage. By default Python looks
# through all of them again and again while they are made: 40 % of the time of a recalculation.
gc.set_threshold(200_000, 20, 50)

settings.register_profile("gate", deadline=None, max_examples=60, derandomize=True)
settings.register_profile("wide", deadline=None, max_examples=600)
settings.load_profile("gate")

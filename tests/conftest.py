"""Shared by all tests.

The gate draws the same examples every time, so that it says something about the change and not about luck. To go
looking for trouble with new ones:  python -m pytest --hypothesis-profile=wide
"""

from hypothesis import settings

settings.register_profile("gate", deadline=None, max_examples=60, derandomize=True)
settings.register_profile("wide", deadline=None, max_examples=600)
settings.load_profile("gate")

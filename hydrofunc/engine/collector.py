"""Python's garbage collector, paused while a workbook becomes the many small objects that live as long as it does."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_paused() -> Iterator[None]:
    """No garbage is sought within: to look through a million new objects again and again doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()

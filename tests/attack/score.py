"""What came of an attack, and a guard around one call: another exception, a warning or too long a time is a finding."""

import signal
import warnings
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

FINDINGS_KEPT = 40


class TooLong(BaseException):
    """A call has used up its time. No `Exception`, so that nothing on the way takes it for one of its own."""


@dataclass
class Score:
    """Counts of calls, and the first findings in words, with what repeats them."""

    tried: int = 0
    refused: int = 0
    crashed: int = 0
    hung: int = 0
    wrong: int = 0
    findings: list[str] = field(default_factory=list)

    def __iadd__(self, other: "Score") -> "Score":
        for name in ("tried", "refused", "crashed", "hung", "wrong"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.findings = (self.findings + other.findings)[:FINDINGS_KEPT]
        return self

    def note(self, kind: str, words: str) -> None:
        """Count a finding of a kind: crashed, hung or wrong."""
        setattr(self, kind, getattr(self, kind) + 1)
        if len(self.findings) < FINDINGS_KEPT:
            self.findings.append(f"{kind}: {words}")

    def __str__(self) -> str:
        counts = ", ".join(
            f"{name} {getattr(self, name):,}" for name in ("tried", "refused", "crashed", "hung", "wrong")
        )
        return "\n".join([counts, *self.findings])


@contextmanager
def time_limit(seconds: float):
    """Raises `TooLong` in the block after so many seconds of work (a busy machine makes nothing late).

    Only in the main thread, as signals are.
    """

    def stop(*_):
        raise TooLong

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def guarded(score: Score, words: str, refusals: tuple[type[BaseException], ...], seconds: float, call: Callable) -> Any:
    """("value", what the call gives), ("refused", the error) or ("finding", None); counted in `score`."""
    score.tried += 1
    try:
        with warnings.catch_warnings(), time_limit(seconds):
            warnings.simplefilter("error")
            return "value", call()
    except refusals as error:
        score.refused += 1
        return "refused", error
    except TooLong:
        score.note("hung", f"{words}: more than {seconds:g} s")
    except Exception as error:
        score.note("crashed", f"{words}: {type(error).__name__}: {str(error)[:200]}")
    return "finding", None

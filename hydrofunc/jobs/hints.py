"""What the writer of a name that is no input may have meant: by meaning first, by spelling last."""

import re
from collections.abc import Collection
from difflib import get_close_matches

from ..template import INPUTS, Input

_GAUGE = ("static_pressure", "reading_static", "reading_running")
_RUNNING = ("reading_running", "reading_speed", "reading_volts", "reading_amps")
_VOLTS = ("reading_volts", "battery_volts", "test_volts")
_AMPS = ("reading_amps", "current_limit")
_BUCKET = ("bucket_volume", "bucket_seconds", "reading_seconds")
_HEAD = ("level_difference", "static_pressure")
_SPEED = ("reading_speed", "test_speed")

# What people call a thing, and the inputs it may be. Of several words those inputs count that all of them may mean.
# What the Log or the sheet Doubt holds is in none: a reading written there by mistake would judge later ones.
MEANINGS = {
    "overflow": ("reading_overflow",),
    "screen": ("reading_screen",),
    "gauge": _GAUGE,
    "manometer": _GAUGE,
    "pressure": _GAUGE,
    "static": ("static_pressure", "reading_static"),
    "rest": ("static_pressure", "reading_static"),
    "shut": ("static_pressure", "reading_static"),
    "running": _RUNNING,
    "run": _RUNNING,
    "volt": _VOLTS,
    "volts": _VOLTS,
    "voltage": _VOLTS,
    "amp": _AMPS,
    "amps": _AMPS,
    "amperes": _AMPS,
    "current": _AMPS,
    "bucket": _BUCKET,
    "litres": ("bucket_volume", "tank_volume"),
    "seconds": ("bucket_seconds", "reading_seconds"),
    "stopwatch": ("bucket_seconds", "reading_seconds"),
    "bore": ("pipe_bore",),
    "inside": ("pipe_bore",),
    "diameter": ("pipe_bore", "nozzle", "pitch_diameter"),
    "length": ("pipe_length", "cable_length"),
    "pipe": ("pipe_length", "pipe_bore", "pipe_rating"),
    "head": _HEAD,
    "height": _HEAD,
    "drop": _HEAD,
    "fall": _HEAD,
    "flow": ("known_flow", "bucket_seconds"),
    "jet": ("nozzle", "jets"),
    "hole": ("nozzle",),
    "wheel": ("pitch_diameter",),
    "runner": ("pitch_diameter",),
    "cable": ("cable_length", "cable_area"),
    "wire": ("cable_length", "cable_area"),
    "battery": ("battery_volts", "battery_capacity"),
    "speed": _SPEED,
    "rpm": _SPEED,
    "resistance": ("terminal_resistance",),
    "ohms": ("terminal_resistance",),
    "poles": ("pole_pairs",),
    "emf": ("phase_volts", "test_volts"),
    "krpm": ("phase_volts", "test_volts"),
    "winding": ("phase_volts", "phase_resistance"),
    "source": ("known_flow", "bucket_seconds"),
    "spring": ("known_flow", "bucket_seconds"),
    "three": ("three_area",),
    "name": ("site_name",),
    "site": ("site_name",),
    "plant": ("site_name",),
    "making": ("wheel_made", "nozzle_made"),
    "drag": ("bearing_drag", "iron_drag"),
    "drags": ("bearing_drag", "iron_drag"),
    "inductance": ("terminal_inductance",),
    "henries": ("terminal_inductance",),
    "tree": ("break_along_2", "break_below_2"),
    "burst": ("break_along_2", "break_below_2"),
    "money": ("budget",),
    "weight": ("carry",),
}
_BESIDE_THE_POINT = ("Log", "Doubt", "Efficiency", "Limits")  # sheets whose inputs are suggested only by their spelling
_SMALL = frozenset("a an at by in is of on the to".split())  # words that a person leaves out of a label
_MOST = 4  # suggestions that a person still reads


def plain_label(item: Input) -> str:
    """The label of an input without the number that a reading has on its sheet."""
    return re.sub(r"^Reading: [0-9]+ +", "", item.label)


_LABELS = {item.name: plain_label(item) for item in INPUTS}


def meant(name: str, known: Collection[str] = tuple(_LABELS)) -> tuple[str, ...]:
    """The names among `known` that the writer of `name` may have meant, the likeliest first; none is an answer too."""
    name = name.casefold()
    spelt = {other.casefold(): other for other in known}
    words = re.findall(r"[a-z]+", name)
    if labelled := [other for other in _labelled(words) if other in spelt]:
        return tuple(labelled)
    mistyped = get_close_matches(name, spelt, n=1, cutoff=0.85)
    if mistyped and not all(word in MEANINGS for word in words):
        return (spelt[mistyped[0]],)
    candidates = _by_meaning(words) or _by_label(words)
    if candidates := [other for other in candidates if other in spelt][:_MOST]:
        return tuple(candidates)
    return tuple(spelt[near] for near in get_close_matches(name, spelt, n=1))


def _labelled(words):
    """Inputs that a sheet calls just so, small words left out."""
    said = set(words) - _SMALL
    calls = {item.name: (plain_label(item), item.short) for item in INPUTS if item.sheet not in _BESIDE_THE_POINT}
    same = [
        name
        for name, labels in calls.items()
        if any(said and said == set(re.findall(r"[a-z]+", label.lower())) - _SMALL for label in labels)
    ]
    return same if len(same) <= _MOST else []


def by_meaning(text: str) -> Collection[str]:
    """Names of the inputs that people call so; none where a word of it has no such meaning."""
    words = re.findall(r"[a-z]+", text.casefold())
    return _by_meaning(words) if all(word in MEANINGS for word in words) else ()


def _by_meaning(words):
    meanings = [MEANINGS[word] for word in words if word in MEANINGS]
    if not meanings:
        return ()
    common = [name for name in meanings[0] if all(name in others for others in meanings)]
    return common or list(dict.fromkeys(name for names in meanings for name in names))


def _by_label(words):
    """Inputs whose labels hold all the words, the shortest labels first."""
    fitting = [
        item
        for item in INPUTS
        if item.sheet not in _BESIDE_THE_POINT
        and words
        and set(words) <= set(re.findall(r"[a-z]+", item.label.lower()))
    ]
    return [item.name for item in sorted(fitting, key=lambda item: len(item.label))]


def suggestion(name: str, known: Collection[str] = tuple(_LABELS)) -> str:
    """What the writer of an unknown name may have meant, as the end of a sentence; or nothing."""
    names = meant(name, known)
    if not names:
        return ""
    if len(names) == 1:
        return f"; did you mean {names[0]}?"
    shown = [f"{name} ({_LABELS[name]})" if name in _LABELS else name for name in names]
    return f"; did you mean {', '.join(shown[:-1])} or {shown[-1]}?"


def by_spelling(name: str, known: Collection[str]) -> str:
    """The name nearest in spelling, as the end of a sentence; or nothing."""
    near = get_close_matches(name.casefold(), known, n=1)
    return f"; did you mean {near[0]}?" if near else ""

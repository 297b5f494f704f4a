"""In what unit the figures of a key of the problem file are."""

from __future__ import annotations

from ...analysis.study.keypath import read_paths
from ...base.errors import InputError
from ...problem import Problem

TIMES = frozenset(
    ("min", "max", "nominal", "may_give_min", "may_give_max", "drip", "min_drip", "lift", "lower")
) | frozenset(("settling", "min_occupation", "return_time", "time", "tick"))
"""Keys of the problem file whose values are times."""


def with_unit(key: str, problem: Problem) -> str:
    """A varied key with its unit in brackets; as it is where it has none, or several."""
    try:
        paths, rest = read_paths(key)
    except InputError:
        return key
    units = {unit_of(path.parts[-1].key, problem) for path in paths}
    if rest or len(units) != 1 or None in units:
        return key
    return f"{key} [{units.pop()}]"


def unit_of(key: str, problem: Problem) -> str | None:
    """The unit of a key of the problem file; None where it has none."""
    time, length = problem.unit, problem.length_unit
    if key in TIMES:
        return time
    by_length = {
        "position": length,
        "speed": f"{length}/{time}",
        "acceleration": f"{length}/{time}\N{SUPERSCRIPT TWO}",
    }
    return by_length.get(key) or None

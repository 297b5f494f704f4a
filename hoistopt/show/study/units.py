"""A varied key with the unit of its figures."""

from __future__ import annotations

from ...analysis.study.keypath import read_paths
from ...base.errors import InputError
from ...problem import Problem
from ...problem.units import unit_of


def with_unit(key: str, problem: Problem) -> str:
    """A varied key with its unit in brackets; as it is where it has none, or several."""
    try:
        paths, rest = read_paths(key)
    except InputError:
        return key
    units = {unit_of(path.parts[-1].key, problem.unit, problem.length_unit) for path in paths}
    if rest or len(units) != 1 or None in units:
        return key
    return f"{key} [{units.pop()}]"

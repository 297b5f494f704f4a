"""Which parameters make no difference to a line: what is planned stays the same."""

from __future__ import annotations

from collections.abc import Sequence

from ...base.errors import InfeasibleError
from ...instance import build_instance
from .design import Design
from .levels import Value


def without_effect(designs: Sequence[Design], names: Sequence[str]) -> tuple[str, ...]:
    """Names of the parameters whose value never changes the moves, windows or places.

    Such as a speed on a line whose times all come from tables.
    """
    planned = [_planned(design) for design in designs]
    idle = []
    for name in names:
        groups: dict[tuple[tuple[str, Value], ...], list[object]] = {}
        for design, plan in zip(designs, planned, strict=True):
            others = tuple(setting for setting in design.settings if setting[0] != name)
            groups.setdefault(others, []).append(plan)
        if all(len(group) > 1 and len(set(group)) == 1 for group in groups.values()):
            idle.append(name)
    return tuple(idle)


def _planned(design: Design) -> object:
    try:
        return hash(build_instance(design.problem, design.degree, several=True))
    except InfeasibleError as error:
        return str(error)

"""A minimal conflicting set by divide and conquer.

U. Junker (2004), QUICKXPLAIN: Preferred explanations and relaxations for
over-constrained problems, Proceedings of AAAI-04, 167-172.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")


def minimal_conflict(
    members: Sequence[T], impossible: Callable[[Sequence[T]], bool]
) -> tuple[T, ...]:
    """Some members that cannot be kept together, as few as can be.

    Parameters
    ----------
    members : sequence
        Cannot be kept all together. Where there is a choice, later ones are left out.
    impossible : callable
        Tells whether the given members cannot be kept together. It may answer no where
        it does not know: the set is then longer than it need be, but conflicts still.

    Returns
    -------
    tuple
        In the order of `members`; empty where not even nothing can be kept.
    """
    if impossible(()):
        return ()
    found = _conflict([], False, list(members), impossible)
    return tuple(member for member in members if member in found)


def _conflict(
    background: list[T],
    grown: bool,
    members: list[T],
    impossible: Callable[[Sequence[T]], bool],
) -> list[T]:
    """What of `members` has to join the background for a conflict."""
    if grown and impossible(background):
        return []
    if len(members) <= 1:
        return members
    half = len(members) // 2
    first, second = members[:half], members[half:]
    from_second = _conflict(background + first, True, second, impossible)
    from_first = _conflict(background + from_second, bool(from_second), first, impossible)
    return from_first + from_second

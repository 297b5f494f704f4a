"""Where the order of a log differs from the planned one: what is missing, added, out of turn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from .planned import PlannedMove

Kind = Literal["out of turn", "other target", "other source", "added", "missing"]
Why = Literal["a load stood there", "no new load", "nothing had been brought", ""]


@dataclass(frozen=True)
class Deviation:
    """One difference.

    Attributes
    ----------
    kind : str
        A planned move made in another place of the order; one made to, or from, another
        station; a move that is none of the plan's; a planned one that was not made.
    made : int or None
        Which logged move, from 0; None of a missing one.
    position : int or None
        Of the planned move in the order; None of an added one.
    places : int
        Out of turn: how many moves too early; below 0, too late.
    why : str
        Of a missing move: whether there was a load to lift; empty where the log does not show it.
    after : int or None
        Of a missing move: the logged move in its turn after which it was due.
    """

    kind: Kind
    made: int | None
    position: int | None
    places: int = 0
    why: Why = ""
    after: int | None = None


def deviations(
    ends: Sequence[tuple[str, str]], positions: Sequence[int], moves: Sequence[PlannedMove]
) -> list[Deviation]:
    """All differences of one hoist's order; why a move is missing is not looked at.

    Parameters
    ----------
    ends : sequence of (str, str)
        Source and target of each logged move.
    positions : sequence of int
        As :func:`.align.align` gives them; one at least is matched.
    moves : sequence of PlannedMove
        In their order.
    """
    matched = [number for number, position in enumerate(positions) if position >= 0]
    around = len(moves)
    missing: dict[int, int] = {}  # position to the match before
    for before, after in pairwise(matched):
        for position in range(positions[before] + 1, positions[after]):
            missing[position] = before
    added: dict[int, int] = {}  # logged move to the position reached before it
    reached = positions[matched[0]] - 1
    for number, position in enumerate(positions):
        reached = position if position >= 0 else reached
        if position < 0:
            added[number] = reached
    found: list[Deviation] = []
    for number, near in list(added.items()):
        span = range(near - around + 1, near + around)
        close = sorted((abs(place - near - 0.5), place) for place in span if place in missing)
        for _, place in close:
            move = moves[place % around]
            if (move.source, move.target) == ends[number]:
                early = _passed(place, near, missing)
                found.append(Deviation("out of turn", number, place, early))
                del missing[place], added[number]
                break
    for kind, end in (("other target", 0), ("other source", 1)):
        for number, near in list(added.items()):
            for place in (near + 1, near + 2, near):
                move = moves[place % around]
                if place in missing and (move.source, move.target)[end] == ends[number][end]:
                    found.append(Deviation(kind, number, place))  # type: ignore[arg-type]
                    del missing[place], added[number]
                    break
    found += [Deviation("added", number, None) for number in added]
    found += [Deviation("missing", None, place, after=missing[place]) for place in missing]
    return found


def _passed(place: int, near: int, missing: dict[int, int]) -> int:
    """How many planned moves that were made lie between a move's turn and where it was made."""
    if place > near:
        return sum(between not in missing for between in range(near + 1, place))
    return -sum(between not in missing for between in range(place + 1, near + 1))

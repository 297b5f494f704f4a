"""A line cut in two at a stage that every load passes: the moves up to it, and those after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ....instance import Instance, Stay


@dataclass(frozen=True)
class Section:
    """Some moves of every load, one after another, as a line of its own.

    Attributes
    ----------
    line : Instance
        Without the rules of the ends of the whole line: turnrounds, carriers, limits on the cycle
        time.
    moves : tuple of int
        By move of `line`, the same move in the whole line.
    """

    line: Instance
    moves: tuple[int, ...]


def sections(instance: Instance, place: int) -> tuple[Section, Section, tuple[Stay, ...]] | None:
    """Cut a line at a place.

    Returns
    -------
    Section, Section, tuple of Stay
        Before and after it, and the dwells there, by job. None where not every load comes there
        once, and nowhere else instead.
    """
    stays = sorted(
        instance.stays_at.get(place, ()), key=lambda stay: instance.moves[stay.arrival].job
    )
    if [instance.moves[stay.arrival].job for stay in stays] != list(range(instance.jobs)):
        return None
    if any(len(stay.places) > 1 for stay in stays):
        return None
    last = [stay.arrival for stay in stays]
    before = [move.index for move in instance.moves if move.index <= last[move.job]]
    after = [move.index for move in instance.moves if move.index > last[move.job]]
    return (
        _section(instance, before, order_given=instance.order_given),
        _section(instance, after, order_given=False),
        tuple(stays),
    )


def _section(instance: Instance, kept: Sequence[int], *, order_given: bool) -> Section:
    number = {move: new for new, move in enumerate(kept)}
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    moves = []
    for old, new in number.items():
        move = instance.moves[old]
        first.setdefault(move.job, new)
        last[move.job] = new
        moves.append(replace(move, index=new, stage=new - first[move.job]))
    inside = [
        stay for stay in instance.stays if stay.arrival in number and stay.departure in number
    ]
    line = replace(
        instance,
        moves=tuple(moves),
        stays=tuple(
            replace(stay, index=new, arrival=number[stay.arrival], departure=number[stay.departure])
            for new, stay in enumerate(inside)
        ),
        turnrounds=(),
        first_moves=tuple(first[job] for job in range(instance.jobs)),
        unloading=tuple(last[job] for job in range(instance.jobs)),
        order_given=order_given,
        carriers=None,
        shortest=1,
        longest=None,
    )
    return Section(line, tuple(kept))

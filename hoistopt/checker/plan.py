"""The plan a move table states: who is lifted by which step, and from which cycle on."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from .grid.motion import Parts
from .grid.route import Leg
from .grid.table import Table
from .queueing import Link
from .turnround import turnrounds


@dataclass(frozen=True)
class Plan:
    """What each step does, all lists by step.

    Attributes
    ----------
    table : Table
    legs : list of Leg or None
        None for a move that no load ever makes.
    parts : list of Parts or None
        Times of the loaded moves.
    links : dict
        By step: the step that set down what it lifts. Steps lifting at a load station
        may be missing: a fresh carrier is put there for them each time.
    lifted_by : dict
        The same the other way round.
    loads : list of int
        Number of the load within the cycle; 0 where no load ever comes by.
    firsts : list of int or None
        First cycle, from 0, in which a step is executed when the line starts empty;
        None where it never is.
    wrong, unclear : frozenset of int
        Steps that go where the recipe does not; first steps of unknown recipe.
    """

    table: Table
    legs: list[Leg | None]
    parts: list[Parts | None]
    links: dict[int, Link]
    lifted_by: dict[int, int]
    loads: list[int]
    firsts: list[int | None]
    wrong: frozenset[int]
    unclear: frozenset[int]

    @property
    def carriers(self) -> int:
        """Carriers circulating in the steady state.

        One for every cycle boundary that a carrier's way crosses from move to move.
        """
        running = (n for n, first in enumerate(self.firsts) if first is not None)
        return sum(self.links[number].boundaries for number in running if number in self.links)

    def end(self, number: int) -> int:
        """When a step of cycle 0 has set its carrier down."""
        parts = self.parts[number]
        return self.table.starts[number] + (parts.total if parts else 0)

    def begins(self, number: int) -> bool:
        """Whether a step lifts a carrier at a load station, with a new load."""
        leg = self.legs[number]
        return leg is not None and leg.leaves == 0

    def comes_back(self, number: int) -> bool:
        """Whether a step that begins a load's way lifts carriers used before, in time."""
        link = self.links.get(number)
        return link is not None and self.firsts[link.before] is not None


def plan_from(
    table: Table,
    legs: Sequence[Leg | None],
    within: Mapping[int, Link],
    *,
    wrong: Collection[int] = (),
    unclear: Collection[int] = (),
) -> Plan:
    """The plan that follows once it is known what every step carries.

    Parameters
    ----------
    table : Table
    legs : sequence of Leg or None
        By step.
    within : mapping
        By step: what it lifts within the line, from stage 1 on. Who turns round into
        whom at the ends of the line is worked out here, as no table says it.
    wrong, unclear : collection of int
        As in :class:`Plan`.
    """
    links = {**within, **turnrounds(table, legs)}
    entering = [n for n, leg in enumerate(legs) if leg is not None and leg.leaves == 0]
    lifted_by = {link.before: number for number, link in links.items()}
    loads = [0] * len(table.steps)
    firsts: list[int | None] = [None] * len(table.steps)
    ways = [_way(number, within, lifted_by) for number in entering]
    for number, way in zip(_numbers(table, ways), ways, strict=True):
        first = 0
        for step in way:
            first += within[step].boundaries if step in within else 0
            loads[step] = number
            firsts[step] = first
    return Plan(
        table=table,
        legs=list(legs),
        parts=[table.parts(number, leg) for number, leg in enumerate(legs)],
        links=links,
        lifted_by=lifted_by,
        loads=loads,
        firsts=firsts,
        wrong=frozenset(wrong),
        unclear=frozenset(unclear),
    )


def _way(entering: int, within: Mapping[int, Link], lifted_by: Mapping[int, int]) -> list[int]:
    """The steps that carry one load, from the load station on."""
    way = [entering]
    while (after := lifted_by.get(way[-1])) is not None and after in within:
        way.append(after)
    return way


def _numbers(table: Table, ways: list[list[int]]) -> list[int]:
    """Numbers of the loads: as the table has them where it does, else those left over."""
    stated = [next((n for n in (table.steps[s].load for s in way) if n), None) for way in ways]
    used: set[int] = set()
    numbers: list[int | None] = []
    for number in stated:
        fresh = number is not None and number not in used
        numbers.append(number if fresh else None)
        if fresh and number is not None:
            used.add(number)
    spare = (number for number in range(1, len(ways) + len(used) + 1) if number not in used)
    return [next(spare) if number is None else number for number in numbers]

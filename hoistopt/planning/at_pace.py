"""Loads that enter in the places of a cycle, which fills, goes on and runs out with them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..base.clock import Clock
from ..instance import Route
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import Schedule
from ..schedule.programme import ways_of
from ..solver.finite import Timing
from ..solver.finite.times import value
from .planned import route_of, stations_numbered

Way = list[tuple[int, Route]]
Accepts = Callable[[Timing], bool]

MOST_ACCEPTED = 4
"""Programmes, the best first, that the checker is asked about at one time of beginning."""
HALVINGS = 7
"""Times that the beginning is moved towards the earliest time, half of the way each."""


@dataclass(frozen=True)
class Slot:
    """A place of a cycle in which a load of a recipe can enter.

    Attributes
    ----------
    recipe : str
    enters : int
        Ticks from the beginning of the cycle.
    starts : tuple of int
        Of each move of the load, ticks from its entering.
    routes : tuple of (Route or None)
        The route of each; None where the line of the orders has no such.
    """

    recipe: str
    enters: int
    starts: tuple[int, ...]
    routes: tuple[Route | None, ...]


def at_pace(
    instance: FiniteInstance,
    slots: Sequence[Slot],
    every: int,
    fixed: Mapping[int, Way],
    free: int,
    accepts: Accepts,
    clock: Clock,
) -> Timing | None:
    """All loads that wait, each in the first place of a cycle that is left for it.

    Leaving loads out of a cycle takes nothing from the others, so a place with nothing to enter
    in it stays empty.

    Parameters
    ----------
    instance : FiniteInstance
    slots : sequence of Slot
        Of one cycle, in order of entering.
    every : int
        The cycle time, in ticks.
    fixed : mapping of int to list of (int, Route)
        Starts and routes of all other loads, by load.
    free : int
        A time from which the line is free for the first load; it is then tried sooner.
    accepts : callable
        Whether a programme breaks no rule.
    clock : Clock

    Returns
    -------
    Timing or None
        The least late, and of those the first to finish, of the beginnings that were tried.
    """
    best = _accepted(_begun(instance, slots, every, fixed, free), accepts, clock)
    if best is None:
        return None
    low, high = 0, free
    for _ in range(HALVINGS):
        if clock.over or high - low <= 1:
            break
        middle = (low + high) // 2
        sooner = _accepted(_begun(instance, slots, every, fixed, middle), accepts, clock)
        if sooner is None:
            low = middle
            continue
        high = middle
        best = min(best, sooner, key=lambda one: value(instance, one))
    return best


def _accepted(tried: Sequence[Timing], accepts: Accepts, clock: Clock) -> Timing | None:
    """The first that breaks no rule, of those that there is time for, one at least."""
    for timing in tried:
        if accepts(timing):
            return timing
        if clock.over:
            return None
    return None


def _begun(
    instance: FiniteInstance,
    slots: Sequence[Slot],
    every: int,
    fixed: Mapping[int, Way],
    begins: int,
) -> list[Timing]:
    """Programmes that begin with each place of the cycle, the best first."""
    found = []
    for first in range(len(slots)):
        ways = _entered(instance, slots, every, first, begins)
        if ways is not None:
            found.append(_timing(instance, {**fixed, **ways}))
    return sorted(found, key=lambda one: value(instance, one))[:MOST_ACCEPTED]


def _entered(
    instance: FiniteInstance, slots: Sequence[Slot], every: int, first: int, begins: int
) -> dict[int, Way] | None:
    """The way of each load that waits, the cycle begun with one of its places."""
    loads = instance.loads
    waiting = [instance.loads.index(load) for load in instance.entering()]
    last = max([begins, *(loads[n].earliest for n in waiting)])
    sequence = list(instance.sequence)
    found: dict[int, Way] = {}
    for slot, time in _in_turn(slots, every, first, begins):
        if not waiting:
            return found
        if time > last + (len(waiting) + 1) * every:
            return None
        able = [n for n in waiting if loads[n].recipe == slot.recipe and loads[n].earliest <= time]
        if sequence:
            able = [n for n in able if n == sequence[0]]
        if not able:
            continue
        chosen = min(able, key=lambda n: (_due(instance, n), n))
        way = _way(instance, chosen, slot, time)
        if way is None:
            return None
        found[chosen] = way
        waiting.remove(chosen)
        if sequence:
            sequence.pop(0)
    return found


def _in_turn(
    slots: Sequence[Slot], every: int, first: int, begins: int
) -> Iterator[tuple[Slot, int]]:
    """The places of cycle after cycle, with the times of entering."""
    number, since = first, begins - slots[first].enters
    while True:
        cycle, place = divmod(number, len(slots))
        yield slots[place], since + slots[place].enters + cycle * every
        number += 1


def _due(instance: FiniteInstance, load: int) -> tuple[bool, int]:
    due = instance.loads[load].due
    return due is None, due or 0


def _way(instance: FiniteInstance, load: int, slot: Slot, time: int) -> Way | None:
    way = []
    moves = instance.loads[load].moves
    if len(moves) != len(slot.starts):
        return None
    for index, start, route in zip(moves, slot.starts, slot.routes, strict=True):
        if route is None or route not in instance.moves[index].routes:
            return None
        way.append((time + start, route))
    return way


def _timing(instance: FiniteInstance, ways: Mapping[int, Way]) -> Timing:
    made = {
        index: one
        for load, way in ways.items()
        for index, one in zip(instance.loads[load].moves, way, strict=True)
    }
    inside = range(len(instance.moves))
    return Timing(tuple(made[m][0] for m in inside), tuple(made[m][1] for m in inside))


def slots_of(problem: Problem, instance: FiniteInstance, schedule: Schedule) -> list[Slot]:
    """The places of a cycle in which loads that wait can enter; none where it fits none."""
    number = stations_numbered(problem)
    per_tick = instance.ticks_per_unit / schedule.ticks_per_unit
    like = {load.recipe: load for load in instance.entering()}
    found = []
    for way in ways_of(schedule).values():
        recipe = way[0].recipe
        if recipe is None or recipe not in like or len(way) != len(like[recipe].moves):
            continue
        enters = (way[0].start * per_tick).__ceil__()
        restarts, starts, routes = 0, [], []
        for index, step in zip(like[recipe].moves, way, strict=True):
            restarts += step.boundaries or 0
            time = ((step.start + restarts * schedule.cycle) * per_tick).__ceil__()
            starts.append(time - enters)
            routes.append(route_of(instance, index, step, number))
        found.append(Slot(recipe, enters, tuple(starts), tuple(routes)))
    return sorted(found, key=lambda slot: slot.enters)

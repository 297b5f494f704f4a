"""The ways of joining a cycle from a state of the line, and bounds on each of them.

What differs is the move of the cycle that comes first, and which loads of the state take a
*role*, the place of a load that the cycle has in the line at that point; those that take none
are out of the line before, and a role that none takes is for a load that enters. Loads that are
ordered are like loads of the state that stand at the load station yet.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ..base.clock import Clock
from .data import Route
from .finite import FiniteLoad

MOST_JOININGS = 8_000
"""Ways of joining that are all looked into; where there are more only some are."""


class Turn(NamedTuple):
    """A move of the cycle, in ticks from the beginning of the cycle its load enters in."""

    start: int
    source: int
    target: int
    hoist: int = 0

    def made_by(self, route: Route) -> bool:
        """Whether a route is that of the move."""
        return (route.source, route.target, route.hoist) == self[1:]


@dataclass(frozen=True, slots=True)
class Way:
    """The way of one load of the cycle: its moves by stage, from 0 on, and the ticks of the one
    out of the line."""

    recipe: str
    turns: tuple[Turn, ...]
    out: int


class Role(NamedTuple):
    """A load that the cycle has in the line at the joining.

    `way` counts the loads of a cycle, `cycle` is the one it entered in, from 0 down;
    its moves from stage `since` on are those of the cycle.
    """

    way: int
    cycle: int
    since: int


@dataclass(frozen=True, slots=True)
class Joining:
    """One way of joining a cycle.

    Attributes
    ----------
    begins : int
        When, in the cycle, it is joined: the start of the move that comes first.
    roles : tuple of Role
    taken : tuple of int or None
        For each load of the state, then each that is ordered, its role by number; None where it
        goes out first.
    """

    begins: int
    roles: tuple[Role, ...]
    taken: tuple[int | None, ...]


class WaysOfJoining:
    """All ways of joining, or some of them where there are too many.

    Parameters
    ----------
    clock : Clock
    cycle : int
        The cycle time, in ticks.
    ways : tuple of Way
        Of the loads of a cycle.
    inside : tuple of FiniteLoad
        The loads of the state, then those that are ordered.
    stages : list of int
        For each of them the stage it stands in; 0 before it enters.
    times : mapping
        By recipe and stage: least ticks of the move out of it, and of the dwell after that.
    most : mapping
        The same of the most ticks; None for a dwell without a maximum.
    last : mapping
        The last stage of each recipe.
    out_first : collection of int
        Those of them that take no role.
    like : bool
        Whether of loads ordered alike it makes no difference which takes which role.
    several : bool
        Whether there are several hoists: then a move before the joining has begun by then, and
        need not be over.

    Attributes
    ----------
    complete : bool
        Whether :meth:`joinings` gives all of them.
    """

    def __init__(
        self,
        clock: Clock,
        cycle: int,
        ways: tuple[Way, ...],
        inside: tuple[FiniteLoad, ...],
        stages: Sequence[int],
        times: Mapping[str, list[tuple[int, int]]],
        most: Mapping[str, list[tuple[int, int | None]]],
        last: Mapping[str, int],
        *,
        out_first: Collection[int] = (),
        like: bool = True,
        several: bool = False,
    ) -> None:
        self.clock = clock
        self._several = several
        self.complete = True
        self.cycle, self.ways, self.inside = cycle, ways, inside
        self._stages, self._times, self._most, self._last = stages, times, most, last
        self._out_first, self._alike = out_first, like

    def joinings(self) -> list[Joining]:
        """All ways of joining, or some of them; see `complete`."""
        begins = sorted({turn.start % self.cycle for way in self.ways for turn in way.turns})
        found: list[Joining] = []
        for time in begins:
            self.clock.check()
            roles = self._roles(time)
            for taken in self._taken(roles):
                found.append(Joining(time, roles, taken))
                if len(found) > MOST_JOININGS:
                    self.complete = False
                    return self._in_order(begins)
        return found

    def _in_order(self, begins: Sequence[int]) -> list[Joining]:
        """Ways of joining in which the loads of the state, in the order of their progress, take
        roles next to one another in theirs."""
        found: dict[Joining, None] = {}
        progress = sorted(range(len(self.inside)), key=lambda n: (-self._stages[n], n))
        for time in begins:
            roles = self._roles(time)
            for shift in range(-len(roles), len(progress) + 1):
                taken: list[int | None] = [None] * len(progress)
                for recipe in {way.recipe for way in self.ways}:
                    loads = [n for n in progress if self.inside[n].recipe == recipe]
                    open_ = [k for k, r in enumerate(roles) if self.ways[r.way].recipe == recipe]
                    for place, load in enumerate(loads):
                        if 0 <= place - shift < len(open_):
                            role = open_[place - shift]
                            if self._fits(load, roles[role]):
                                taken[load] = role
                found[Joining(time, roles, tuple(taken))] = None
        return list(found)

    def bound(self, joining: Joining) -> tuple[int, int]:
        """Bounds on changeover time, 0 where that is not asked, and joining; no problem is built.

        Every load takes its least times up to its first move of the cycle, and one hoist makes
        all moves before one after another.
        """
        least = work = 0
        for load, taken in enumerate(joining.taken):
            role = None if taken is None else joining.roles[taken]
            ready, stage = self.inside[load].earliest, self._stages[load]
            on_time, moved = self._least(self.inside[load].recipe, stage, ready, joining, role)
            least, work = max(least, on_time), work + moved
        for number, role in enumerate(joining.roles):
            if number not in joining.taken:
                recipe = self.ways[role.way].recipe
                on_time, moved = self._least(recipe, 0, 0, joining, role)
                least, work = max(least, on_time), work + moved
        carried = {way.recipe for way in self.ways}
        asked = any(
            taken is None and load.recipe not in carried and stage <= self._last[load.recipe]
            for load, stage, taken in zip(self.inside, self._stages, joining.taken, strict=True)
        )
        if self._several:
            return 0, least
        return (self._first_out(joining.begins) if asked else 0), max(least, work)

    def latest(self, joining: Joining) -> int | None:
        """When it is joined at the latest; None where nothing says so.

        A load of the state that takes a role stands no longer than its maxima let it before its
        first move of the cycle.
        """
        found: list[int] = []
        for load, taken in enumerate(joining.taken):
            until = self.inside[load].latest
            if taken is None or until is None:
                continue
            role = joining.roles[taken]
            before = self._most[self.inside[load].recipe][self._stages[load] : role.since]
            dwells = [dwell for _, dwell in before if dwell is not None]
            if len(dwells) == len(before):
                turn = self.ways[role.way].turns[role.since]
                after = turn.start + role.cycle * self.cycle - joining.begins
                found.append(until + sum(move for move, _ in before) + sum(dwells) - after)
        return min(found, default=None)

    def least_bound(self) -> int:
        """No way of joining whatever is earlier: each role is taken by whoever can be soonest."""
        found = []
        for begins in {turn.start % self.cycle for way in self.ways for turn in way.turns}:
            roles = self._roles(begins)
            joining, least = Joining(begins, roles, ()), 0
            for role in roles:
                recipe = self.ways[role.way].recipe
                soonest = [self._least(recipe, 0, 0, joining, role)[0]]
                for load, stage in enumerate(self._stages):
                    if self._fits(load, role):
                        ready = self.inside[load].earliest
                        soonest.append(self._least(recipe, stage, ready, joining, role)[0])
                least = max(least, min(soonest))
            found.append(least)
        return min(found)

    def _least(
        self, recipe: str, stage: int, ready: int, joining: Joining, role: Role | None
    ) -> tuple[int, int]:
        """Bound on the joining for the sake of one load, and work of the hoist before."""
        moves = self._times[recipe]
        if role is None:
            work = sum(m for m, _ in moves[stage:])
            out = ready + sum(m + s for m, s in moves[stage:])
            return out - (moves[-1][0] - 1 if self._several and work else 0), work
        before = moves[stage : role.since]
        turn = self.ways[role.way].turns[role.since]
        after = turn.start + role.cycle * self.cycle - joining.begins
        return ready + sum(m + s for m, s in before) - after, sum(m for m, _ in before)

    def _roles(self, begins: int) -> tuple[Role, ...]:
        """The roles at a time of the cycle, the one furthest on its way first."""
        roles = []
        for number, way in enumerate(self.ways):
            cycle = 0
            while way.turns[-1].start + cycle * self.cycle >= begins:
                since = sum(turn.start + cycle * self.cycle < begins for turn in way.turns)
                if since:
                    roles.append(Role(number, cycle, since))
                cycle -= 1
        return tuple(sorted(roles, key=lambda role: (-role.since, role.cycle, role.way)))

    def _taken(self, roles: Sequence[Role]) -> Iterator[tuple[int | None, ...]]:
        """Every choice of roles for the loads of the state."""
        chosen: list[int | None] = []

        def choose() -> Iterator[tuple[int | None, ...]]:
            load = len(chosen)
            if load == len(self.inside):
                yield tuple(chosen)
                return
            open_ = [
                n for n, role in enumerate(roles) if n not in chosen and self._fits(load, role)
            ]
            if (before := self._like(load)) is not None:
                # Which of two loads alike takes which role makes no difference.
                least = chosen[before]
                open_ = [] if least is None else [n for n in open_ if n > least]
            for number in [*open_, None]:
                chosen.append(number)
                yield from choose()
                chosen.pop()

        yield from choose()

    def _like(self, load: int) -> int | None:
        """The load before it that is ordered alike; None without one."""
        before = load - 1
        if before < 0 or not self._alike or load in self._out_first or before in self._out_first:
            return None
        if not (self.inside[load].enters and self.inside[before].enters):
            return None
        one, other = self.inside[load], self.inside[before]
        alike = (one.recipe, one.earliest, one.due, one.weight) == (
            other.recipe,
            other.earliest,
            other.due,
            other.weight,
        )
        return before if alike else None

    def _fits(self, load: int, role: Role) -> bool:
        one, way = self.inside[load], self.ways[role.way]
        if load in self._out_first or one.recipe != way.recipe or self._stages[load] > role.since:
            return False
        stands = self._stages[load] == role.since
        return not stands or way.turns[role.since].source == one.place

    # -- the problem of one of them ------------------------------------------------------

    def _first_out(self, begins: int) -> int:
        """Ticks from the joining until a load of the cycle is out."""
        return min(
            (way.turns[self._last[way.recipe]].start - begins) % self.cycle + way.out
            for way in self.ways
        )

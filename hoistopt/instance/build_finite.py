"""Build the finite problem: a state of the line, and orders of loads that are to enter it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from ..base.clock import Clock
from ..base.errors import InfeasibleError, InputError
from ..problem import Problem
from ..schedule import Between, LineState, Order
from .at_first import AtFirst, last_stage
from .begins import begins_of, in_service, stuck_words, without_way
from .build import build_instance
from .data import Instance, Move, Stay
from .finite import LONG_AGO, WEIGHTS, FiniteInstance, FiniteLoad
from .promised import Promise, held_to
from .times import ticks_up

MOST_MOVES = 5_000


def build_finite(
    problem: Problem,
    state: LineState,
    orders: Sequence[Order] = (),
    *,
    in_order: bool = False,
    overdue: bool = False,
    promise: Promise | None = None,
    clock: Clock | None = None,
) -> FiniteInstance:
    """The finite problem of taking all loads of a state and of orders through the line.

    Parameters
    ----------
    problem : Problem
    state : LineState
        Checked, every load with its number.
    orders : sequence of Order
        Checked; their loads get the next numbers, in the order given.
    in_order : bool
        Whether loads enter in the order of the orders.
    overdue : bool
        Whether loads of the state that cannot be lifted in time are let pass: their `latest`
        lies before their `earliest`.
    promise : Promise, optional
        Moves of all loads of the state, and of others that enter, which keep their times; what
        is ordered comes beside them.
    clock : Clock, optional
        When it is over, building is given up.

    Raises
    ------
    InputError
        When there is nothing to do, or too much, or what is promised starts between two ticks.
    InfeasibleError
        When a load cannot go its way at all, or one of the state cannot be lifted in time
        and is not let pass.
    OutOfTime
        When the clock is over.
    """
    clock = Clock() if clock is None else clock
    builder = FiniteBuilder(problem, state, used_recipes(state, orders, promise), clock, promise)
    builder.overdue |= overdue
    return builder.build(orders, in_order=in_order)


def used_recipes(
    state: LineState, orders: Sequence[Order] = (), promise: Promise | None = None
) -> list[str]:
    """Recipes of the loads of a state, of what is promised and of orders, each once."""
    used = [entry.recipe for entry in state.standing if entry.recipe is not None]
    used += [carries.recipe for _, carries in state.carried]
    used += [] if promise is None else [recipe for _, recipe in promise.entered]
    return list(dict.fromkeys([*used, *(order.recipe for order in orders)]))


class FiniteBuilder:
    """Builds finite problems on one line and from one state.

    Parameters
    ----------
    problem, state
        As in :func:`build_finite`.
    recipes : list of str
        Of all loads there will be.
    clock : Clock
    promise : Promise, optional
        As in :func:`build_finite`.

    Attributes
    ----------
    overdue : bool
        Whether loads of the state that cannot be lifted in time are let pass.

    Raises
    ------
    InputError
        When there are no recipes, so nothing to do.
    """

    def __init__(
        self,
        problem: Problem,
        state: LineState,
        recipes: list[str],
        clock: Clock,
        promise: Promise | None = None,
    ) -> None:
        self.problem, self.state, self.clock, self.promise = problem, state, clock, promise
        self.by_hoist = problem.carriers.return_ == "hoist"
        self.number = {station.name: i for i, station in enumerate(problem.stations)}
        if not recipes:
            raise InputError(
                "loads in the state of the line, or orders",
                field="orders",
                way_out="An empty line without orders has nothing to do.",
            )
        self.pattern = in_service(problem, state, _one_of_each(problem, recipes, clock))
        self.grid = self.pattern.ticks_per_unit
        self._at_first = AtFirst(problem, state, self.pattern)
        self.jobs = {name: job for job, name in enumerate(self.pattern.recipes)}
        self.overdue = promise is not None  # what is promised may give loads up
        self.begin()

    def begin(self) -> None:
        """Begin a problem anew, without loads."""
        self.moves: list[Move] = []
        self.stays: list[Stay] = []
        self.loads: list[FiniteLoad] = []
        self.outlets: set[int] = set()
        self.ordered: list[int] = []
        self.too_late: list[str] = []
        self.stuck: list[tuple[str, str]] = []

    def build(self, orders: Sequence[Order], *, in_order: bool) -> FiniteInstance:
        """The problem of taking all loads through until the line is empty."""
        self.loads_of_state()
        self.loads_of_promise()
        self.loads_of_orders(orders)
        return self.instance(in_order=in_order)

    def instance(self, *, in_order: bool) -> FiniteInstance:
        """The problem with the loads added so far."""
        if self.stuck:
            raise InfeasibleError(stuck_words(self.state, self.stuck))
        if len(self.moves) > MOST_MOVES:
            raise InputError(
                f"at most {MOST_MOVES} moves", field="orders", value=f"{len(self.moves)} moves"
            )
        built = FiniteInstance(
            places=self.pattern.places,
            empty=self.pattern.empty,
            moves=tuple(self.moves),
            stays=tuple(self.stays),
            loads=tuple(self.loads),
            hoist=self._at_first.hoist(self.moves),
            ends=tuple(self._at_first.ends(self.loads)),
            carriers=self._at_first.carriers(self.loads),
            sequence=tuple(self.ordered) if in_order else (),
            outlets=frozenset(self.outlets),
            ticks_per_unit=self.grid,
            resting=self._at_first.resting(),
            several=self.pattern.several,
            begins=begins_of(self.problem, self.state, self.pattern),
        )
        if self.promise is None:
            return built
        return held_to(built, self.promise, self.number, self.problem.unit)

    # -- loads ------------------------------------------------------------------

    def _way(self, recipe: str, stage: int) -> tuple[list[Move], list[Stay]]:
        """The moves of a recipe from a stage on, and the stays between them."""
        job = self.jobs[recipe]
        moves = [m for m in self.pattern.moves if m.job == job and m.stage >= stage]
        kept = {move.index for move in moves[1:]}
        return moves, [stay for stay in self.pattern.stays if stay.departure in kept]

    def add(self, load: FiniteLoad, stage: int) -> None:
        """Add a load with the moves from a stage on."""
        moves, stays = self._way(load.recipe, stage)
        if load.place is not None:
            routes = tuple(route for route in moves[0].routes if route.source == load.place)
            moves[0] = replace(moves[0], routes=routes)
        unmade = next((move for move in moves if not move.routes), None)
        if unmade is not None:
            here = load.place if unmade is moves[0] else None
            self.stuck.append(without_way(self.problem, load, unmade.stage, here))
            return
        first = len(self.moves)
        shift = first - moves[0].index
        job = len(self.loads)
        self.moves += [replace(move, index=move.index + shift, job=job) for move in moves]
        for stay in stays:
            into, out = stay.arrival + shift, stay.departure + shift
            self.stays.append(replace(stay, index=len(self.stays), arrival=into, departure=out))
        numbers = tuple(range(first, len(self.moves)))
        self.loads.append(replace(load, moves=numbers))
        last = len(self.problem.recipe_by_name[load.recipe].stages)
        self.outlets |= {number for number in numbers if self.moves[number].stage == last}

    def loads_of_state(self) -> None:
        """Add the loads that are in the line."""
        ranks: dict[str, int] = {}
        for entry in self.state.standing:
            if entry.recipe is None or entry.load is None:
                continue
            if entry.stage == last_stage(self.problem, entry.recipe) and not self.by_hoist:
                continue
            ranks[entry.station] = ranks.get(entry.station, 0) + 1
            since = Between(-entry.stood.most, -entry.stood.least)
            came = LONG_AGO + ranks[entry.station]
            self._stands(entry.recipe, entry.stage, entry.station, entry.load, since, came)
        self._load_carried()
        if self.too_late and not self.overdue:
            raise InfeasibleError("; ".join(self.too_late))

    def _load_carried(self) -> None:
        for hoist, one in self.state.carried:
            if one.stage == last_stage(self.problem, one.recipe) - (not self.by_hoist):
                continue
            came = (hoist.free_in.least * self.grid).__floor__()
            load, since = one.load or 0, hoist.free_in
            self._stands(one.recipe, one.stage + 1, hoist.station, load, since, came)

    def _stands(
        self, recipe: str, stage: int, station: str, number: int, since: Between, came: int
    ) -> None:
        """Add a load that stands in its stage since a time, or will, seen from the state."""
        if stage == last_stage(self.problem, recipe):
            low: Decimal = self.problem.station_by_name[station].min_occupation
            high = None
        else:
            given = self.problem.recipe_by_name[recipe].stages[stage - 1]
            low, high = given.min, given.max
        earliest = max(0, ((since.most + Fraction(low)) * self.grid).__ceil__())
        latest = None
        if high is not None:
            latest = ((since.least + Fraction(high)) * self.grid).__floor__()
            needed = ticks_up(low, self.grid)
            held = needed <= Fraction(high) * self.grid
            # A fixed dwell is kept to within a tick.
            if latest < earliest <= since.least * self.grid + needed + 1 and held:
                latest = earliest
            if latest < earliest:
                self.too_late.append(
                    f"load {number} in {station} cannot be lifted within its window of "
                    f"{low:f} to {high:f} {self.problem.unit}, in the whole range of doubt"
                )
        place = self.number[station]
        load = FiniteLoad(number, recipe, (), earliest, latest, place, came, came - LONG_AGO)
        self.add(load, stage)

    def loads_of_promise(self) -> None:
        """Add the loads that enter at times which are promised."""
        for number, recipe in () if self.promise is None else self.promise.entered:
            self.add(FiniteLoad(number, recipe, (), 0, None), 0)

    def loads_of_orders(self, orders: Sequence[Order]) -> None:
        """Add the loads that are ordered; they get the next numbers."""
        number = max([*self.state.loads, *(load.number for load in self.loads)], default=0)
        for order in orders:
            release = (order.release * self.grid).__ceil__()
            due = None if order.due is None else (order.due * self.grid).__floor__()
            for _ in range(order.count):
                self.clock.check()
                number += 1
                self.ordered.append(len(self.loads))
                weight = max(1, round(order.weight * WEIGHTS))
                load = FiniteLoad(number, order.recipe, (), release, None, due=due, weight=weight)
                self.add(load, 0)


def _one_of_each(problem: Problem, recipes: list[str], clock: Clock) -> Instance:
    """An instance with one load of each recipe, for the ways that loads go."""
    data = {**problem.to_data(), "cycle": {"mix": dict.fromkeys(recipes, 1)}}
    return build_instance(Problem.from_data(data), 1, clock, several=True)

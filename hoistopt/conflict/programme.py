"""Why no programme takes all loads of a state through the line: what cannot be kept together.

What is ordered can wait until the line is empty, and so can what is placed beside promised
moves: releases, a sequence given and promises only delay. So a conflict lies among the loads
in the line, or in the way of one recipe alone.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from ..base.clock import Clock, OutOfTime
from ..base.errors import InfeasibleError
from ..base.numbers.decimals import told
from ..instance.build_finite import build_finite
from ..instance.finite import FiniteInstance, FiniteLoad
from ..problem import Problem
from ..schedule import LineState, Order, Standing
from ..solver.finite import overdue, possible
from .demands import Demand, rest_of
from .mus import UnsatisfiableSubset, minimal_unsatisfiable

EACH = 3.0
"""Most seconds for one question."""


def programme_conflict(
    problem: Problem, state: LineState, orders: Sequence[Order], clock: Clock
) -> UnsatisfiableSubset:
    """What cannot be kept together where a state and orders have no programme.

    Parameters
    ----------
    problem : Problem
    state : LineState
        Checked, every load with its number.
    orders : sequence of Order
    clock : Clock
        When it is over, what is known by then is given: the list may be longer than it need
        be, and is empty where nothing was found.
    """
    with suppress(OutOfTime, InfeasibleError):
        if not state.empty:
            found = _of_state(problem, state, clock)
            if found.status != "possible":
                return found
        for recipe in dict.fromkeys(order.recipe for order in orders):
            instance = build_finite(problem, LineState(), [Order(recipe)], clock=clock)
            found = _Questions(problem, LineState(), instance, clock).subset()
            if found.status != "possible":
                return found
    return UnsatisfiableSubset("unknown")


def _of_state(problem: Problem, state: LineState, clock: Clock) -> UnsatisfiableSubset:
    instance = build_finite(problem, state, (), overdue=True, clock=clock)
    questions = _Questions(problem, state, instance, clock)
    if questions.can_keep([], minima=True) is False:
        return _deadlock(problem, state, clock)
    return questions.subset()


def _deadlock(problem: Problem, state: LineState, clock: Clock) -> UnsatisfiableSubset:
    """Loads of which each stands where another has to go, whatever the times."""
    loads = [entry for entry in state.standing if entry.recipe is not None]
    words = {_goes_on(problem, entry): entry for entry in loads}
    answers: dict[frozenset[Demand], bool | None] = {}

    def can_stay(kept: Collection[Demand]) -> bool | None:
        key = frozenset(kept)
        if key not in answers:
            stand = tuple(
                entry
                for entry in state.standing
                if entry.recipe is None or any(words[demand] is entry for demand in key)
            )
            fewer = replace(state, standing=stand)
            answers[key] = True
            if not fewer.empty:
                instance = build_finite(problem, fewer, (), overdue=True, clock=clock)
                free = _without(instance, maxima=True)
                answers[key] = possible(free, clock.part(EACH))
        return answers[key]

    found = minimal_unsatisfiable(tuple(words), lambda kept: can_stay(kept) is False)
    necessary = tuple(can_stay([d for d in found if d != one]) for one in found)
    return UnsatisfiableSubset("conflict", found, necessary, len(words), len(answers))


def _goes_on(problem: Problem, entry: Standing) -> Demand:
    assert entry.recipe is not None and entry.load is not None
    recipe = problem.recipe_by_name[entry.recipe]
    onward = (
        " or ".join(recipe.stages[entry.stage].station)
        if entry.stage < len(recipe.stages)
        else problem.unload_station(recipe).name
    )
    words = f"load {entry.load} standing in {entry.station}, to go on to {onward}"
    return Demand("load", words, entry.recipe, entry.stage, entry.station, entry.load)


def _without(instance: FiniteInstance, *, maxima: bool) -> FiniteInstance:
    return replace(
        instance,
        loads=tuple(replace(load, latest=None) for load in instance.loads),
        stays=tuple(replace(stay, most=None) for stay in instance.stays),
    )


@dataclass
class _Questions:
    """Asks which maxima and minima can be kept together, each question once."""

    problem: Problem
    state: LineState
    instance: FiniteInstance
    clock: Clock
    answers: dict[tuple[frozenset[Demand], bool], bool | None] = field(default_factory=dict)

    def subset(self) -> UnsatisfiableSubset:
        """First the loads whose maxima conflict, then which of their maxima and minima."""
        maxima = [self._maxima(load) for load in self.instance.loads]
        everything = [demand for each in maxima for demand in each]
        whole = self.can_keep(everything, minima=True)
        if whole is not False:
            return UnsatisfiableSubset("possible" if whole else "unknown")
        surely = [
            (demands,)
            for demands, load in zip(maxima, self.instance.loads, strict=True)
            if overdue(self.instance, load)
        ]
        groups = surely[0] if surely else tuple(each for each in maxima if each)

        def no_loads(kept: Sequence[tuple[Demand, ...]]) -> bool:
            return self.can_keep([d for each in kept for d in each], minima=True) is False

        loads = minimal_unsatisfiable(groups, no_loads)
        pool = [demand for each in loads for demand in each]
        found = minimal_unsatisfiable(pool, lambda kept: self.can_keep(kept, minima=True) is False)
        # Before what only makes the list shorter, which may take all the time there is.
        self._each_left_out(found, everything)
        besides = self._besides(found, everything)
        numbers = {demand.load for demand in found}
        lows = [
            demand
            for load in self.instance.loads
            if load.number in numbers
            for demand in self._minima(load)
        ]
        asked = [*found, *self._hoist(), *self._rests(), *lows]
        # Else minima of other loads, which the hoist must make room for, have a part in it.
        alone = False
        with suppress(OutOfTime):
            if self.can_keep(asked) is False:
                found = minimal_unsatisfiable(asked, lambda kept: self.can_keep(kept) is False)
                alone = True
        otherwise = self._each_left_out(found, everything)
        # What all else allows, the others of these alone do.
        necessary = tuple(
            known or self._known([d for d in found if d != one], minima=not alone)
            for one, known in zip(found, otherwise, strict=True)
        )
        return UnsatisfiableSubset(
            "conflict",
            found,
            necessary,
            len(everything),
            len(self.answers),
            otherwise,
            besides,
        )

    def _each_left_out(
        self, found: Sequence[Demand], maxima: Sequence[Demand]
    ) -> tuple[bool | None, ...]:
        """For each whether all other demands of the line can be kept: what is known in time."""
        lows = [demand for load in self.instance.loads for demand in self._minima(load)]
        rest = [*self._hoist(), *self._rests(), *lows]
        answers: list[bool | None] = []
        for one in found:
            kept = [demand for demand in maxima if demand != one]
            is_maximum = one.kind == "maximum"
            if not is_maximum:
                kept += [demand for demand in rest if demand != one]
            answers.append(self._known(kept, minima=is_maximum))
        return tuple(answers)

    def _besides(
        self, found: Sequence[Demand], maxima: Sequence[Demand]
    ) -> tuple[tuple[Demand, ...], ...]:
        """Further maxima that cannot be kept together, with none of those found before."""
        sets: list[tuple[Demand, ...]] = []
        left = [demand for demand in maxima if demand not in found]
        if len(left) == len(maxima):  # other kinds only: the rest is as it was
            return ()
        with suppress(OutOfTime):
            while self.can_keep(left, minima=True) is False:
                more = minimal_unsatisfiable(
                    left, lambda kept: self.can_keep(kept, minima=True) is False
                )
                if not more:
                    break
                sets.append(more)
                left = [demand for demand in left if demand not in more]
        return tuple(sets)

    def can_keep(self, kept: Collection[Demand], *, minima: bool = False) -> bool | None:
        """Whether some programme keeps these; with `minima`, all those, rests and hoist."""
        key = frozenset(kept), minima
        if key not in self.answers:
            self.clock.check()
            self.answers[key] = possible(self._relaxed(key[0], minima), self.clock.part(EACH))
        return self.answers[key]

    def _known(self, kept: Collection[Demand], *, minima: bool) -> bool | None:
        """Whether some programme keeps these demands; None when unknown or the time is over."""
        with suppress(OutOfTime):
            return self.can_keep(kept, minima=minima)
        return None

    def _relaxed(self, kept: frozenset[Demand], minima: bool) -> FiniteInstance:
        instance = self.instance
        high = {(d.load, d.stage) for d in kept if d.kind == "maximum"}
        low = {(d.load, d.stage) for d in kept if d.kind == "minimum"}
        moves = instance.moves
        loads = []
        for load in instance.loads:
            where = load.number, moves[load.moves[0]].stage
            if load.place is not None:
                if where not in high:
                    load = replace(load, latest=None)
                if not minima and where not in low:
                    load = replace(load, earliest=max(0, load.came))
            loads.append(load)
        stays = []
        for stay in instance.stays:
            move = moves[stay.departure]
            where = instance.loads[move.job].number, move.stage
            most = stay.most if where in high else None
            least = stay.least if minima or where in low else 0
            stays.append(replace(stay, most=most, least=least))
        told_hoist = minima or any(demand.kind == "hoist" for demand in kept)
        rests = {demand.station for demand in kept if demand.kind == "rest"}
        places = instance.places
        if not minima:
            places = tuple(p if p.name in rests else replace(p, rest=Fraction(0)) for p in places)
        return replace(
            instance,
            places=places,
            loads=tuple(loads),
            stays=tuple(stays),
            hoist=instance.hoist if told_hoist else None,
        )

    # -- words ------------------------------------------------------------------------

    def _maxima(self, load: FiniteLoad) -> tuple[Demand, ...]:
        return tuple(self._windows(load, "maximum"))

    def _minima(self, load: FiniteLoad) -> tuple[Demand, ...]:
        return tuple(self._windows(load, "minimum"))

    def _windows(self, load: FiniteLoad, kind: Literal["maximum", "minimum"]) -> list[Demand]:
        found: list[Demand] = []
        stages = self.problem.recipe_by_name[load.recipe].stages
        for index in load.moves:
            stage = self.instance.moves[index].stage
            if not 1 <= stage <= len(stages):
                continue
            given = stages[stage - 1]
            limit = given.max if kind == "maximum" else given.min
            if limit is None or (not limit and kind == "minimum"):
                continue
            here = index == load.moves[0] and load.place is not None
            whose = f"load {load.number}" if not load.enters else f"a load of {load.recipe}"
            words = f"the {kind} of {self._time(limit)} of {whose} in {given.label}"
            if here:
                words += self._stood(load)
            found.append(Demand(kind, words, load.recipe, stage, load=load.number))
        return found

    def _stood(self, load: FiniteLoad) -> str:
        for entry in self.state.standing:
            if entry.load == load.number:
                low, high = told(entry.stood.least), told(entry.stood.most)
                times = low if low == high else f"{low} to {high}"
                return f", where it has stood for {times} {self.problem.unit}"
        return ", where the hoist is about to set it down"

    def _hoist(self) -> list[Demand]:
        hoist = self.state.hoist
        if hoist is None:
            return []
        free = hoist.free_in.most
        when = f"free there in {told(free)} {self.problem.unit}" if free > 0 else "free there"
        return [Demand("hoist", f"the hoist at {hoist.station}, {when}", station=hoist.station)]

    def _rests(self) -> list[Demand]:
        used = {place for stay in self.instance.stays for place in stay.places}
        stations = [self.instance.places[place] for place in sorted(used)]
        return [rest_of(self.problem, place.name) for place in stations if place.rest]

    def _time(self, time: object) -> str:
        return f"{told(Fraction(str(time)))} {self.problem.unit}"

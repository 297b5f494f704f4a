"""Which demands on a line cannot be kept together: a minimal unsatisfiable subset.

Found by divide and conquer: U. Junker (2004), QUICKXPLAIN: Preferred explanations and
relaxations for over-constrained problems, Proceedings of AAAI-04, 167-172.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.text import listed
from ..instance import Instance
from ..problem import Problem
from .demands import HOIST, Demand, demands
from .soft import Rules, can_keep

HURRY = 10.0
"""Seconds for the demands that conflict, where a search only gives the reason for its end."""

EITHER = "even without all else that is asked for"
"""Of a set that conflicts by itself, though it shares the cycle time wished for with others."""

T = TypeVar("T")

Heard = Callable[[int, int], None]
"""Hears how many questions have been answered, and how many demands are in doubt."""


@dataclass(frozen=True)
class UnsatisfiableSubset:
    """Demands that cannot be kept together.

    Attributes
    ----------
    status : str
        "conflict": proved that there is no schedule. "possible": there is one. "unknown":
        stopped before either.
    demands : tuple of Demand
        Together they leave no schedule. Empty with status "conflict": the order in which
        a load visits its stations and the places in them leave none.
    necessary : tuple of bool or None
        For each demand whether there is a schedule without it, tested with all the
        others kept; None where the test was stopped.
    asked : int
        How many demands were tested in all.
    questions : int
        How many searches that took.
    otherwise : tuple of bool or None
        For each demand whether there is a schedule that keeps all else that was asked, not
        only the others of these; None where that is not known. Empty where it was not asked.
    besides : tuple of tuple of Demand
        Others that cannot be kept together either: without any of the former there is none yet.
        A cycle time wished for may be in all of the sets, as it stays asked for.
    besides_minimal : tuple of bool
        For each of those sets whether no member is there in vain; empty where that is not told.
    complete : bool or None
        Whether those sets are all: without any of them, but with the cycle time wished for,
        there is a schedule. False: there is none yet, but what else conflicts was not found. None
        where that is not known, or was not asked.
    """

    status: Literal["conflict", "possible", "unknown"]
    demands: tuple[Demand, ...] = ()
    necessary: tuple[bool | None, ...] = ()
    asked: int = 0
    questions: int = 0
    otherwise: tuple[bool | None, ...] = ()
    besides: tuple[tuple[Demand, ...], ...] = ()
    besides_minimal: tuple[bool, ...] = ()
    complete: bool | None = None

    @property
    def without(self) -> tuple[bool | None, ...]:
        """For each demand what is known of there being a schedule without it."""
        return self.otherwise or self.necessary

    @property
    def minimal(self) -> bool:
        """Whether every demand is proved necessary."""
        return all(self.necessary)

    def sentence(self, most: int | None = None) -> str:
        """The conflict in one sentence, naming at most `most` demands."""
        if self.status != "conflict":
            return {
                "possible": "All can be kept together.",
                "unknown": "Stopped before it was known whether all can be kept together.",
            }[self.status]
        if not self.demands:
            return "No schedule exists, whatever the times."
        if len(self.demands) == 1:
            text = f"This cannot be kept on this line: {self.demands[0]}."
        else:
            text = f"These cannot be kept together: {_named(self.demands, most)}."
        if not self.minimal:
            text += " (The list may be longer than it need be.)"
        return " ".join([text, *self.further(most)])

    def further(self, most: int | None = None) -> list[str]:
        """Sentences on the sets besides, naming at most `most` demands in each.

        What the cycle time wished for cannot be kept with, one thing at a time, is told in one.
        """
        told: list[str] = []
        alone = [others for others in self.besides if self._with_wish(others)]
        if len(alone) > 1:
            named = _named([others[1] for others in alone], most)
            told.append(
                f"Besides, none of these can be kept with {alone[0][0]}, {EITHER}: {named}."
            )
        minimal = self.besides_minimal or (True,) * len(self.besides)
        for others, is_minimal in zip(self.besides, minimal, strict=True):
            if len(alone) > 1 and others in alone:
                continue
            cannot = "this cannot be kept" if len(others) == 1 else "these cannot be kept together"
            even = "even without the former" if set(self.demands).isdisjoint(others) else EITHER
            told.append(f"Besides, {cannot}, {even}: {_named(others, most)}.")
            if not is_minimal:
                told.append("(This list may be longer than it need be.)")
        return told

    def _with_wish(self, others: tuple[Demand, ...]) -> bool:
        """Whether a set is one thing beside the cycle time wished for."""
        return len(others) == 2 and others[0].kind == "longest"


def _named(demands: Sequence[Demand], most: int | None) -> str:
    """Demands in a sentence, of many the first ones."""
    named = [str(demand) for demand in demands]
    if most is not None and len(named) > most:
        named = [*named[:most], f"{len(named) - most} more of the line's times"]
    return listed(named)


@dataclass
class Oracle:
    """Asks the solver which demands can be kept together, each question once.

    Parameters
    ----------
    clock : Clock
        When it is over, no further question has an answer.
    each : float or None
        Most seconds for one question.
    ways : tuple of mapping
        Rules that are never left out, in each of the ways they may be read: it will do if
        demands can be kept in one of them.
    """

    problem: Problem
    instance: Instance
    asked: tuple[Demand, ...]
    clock: Clock
    each: float | None = None
    ways: tuple[Rules | None, ...] = (None,)
    hear: Heard | None = None
    answers: dict[frozenset[Demand], bool | None] = field(default_factory=dict)

    def can_keep(self, kept: Collection[Demand]) -> bool | None:
        """Whether there is a schedule that keeps these; None where it is not known."""
        key = frozenset(kept)
        if key in self.answers:
            return self.answers[key]
        # What can be kept with more can be kept; what conflicts already still conflicts.
        known = next(
            (
                answer
                for other, answer in self.answers.items()
                if (answer is True and key <= other) or (answer is False and other <= key)
            ),
            None,
        )
        self.answers[key] = self._ask(key) if known is None else known
        if self.hear is not None:
            self.hear(len(self.answers), len(key))
        return self.answers[key]

    def _ask(self, kept: frozenset[Demand]) -> bool | None:
        answer: bool | None = False
        for rules in self.ways:
            possible = can_keep(
                self.problem,
                self.instance,
                self.asked,
                kept,
                self.clock.part(self.each),
                rules=rules,
            )
            if possible:
                return True
            answer = None if possible is None else answer
        return answer

    def impossible(self, kept: Sequence[Demand]) -> bool:
        """Whether these are proved to conflict."""
        return self.can_keep(kept) is False


def minimal_subset(oracle: Oracle, pool: Sequence[Demand] | None = None) -> UnsatisfiableSubset:
    """A conflict in which every demand is necessary, found and tested.

    Parameters
    ----------
    pool : sequence of Demand, optional
        Demands that may be blamed, the preferred ones first; all others are kept
        throughout. By default everything asked for.
    """
    pool = oracle.asked if pool is None else pool
    always = [demand for demand in oracle.asked if demand not in set(pool)]
    all_kept = oracle.can_keep(oracle.asked)
    if all_kept is not False:
        status: Literal["possible", "unknown"] = "possible" if all_kept else "unknown"
        return UnsatisfiableSubset(status, asked=len(pool), questions=len(oracle.answers))
    found = minimal_unsatisfiable(pool, lambda kept: oracle.impossible([*always, *kept]))
    necessary = []
    for demand in found:
        rest = [*always, *(other for other in found if other != demand)]
        necessary.append(oracle.can_keep(rest))
    return UnsatisfiableSubset("conflict", found, tuple(necessary), len(pool), len(oracle.answers))


def conflicting_demands(
    problem: Problem, instance: Instance, clock: Clock | None = None
) -> UnsatisfiableSubset:
    """What cannot be kept together on a line without a schedule, in a hurry.

    The hoist's own times are taken for granted here; `hoistopt conflict` questions them
    as well.

    Parameters
    ----------
    instance : Instance
        One proved to have no schedule.
    clock : Clock, optional
        By default ten seconds, in one thread.
    """
    clock = Clock(Effort(HURRY, workers=1)) if clock is None else clock
    asked = demands(problem, instance)
    oracle = Oracle(problem, instance, asked, clock)
    oracle.answers[frozenset(asked)] = False
    return minimal_subset(oracle, [m for m in asked if m.kind not in HOIST])


def minimal_unsatisfiable(
    demands: Sequence[T], impossible: Callable[[Sequence[T]], bool]
) -> tuple[T, ...]:
    """Some demands that cannot be kept together, as few as can be.

    Parameters
    ----------
    demands : sequence
        Cannot be kept all together. Where there is a choice, later ones are left out.
    impossible : callable
        Tells whether the given demands cannot be kept together. It may answer no where
        it does not know: the set is then longer than it need be, but conflicts still.

    Returns
    -------
    tuple
        In the order of `demands`; empty where not even nothing can be kept.
    """
    if impossible(()):
        return ()
    found = _unsatisfiable([], False, list(demands), impossible)
    return tuple(demand for demand in demands if demand in found)


def _unsatisfiable(
    background: list[T],
    grown: bool,
    demands: list[T],
    impossible: Callable[[Sequence[T]], bool],
) -> list[T]:
    """What of `demands` has to join the background for a conflict."""
    if grown and impossible(background):
        return []
    if len(demands) <= 1:
        return demands
    half = len(demands) // 2
    first, second = demands[:half], demands[half:]
    from_second = _unsatisfiable(background + first, True, second, impossible)
    from_first = _unsatisfiable(background + from_second, bool(from_second), first, impossible)
    return from_first + from_second

"""Which demands on a line cannot be kept together."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..base.text import listed
from ..instance import Instance
from ..problem import Problem
from .eased import Also, can_keep
from .members import HOIST, Member, members
from .quickxplain import minimal_conflict

Heard = Callable[[int, int], None]
"""Hears how many questions have been answered, and how many members are in doubt."""


@dataclass(frozen=True)
class Conflict:
    """Members that cannot be kept together.

    Attributes
    ----------
    status : str
        "conflict": proved that there is no schedule. "possible": there is one. "unknown":
        stopped before either.
    members : tuple of Member
        Together they leave no schedule. Empty with status "conflict": the order in which
        a load visits its stations and the places in them leave none.
    necessary : tuple of bool or None
        For each member whether there is a schedule without it, tested with all the
        others kept; None where the test was stopped.
    asked : int
        How many members were tested in all.
    questions : int
        How many searches that took.
    """

    status: Literal["conflict", "possible", "unknown"]
    members: tuple[Member, ...] = ()
    necessary: tuple[bool | None, ...] = ()
    asked: int = 0
    questions: int = 0

    @property
    def minimal(self) -> bool:
        """Whether every member is proved necessary."""
        return all(self.necessary)

    def sentence(self, most: int | None = None) -> str:
        """The conflict in one sentence, naming at most `most` members."""
        if self.status != "conflict":
            return {
                "possible": "All can be kept together.",
                "unknown": "Stopped before it was known whether all can be kept together.",
            }[self.status]
        if not self.members:
            return "No schedule exists, whatever the times."
        if len(self.members) == 1:
            text = f"This cannot be kept on this line: {self.members[0]}."
        else:
            named = [str(member) for member in self.members]
            if most is not None and len(named) > most:
                named = [*named[:most], f"{len(named) - most} more of the line's times"]
            text = f"These cannot be kept together: {listed(named)}."
        if not self.minimal:
            text += " (The list may be longer than it need be.)"
        return text


@dataclass
class Asker:
    """Asks the solver which members can be kept together, each question once.

    Parameters
    ----------
    ends : float
        Moment of :func:`time.monotonic` at which to stop.
    each : float or None
        Most seconds for one question.
    ways : tuple of callable
        Constraints that are never left out, in each of the ways they may be read: it
        will do if members can be kept in one of them.
    """

    problem: Problem
    instance: Instance
    asked: tuple[Member, ...]
    ends: float
    each: float | None = None
    workers: int | None = 1
    ways: tuple[Also | None, ...] = (None,)
    hear: Heard | None = None
    answers: dict[frozenset[Member], bool | None] = field(default_factory=dict)

    def can_keep(self, kept: Collection[Member]) -> bool | None:
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

    def _ask(self, kept: frozenset[Member]) -> bool | None:
        answer: bool | None = False
        for also in self.ways:
            left = self.ends - time.monotonic()
            if self.each is not None:
                left = min(left, self.each)
            try:
                possible = can_keep(
                    self.problem,
                    self.instance,
                    self.asked,
                    kept,
                    time_limit=left,
                    workers=self.workers,
                    also=also,
                )
            except KeyboardInterrupt:
                self.ends = 0.0  # no further questions
                return None
            if possible:
                return True
            answer = None if possible is None else answer
        return answer

    def impossible(self, kept: Sequence[Member]) -> bool:
        """Whether these are proved to conflict."""
        return self.can_keep(kept) is False


def smallest_conflict(asker: Asker, pool: Sequence[Member] | None = None) -> Conflict:
    """A conflict in which every member is necessary, found and tested.

    Parameters
    ----------
    pool : sequence of Member, optional
        Members that may be blamed, the preferred ones first; all others are kept
        throughout. By default everything asked for.
    """
    pool = asker.asked if pool is None else pool
    always = [member for member in asker.asked if member not in set(pool)]
    all_kept = asker.can_keep(asker.asked)
    if all_kept is not False:
        status: Literal["possible", "unknown"] = "possible" if all_kept else "unknown"
        return Conflict(status, asked=len(pool), questions=len(asker.answers))
    found = minimal_conflict(pool, lambda kept: asker.impossible([*always, *kept]))
    necessary = []
    for member in found:
        rest = [*always, *(other for other in found if other != member)]
        necessary.append(asker.can_keep(rest))
    return Conflict("conflict", found, tuple(necessary), len(pool), len(asker.answers))


def conflicting_demands(
    problem: Problem, instance: Instance, time_limit: float = 10.0, workers: int | None = 1
) -> Conflict:
    """What cannot be kept together on a line without a schedule, in a hurry.

    The hoist's own times are taken for granted here; `hoistopt conflict` questions them
    as well.

    Parameters
    ----------
    instance : Instance
        One proved to have no schedule.
    time_limit : float
        Seconds for the whole search.
    """
    asked = members(problem, instance)
    asker = Asker(problem, instance, asked, time.monotonic() + time_limit, workers=workers)
    asker.answers[frozenset(asked)] = False
    return smallest_conflict(asker, [m for m in asked if m.kind not in HOIST])

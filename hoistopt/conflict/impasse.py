"""Why there is no schedule, or none so quick, and what it would take to have one."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

from ..base.decimals import told
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InfeasibleError, InputError
from ..base.exact import exact_number
from ..checker import accepted
from ..instance import build_instance
from ..instance.times import ticks_down
from ..problem import Problem
from ..schedule import Schedule, readable
from ..solver import Found, build_model, least_cycle, run_model
from ..solver.model.decode import decode
from .eased import held_to
from .members import members
from .remedy import Aim, Remedy, smallest_remedy
from .subset import Asker, Conflict, smallest_conflict

USUAL_LIMIT = 60.0
"""Seconds for the whole inquiry where nothing else is said."""


@dataclass(frozen=True)
class Impasse:
    """The answer to "why is there no schedule?"; times in the problem's unit.

    Attributes
    ----------
    status : str
        "none": proved that there is no schedule. "possible": there is one. "unknown":
        stopped before either.
    degree : int
        Sets of loads per cycle.
    at_most : Fraction or None
        The greatest cycle time asked for.
    reason : str or None
        Set where no load could be moved at all, whatever the times.
    conflict : Conflict or None
        What cannot be kept together.
    remedies : tuple of Remedy
        The smallest changes of windows that would do: least in sum, fewest in number.
    least : Fraction or None
        The shortest cycle time found when its limit is left out.
    least_proven : bool
        Whether `least` is proved to be the least.
    schedule : Schedule or None
        With status "possible": one that keeps everything.
    unit : str
        Unit of the times.
    """

    status: Literal["none", "possible", "unknown"]
    degree: int
    at_most: Fraction | None
    unit: str
    reason: str | None = None
    conflict: Conflict | None = None
    remedies: tuple[Remedy, ...] = ()
    least: Fraction | None = None
    least_proven: bool = False
    schedule: Schedule | None = None

    def distinct_remedies(self) -> list[Remedy]:
        """The remedies that were found, each once."""
        found: list[Remedy] = []
        for remedy in self.remedies:
            if remedy.changes and all(remedy.changes != other.changes for other in found):
                found.append(remedy)
        return found

    def sentences(self) -> list[str]:
        """The answer, a sentence each."""
        wish = (
            "" if self.at_most is None else f" with a cycle of at most {self._time(self.at_most)}"
        )
        if self.status == "possible":
            assert self.schedule is not None
            reached = self._time(self.schedule.time(self.schedule.cycle))
            return [
                f"There is a schedule of degree {self.degree}{wish}: one of {reached} was found.",
                "`hoistopt solve` finds the least.",
            ]
        if self.status == "unknown":
            return [f"Stopped before it was known whether there is a schedule{wish}."]
        found = [f"No schedule of degree {self.degree} exists{wish}: proved."]
        if self.reason is not None:
            return [*found, f"{self.reason[:1].upper()}{self.reason[1:]}."]
        if self.conflict is not None:
            found += self._conflict(self.conflict)
        found += self._remedied()
        if self.least is not None:
            proof = "the least" if self.least_proven else "the shortest found"
            found.append(f"With all windows as they are, {self._time(self.least)} is {proof}.")
        return found

    def _conflict(self, conflict: Conflict) -> list[str]:
        if not conflict.members:
            return [conflict.sentence()]
        if conflict.minimal:
            return ["Leave out any one of the things asked for above and there is a schedule."]
        return ["The list above conflicts, but may be longer than it need be."]

    def _remedied(self) -> list[str]:
        if any(remedy.status == "none" for remedy in self.remedies):
            return ["No change of windows alone helps: proved."]
        missing = any(remedy.status == "unknown" for remedy in self.remedies)
        if missing and not self.distinct_remedies():
            return ["No change of windows that helps was found in the time given."]
        return []

    def _time(self, time: Fraction) -> str:
        return f"{told(time)} {self.unit}"

    def to_data(self) -> dict[str, Any]:
        """Plain data for JSON."""
        conflict = self.conflict
        return {
            "status": self.status,
            "degree": self.degree,
            "at_most": None if self.at_most is None else readable(self.at_most),
            "unit": self.unit,
            "reason": self.reason,
            "sentence": None if conflict is None else conflict.sentence(),
            "members": []
            if conflict is None
            else [
                {
                    "kind": member.kind,
                    "words": member.words,
                    "recipe": member.recipe or None,
                    "stage": member.stage if member.recipe else None,
                    "station": member.station or None,
                    "necessary": necessary,
                }
                for member, necessary in zip(conflict.members, conflict.necessary, strict=True)
            ],
            "minimal": None if conflict is None else conflict.minimal,
            "remedies": [remedy.to_data() for remedy in self.remedies],
            "least_cycle_time": None if self.least is None else readable(self.least),
            "least_proved": self.least_proven,
            "cycle_time": None if self.schedule is None else self.schedule.cycle_time,
        }


def why_none(
    problem: Problem,
    degree: int = 1,
    at_most: Decimal | int | float | None = None,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Impasse:
    """Find out why a line has no schedule, or none with so short a cycle.

    Parameters
    ----------
    problem : Problem
        The line.
    degree : int
        Sets of loads per cycle.
    at_most : number, optional
        Greatest cycle time wished for, in the problem's unit. Without any limit on it
        nearly every line can run, one load at a time.
    effort : Effort, optional
        Its time limit is for the whole; what is not proved by then is said not to be.
        Without an effort, 60 seconds.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When `at_most` is no time above 0, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> found = hoistopt.why_none(problem, at_most=200)
    >>> found.status, found.least
    ('none', Fraction(234, 1))
    """
    effort = effort_of(
        effort,
        time_limit=time_limit,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        usual_limit=USUAL_LIMIT,
    )
    time_limit = USUAL_LIMIT if effort.time_limit is None else effort.time_limit
    wanted = None if at_most is None else limit_of(at_most)
    try:
        whole = build_instance(problem, degree)
    except InfeasibleError as error:
        return Impasse("none", degree, wanted, problem.unit, reason=str(error))
    longest = None if wanted is None else ticks_down(wanted, whole.ticks_per_unit)
    instance = held_to(whole, longest)
    began = time.monotonic()
    limits: dict[str, Any] = {"workers": effort.workers, "seed": effort.seed}

    def news(words: str) -> None:
        effort.tell(Progress(runtime=time.monotonic() - began, doing=words))

    news("whether there is any schedule")
    variables = build_model(instance)
    status, solver = run_model(variables.model, time_limit=time_limit / 2, **limits)
    if status == "unknown":
        return Impasse("unknown", degree, wanted, problem.unit, conflict=Conflict("unknown"))
    if status != "infeasible":
        schedule = decode(variables, solver.value)
        accepted(problem, schedule, made_here=True)
        return Impasse("possible", degree, wanted, problem.unit, schedule=schedule)

    def left() -> float:
        return max(1.0, time_limit - (time.monotonic() - began))

    conflict: Conflict | None = None
    remedies: list[Remedy] = []
    shortest: Found | None = None
    try:
        news("the least cycle time without the limit")
        shortest = least_cycle(replace(whole, longest=None), time_limit=left() * 0.25, **limits)
        if shortest.interrupted:
            raise KeyboardInterrupt
        asked = members(problem, instance)
        ends = time.monotonic() + left() * 0.6
        asker = Asker(problem, instance, asked, ends, each=left() * 0.15, workers=effort.workers)
        asker.hear = lambda questions, _: news(f"what conflicts, question {questions}")
        asker.answers[frozenset(asked)] = False
        conflict = smallest_conflict(asker)
        aims: tuple[tuple[Aim, float], ...] = (("windows", 0.4), ("total", 1.0))
        for aim, share in aims:
            news("the smallest change of windows")
            remedies.append(
                smallest_remedy(
                    problem,
                    instance,
                    aim,
                    like=shortest.schedule,
                    time_limit=left() * share,
                    **limits,
                )
            )
            if remedies[-1].status == "none":
                break
    except KeyboardInterrupt:
        news("stopped")  # what is known by now is the answer
    least = None if shortest is None else shortest.schedule
    return Impasse(
        "none",
        degree,
        wanted,
        problem.unit,
        conflict=conflict,
        remedies=tuple(remedies),
        least=None if least is None else least.time(least.cycle),
        least_proven=shortest is not None and shortest.status == "optimal",
    )


def limit_of(value: Decimal | int | float, field: str = "at_most") -> Fraction:
    """A greatest cycle time as an exact fraction of the unit.

    Raises
    ------
    InputError
        When it is no number above 0.
    """
    try:
        number = exact_number(value)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None
    if number <= 0:
        raise InputError("a time above 0", field=field, value=value)
    return Fraction(number)

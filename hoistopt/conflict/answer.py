"""What cannot be kept together on a line, and what it would take to have a schedule."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ..base.numbers.decimals import told
from ..schedule import Schedule
from .mus import UnsatisfiableSubset
from .relaxation import Relaxation

MOST_NAMED = 12
"""Demands named one by one in a sentence; of more, how many."""


@dataclass(frozen=True)
class OtherDegrees:
    """Whether another degree keeps the pace wished for, where none was given.

    Attributes
    ----------
    looked_at : tuple of int
        Degrees that were searched, or proved not to keep it; the lowest first.
    proved : bool
        Whether all of those are proved not to keep it.
    not_reached : tuple of int
        Degrees that the line gives reason to try, but that had no turn in the time given.
    degree : int or None
        The lowest that keeps it.
    at_most : Fraction or None
        The greatest cycle time wished for at that degree.
    schedule : Schedule or None
        One of that degree; the checker has accepted it.
    """

    looked_at: tuple[int, ...] = ()
    proved: bool = False
    degree: int | None = None
    at_most: Fraction | None = None
    schedule: Schedule | None = None
    not_reached: tuple[int, ...] = ()


@dataclass(frozen=True)
class Conflict:
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
    subset : UnsatisfiableSubset or None
        The demands that cannot be kept together.
    relaxations : tuple of Relaxation
        The smallest changes of limits that would do: fewest in number, least in sum.
    least : Fraction or None
        The shortest cycle time found when its limit is left out.
    least_proven : bool
        Whether `least` is proved to be the least.
    schedule : Schedule or None
        With status "possible": one that keeps everything.
    unit : str
        Unit of the times.
    give, hoist_give : str, str or None
        How far limits were allowed to give of which the problem does not say; None: not
        at all.
    several : bool
        Whether the line has several hoists, whose times are kept as they are.
    others : OtherDegrees or None
        What other degrees came to, where they were looked at. Where one of them keeps the wish,
        `degree`, `at_most` and `schedule` are those of that degree.
    """

    status: Literal["none", "possible", "unknown"]
    degree: int
    at_most: Fraction | None
    unit: str
    reason: str | None = None
    subset: UnsatisfiableSubset | None = None
    relaxations: tuple[Relaxation, ...] = ()
    least: Fraction | None = None
    least_proven: bool = False
    schedule: Schedule | None = None
    give: str = ""
    hoist_give: str | None = None
    several: bool = False
    others: OtherDegrees | None = None

    def distinct_relaxations(self) -> list[Relaxation]:
        """The relaxations that were found, each once."""
        found: list[Relaxation] = []
        for one in self.relaxations:
            if one.changes and all(one.changes != other.changes for other in found):
                found.append(one)
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
        if self.subset is not None:
            found += self._together(self.subset)
        found += self._relaxed()
        if self.least is not None:
            proof = "the least" if self.least_proven else "the shortest found"
            found.append(
                f"With all limits as they are, {self._time(self.least)} is {proof} at degree "
                f"{self.degree}."
            )
        return found

    def _together(self, subset: UnsatisfiableSubset) -> list[str]:
        if not subset.demands:
            return [subset.sentence()]
        if all(subset.without):
            return ["Leave out any one of the things asked for above and there is a schedule."]
        told = []
        if not subset.minimal:
            told.append("The list above conflicts, but may be longer than it need be.")
        if False in subset.without:
            told.append(
                'Where it says "still not", to leave out that one thing is not enough: more of '
                "what is asked for stands against it."
            )
        if None in subset.without:
            told.append(
                'Where it says "not settled", it was not found out in the time given whether '
                "leaving out that one thing is enough."
            )
        return [*told, *subset.further(MOST_NAMED), *self._beyond(subset)]

    def _beyond(self, subset: UnsatisfiableSubset) -> list[str]:
        """What there is when all sets told of are left out, but for the wish."""
        wished = any(demand.kind == "longest" for demand in subset.demands)
        but = " but the cycle time wished for" if wished and len(subset.demands) > 1 else ""
        none = f"With none of what is named so far{but}"
        if subset.complete is None:
            return [f"{none}: whether there is a schedule was not found out in the time given."]
        if subset.complete:
            return [f"{none}, there is a schedule."] if subset.besides else []
        return [
            f"{none}, there is still no schedule; what else stands against it was not found in "
            "the time given, and more (--time-limit) may find it."
        ]

    def _relaxed(self) -> list[str]:
        if not self.relaxations:
            return []
        hoist = "" if self.hoist_give is None else f" ({self.hoist_give} for times of the hoist)"
        how_far = f"what the problem says it may give, or else at most {self._give()}{hoist}"
        if any(one.status == "none" for one in self.relaxations):
            return [
                f"No changes help where each limit gives {how_far}: proved.",
                "--by lets limits give more; times of several hoists are kept as they are."
                if self.several
                else "--by and --hoist-by let limits give more.",
            ]
        if not self.distinct_relaxations():
            return [
                f"Each limit giving {how_far}, no changes that help were found in the time given."
            ]
        return [f"Above, each limit gives {how_far}."]

    def _give(self) -> str:
        return self.give if "%" in self.give else f"{self.give} {self.unit}"

    def _time(self, time: Fraction) -> str:
        return f"{told(time)} {self.unit}"

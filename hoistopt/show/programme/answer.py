"""A programme as an answer: one that was given and is clean, one that was refused."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ...base.text import counted
from ...checker import ProgrammeReplay
from ...problem import Problem
from ..answer import Answer, Outcome
from ..schedule.violations import violation_list
from ..tables.data_table import DataTable
from .cautions import cautions
from .files import hoists_beside, load_times, programme_data, programme_moves
from .joined import repeats_words
from .lost import overstay_data, overstay_table, recovery_offer
from .rows import tick_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType


@dataclass(frozen=True)
class VerifiedProgramme(Answer):
    """A programme that the checker accepts.

    Attributes
    ----------
    replay : ProgrammeReplay
        What the checker saw of it; it is clean.
    said : tuple of str
        What has to be said of the file it came from.
    """

    replay: ProgrammeReplay
    said: tuple[str, ...] = ()

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.replay.problem

    def data(self) -> dict[str, Any]:
        return programme_data(self.replay)

    def sentences(self) -> list[str]:
        from .tables import figures

        start = "an empty line" if self.replay.state.empty else "the state given"
        count = len(self.replay.programme)
        moves = counted(count, "move")
        seen = self.replay
        clean = f"Clean: a programme of {moves}, replayed from {start}, breaks no rule"
        if seen.overstays:
            clean += ", as a recovery: maxima are passed by the loads named as lost alone"
        if seen.programme.repeats is not None:
            return [f"{clean}, however often its cycle is made.", repeats_words(seen), *self.said]
        return [f"{clean}.", figures(seen), *self.said]

    def tables(self) -> list[RenderableType | str]:
        from .tables import hoist_tables, load_table

        lost = [overstay_table(self.replay)] if self.replay.overstays else []
        return [*lost, *hoist_tables(self.replay), load_table(self.replay)]

    def data_tables(self) -> list[DataTable]:
        seen = self.replay
        return [programme_moves(seen), load_times(seen), *hoists_beside(seen)]

    def figure(self) -> Figure:
        from .figure import draw_programme

        return draw_programme(self.replay)

    def standing(self) -> list[str]:
        return cautions(self.replay)

    def cautions(self) -> list[str]:
        return cautions(self.replay)


@dataclass(frozen=True)
class RefusedProgramme(Answer):
    """A programme that breaks rules of its line; drawn as such, nothing else is shown."""

    replay: ProgrammeReplay
    outcome: Outcome = "no"

    @property
    def problem(self) -> Problem:  # type: ignore[override]
        """The line."""
        return self.replay.problem

    def data(self) -> dict[str, Any]:
        from ..tables.jsonfile import json_number, versions

        seen = self.replay
        return {
            "problem": seen.problem.name,
            "status": "refused",
            "finish": json_number(seen.finish),
            "unit": seen.problem.unit,
            "violations": violation_list(seen.violations, tick_of(seen)),
            "lost": list(seen.lost),
            "overstays": overstay_data(seen),
            "cautions": self.standing(),
            "versions": versions(),
        }

    def sentences(self) -> list[str]:
        count = len(self.replay.violations)
        begins = "an empty line" if self.replay.state.empty else "the state given"
        refused = (
            f"Refused: {counted(count, 'violation')} found in the programme, replayed from "
            f"{begins}."
        )
        return [refused, *recovery_offer(self.replay)]

    def figure(self) -> Figure | None:
        from .figure import draw_programme

        return draw_programme(self.replay) if self.replay.runs else None

    def tables(self) -> list[RenderableType | str]:
        from ..schedule.violations import programme_violations

        seen = self.replay
        return [programme_violations(seen.problem, seen.violations, tick_of(seen))]

    short_tables = tables

    def data_tables(self) -> list[DataTable]:
        from ..schedule.violations import violations_of_programme

        seen = self.replay
        return [violations_of_programme(seen.problem, seen.violations, tick_of(seen))]

"""What every answer can give, whoever shows it: a command, a page, a notebook."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Literal

from ..analysis.figures.cautions import standing
from ..problem import Problem

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from rich.console import RenderableType

    from .tables.data_table import DataTable

Outcome = Literal["done", "no", "stopped"]


class Answer(ABC):
    """An answer with its data, its tables, its figure and its words in one place.

    Attributes
    ----------
    problem : Problem
        The line it is about.
    outcome : str
        "done"; "no": the answer is no; "stopped": stopped before there was one.
    """

    problem: Problem
    outcome: Outcome = "done"

    @abstractmethod
    def data(self) -> dict[str, Any]:
        """All of it as plain data for JSON, times in the problem's unit."""

    def document(self) -> dict[str, Any]:
        """The data as a JSON file carries them, with what the problem file notes of the line
        and what in it is seldom meant."""
        return {**self.data(), "note": self.problem.note, "warnings": list(self.warnings())}

    @abstractmethod
    def sentences(self) -> list[str]:
        """The answer in words, a sentence or a few an item."""

    def tables(self) -> Sequence[RenderableType | str]:
        """Tables for a terminal, with what has to be said beside them; none by default."""
        return ()

    def short_tables(self) -> Sequence[RenderableType | str]:
        """The tables that are shown to those who asked for quiet too."""
        return ()

    def data_tables(self) -> Sequence[DataTable]:
        """Its tables as data, the main one first; none by default."""
        return ()

    def csv(self) -> str | None:
        """The main table as CSV; None where there is nothing to put into one."""
        tables = self.data_tables()
        if not tables:
            return None
        return tables[0].csv(self.cautions(), [self.problem.note])

    def file(self, path: str) -> str | bytes | None:
        """The file of its own kind that it makes, as it is to stand at `path`; mostly none."""
        return None

    def figure(self) -> Figure | None:
        """The drawing, outside of pyplot; None where there is nothing to draw."""
        return None

    def picture(self, name: str) -> Figure | None:
        """The drawing that an option asks for: mostly there is one, and this is it.

        Parameters
        ----------
        name : {"diagram", "OUT", "dwells", "run_chart"}
        """
        return self.figure()

    def page(self) -> str | None:
        """The answer as an HTML page that needs nothing else; mostly none."""
        return None

    def warnings(self) -> Sequence[str]:
        """What is allowed but seldom meant in what was asked, a sentence each."""
        return self.problem.warnings

    def standing(self) -> list[str]:
        """The cautions that stand under every output about the line."""
        return standing(len(self.problem.hoists) > 1)

    def cautions(self) -> list[str]:
        """What stands under it; the standing cautions come last."""
        return self.standing()

"""The best degree, what each of them gives, and what stands idle: for the summary of the report."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from ...checker import named_schedule
from ...planning.idle import idle_tanks
from ..schedule.chosen import best_sentences, idle_sentences
from ..schedule.degrees import ComparedDegrees
from .case import Case
from .markup import tag
from .tables import figure_cell, titled_table


def degree_parts(case: Case) -> list[Element]:
    """How the degree was chosen, or that this is not known, and the degrees compared."""
    compared = case.compared
    row = None if compared is None else compared.best_row
    longer = row is not None and row.time_per_load != case.told.figures.time_per_load
    found = [tag("h3", "Degree"), *_told(best_sentences(compared, longer=longer))]
    if compared is not None and compared.several:
        found.append(
            tag(
                "div",
                _table(compared),
                class_="scrolled",
                role="region",
                aria_label="Table of the degrees compared",
                tabindex="0",
            )
        )
    return found


def idle_parts(case: Case) -> list[Element]:
    """Tanks, hoists and carriers that the schedule shown does without; none where it needs all."""
    # Moves from elsewhere may leave out which stage a load leaves.
    idle = idle_tanks(case.problem, named_schedule(case.replay.plan))
    said = idle_sentences(idle, case.told, case.compared)
    return [tag("h3", "Not needed"), *_told(said)] if said else []


def _told(sentences: list[str]) -> list[Element]:
    return [tag("p", sentence, class_="told") for sentence in sentences]


def _table(compared: ComparedDegrees) -> Element:
    body = [
        tag(
            "tr",
            tag("th", degree, scope="row", class_="number"),
            *(figure_cell(cell) for cell in figures),
            tag("td", answer, class_="words"),
            class_="best" if degree == str(compared.best) else "",
        )
        for degree, *figures, answer in zip(*compared.cells(), strict=True)
    ]
    return titled_table("Degrees compared", compared.heads(), body, "degrees")

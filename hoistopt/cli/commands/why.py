"""`hoistopt why`: what holds the cycle time where it is."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Literal

from ...base.errors import InputError
from ..arguments import label_of, whole
from ..ending import CODES, asked, close, finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running
from ..streams import tell
from ..taking import add_moves, moves_typed

if TYPE_CHECKING:
    from ...show.answer import Answer

SUMMARY = "Tell what holds the cycle time: the chain of times that adds up to it."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(
        parser,
        "table of moves (CSV, JSON or .xlsx); left out, the line is solved first",
        optional=True,
    )
    parser.add_argument(
        "--degree",
        metavar="K",
        help="sets of loads per cycle, where it is solved (default: the best)",
    )
    add_search(parser, "seconds of search, where it is solved")
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    add_tables(parser, "the pieces")
    parser.add_argument(
        "--diagram", metavar="OUT", help="mark it in the time-way diagram (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Solve if no moves are given, then explain."""
    degree = whole(options.degree, "--degree", 1, 100)
    effort_typed(options)
    moves = moves_typed(options)
    if moves is not None and degree is not None:
        raise InputError(
            "no degree beside a table of moves",
            field="--degree",
            value=degree,
            way_out="The table has the degree it has; leave out one of the two.",
        )
    wanted: list[int] | Literal["best"] = "best" if degree is None else [degree]
    inputs = [options.file] if moves is None else [options.file, moves]
    outputs = Outputs(
        inputs,
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )

    from ...app.given import naming
    from ...app.why import why
    from ...problem import load_problem
    from ...show.schedule.answer import SolvedAnswer
    from ..progress import Meter

    problem = load_problem(options.file)

    def ask() -> Answer:
        with (
            naming(options.file),
            running(options, Meter(problem.unit, label_of(wanted))) as effort,
        ):
            return why(problem, moves, wanted, effort)

    answer = asked(ask, outputs)
    if isinstance(answer, SolvedAnswer):
        found = answer.sentences()
        if answer.outcome == "no":
            found.append("`hoistopt conflict` tells more about why, and what would help.")
        close(tell, (), found, answer.cautions(), problem.note)
        return CODES[answer.outcome]
    return answer if isinstance(answer, int) else finish(answer, outputs)

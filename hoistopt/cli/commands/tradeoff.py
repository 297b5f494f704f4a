"""`hoistopt tradeoff`: what margin costs in cycle time, and what it does for the loads."""

from __future__ import annotations

import argparse
from typing import Literal

from ..arguments import one_of, option_named, percent, whole
from ..ending import asked, finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running
from ..taking import add_moves, moves_typed

MEASURES: tuple[Literal["window", "slack", "float"], ...] = ("window", "slack", "float")
SUMMARY = "Tell what a margin for late starts costs in cycle time and saves in loads."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(
        parser,
        "table of moves of the shortest cycle, to start from (CSV, JSON or .xlsx); left out, it is "
        "searched for",
        optional=True,
    )
    parser.add_argument(
        "--degree",
        metavar="K",
        help="sets of loads per cycle (default 1, or that of the moves given)",
    )
    parser.add_argument(
        "--measure",
        metavar="NAME",
        default="window",
        help="loads out of window while times scatter (window, default), or margin for a start "
        "late once (slack) or in every cycle (float)",
    )
    parser.add_argument(
        "--upto",
        metavar="PERCENT",
        default="10",
        help="how far above the shortest cycle time to go (default 10)",
    )
    parser.add_argument(
        "--points", metavar="N", default="8", help="max. number of points (default 8)"
    )
    add_search(parser, "seconds for each search")
    parser.add_argument("--json", metavar="OUT", help='write the curve as JSON ("-": stdout)')
    add_tables(parser, "the curve")
    parser.add_argument(
        "--diagram",
        metavar="OUT",
        help="draw loads out of window against cycle time (.png, .svg or .pdf)",
    )


def run(options: argparse.Namespace) -> int:
    """The points of the curve, each a schedule the checker accepts."""
    degree = whole(options.degree, "--degree", 1, 100)
    upto = percent(options.upto, "--upto")
    points = whole(options.points, "--points", 2, 100) or 2
    effort_typed(options)
    measure = one_of(options.measure, "--measure", MEASURES) or "window"
    moves = moves_typed(options, usual="least")
    given = [options.file] if moves is None else [options.file, moves]
    outputs = Outputs(
        given,
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )

    from ...app.robust import tradeoff
    from ..progress import Watch

    label = f"degree {degree or 1}" if moves is None or degree else "the moves given"
    with option_named("measure", "degree"), running(options, Watch(label)) as effort:
        answer = asked(
            lambda: tradeoff(options.file, degree, upto, points, measure, effort, moves), outputs
        )
    if isinstance(answer, int):
        return answer
    return finish(answer, outputs)

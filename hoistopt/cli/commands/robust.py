"""`hoistopt robust`: the schedule that forgives most, nearly as short as the shortest."""

from __future__ import annotations

import argparse

from ..arguments import option_named, percent, whole
from ..ending import asked, finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running
from ..taking import add_moves, moves_typed

SUMMARY = "Find the schedule that tolerates late starts best, at nearly the shortest cycle time."

EPILOG = """aims, the most important first, separated by commas:
  slack    largest margin below every max. dwell: how late a start may be once
  float    largest margin of every start: how late it may be in every cycle
  travel   shortest empty travel of the hoist, where the line has one
  nominal  dwells nearest to the nominal ones of the problem file
  loads    fewest loads in process
  cycle    shortest cycle; asked for last in any case
  window   smallest share of loads that stand too long while the hoist's times scatter, as
           [scatter] in FILE says or as is assumed; alone, without other aims
A window narrower than the margin keeps all it has to give; the tightest start is told.
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
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
        "--within",
        metavar="PERCENT",
        default="5",
        help="how much longer than the shortest the cycle may be (default 5)",
    )
    parser.add_argument(
        "--aims", metavar="LIST", default="float,slack", help="see below (default float,slack)"
    )
    add_search(parser, "seconds for the shortest cycle and for each aim")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    add_tables(parser, "the steps")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )
    parser.add_argument(
        "--quiet", action="store_true", help="leave out the tables of steps and dwells"
    )


def run(options: argparse.Namespace) -> int:
    """The schedule, what each aim came to, and how late each move may start."""
    degree = whole(options.degree, "--degree", 1, 100)
    within = percent(options.within, "--within")
    effort_typed(options)
    moves = moves_typed(options, usual="least")
    given = [options.file] if moves is None else [options.file, moves]
    outputs = Outputs(
        given,
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    aims = [name.strip() for name in options.aims.split(",")]

    from ...app.robust import robust
    from ..progress import Watch

    label = f"degree {degree or 1}" if moves is None or degree else "the moves given"
    with option_named("aims", "degree"), running(options, Watch(label)) as effort:
        answer = asked(lambda: robust(options.file, degree, within, aims, effort, moves), outputs)
    if isinstance(answer, int):
        return answer
    return finish(answer, outputs, quiet=options.quiet)

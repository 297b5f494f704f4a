"""`hoistopt solve`: find the least cycle time, show it, write it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ..arguments import degrees_or_best, label_of, time_from_0
from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_degrees, add_out_of_service, effort_typed, in_service, running
from ..taking import add_show, show_typed

if TYPE_CHECKING:
    from ...problem import Problem

SUMMARY = "Find the least cycle time of a line and prove it."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_degrees(parser)
    add_out_of_service(parser)
    parser.add_argument(
        "--margin",
        metavar="S",
        help="ask for so much slack and float, in the unit of FILE, of every stage that does not "
        "state its own: the least cycle time with both is proved",
    )
    parser.add_argument(
        "--slack", metavar="S", help="ask for slack alone: how late a start may be once"
    )
    parser.add_argument(
        "--float", metavar="S", help="ask for float alone: how late it may be in every cycle"
    )
    parser.add_argument(
        "--json",
        metavar="OUT",
        help='write everything as JSON ("-": stdout): on top the least cycle, under `runnable` the '
        "one that can be run, whichever is shown",
    )
    add_tables(parser, "the steps")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )
    add_show(parser)
    parser.add_argument(
        "--quiet", action="store_true", help="leave out the tables of steps and dwells"
    )


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the search begins."""
    from ...app.given import naming
    from ...problem import load_problem
    from ..progress import Meter

    wanted = degrees_or_best(options.degree)
    show = show_typed(options)
    effort_typed(options)
    outputs = Outputs(
        [options.file],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    with naming(options.file):
        problem = _asked(options, in_service(options, load_problem(options.file)))
    from ...app.solve import solve  # takes long to load: not before what was typed is right

    meter = Meter(problem.unit, label_of(wanted), options.quiet)
    with naming(options.file), running(options, meter) as effort:
        answer = solve(problem, wanted, effort, show)
    return finish(answer, outputs, quiet=options.quiet)


def _asked(options: argparse.Namespace, problem: Problem) -> Problem:
    """The line with the margin that was typed."""
    from ...base.numbers.duration import given_time

    both = time_from_0(options.margin, "--margin")
    slack, late = time_from_0(options.slack, "--slack"), time_from_0(options.float, "--float")
    slack, late = both if slack is None else slack, both if late is None else late
    if slack is None and late is None:
        return problem
    unit = problem.unit
    return problem.with_margin(
        slack=None if slack is None else given_time(slack, unit, "--slack"),
        float=None if late is None else given_time(late, unit, "--float"),
    )

"""`hoistopt without`: what a line loses with a tank out of use."""

from __future__ import annotations

import argparse

from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running

SUMMARY = "Tell what output is lost without each parallel tank, as during maintenance."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument(
        "tanks",
        metavar="TANK",
        nargs="*",
        help="tanks out of use at the same time, of several hoists any of those too; left out: "
        "every tank that shares a stage with others, one at a time",
    )
    add_search(parser, "seconds in all (default 120)", "120")
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    add_tables(parser, "the table")


def run(options: argparse.Namespace) -> int:
    """The line is planned at its best degree with all tanks, then without some."""
    effort_typed(options)
    outputs = Outputs([options.file], json=options.json, csv=options.csv, workbook=options.workbook)

    from ...app.without import without
    from ..progress import Watch

    with running(options, Watch("tanks out of use")) as effort:
        answer = without(options.file, options.tanks, effort)
    return finish(answer, outputs)

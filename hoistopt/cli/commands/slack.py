"""`hoistopt slack`: how late each move may start, the alarm limits of a sequencer."""

from __future__ import annotations

import argparse

from ..ending import answered
from ..outputs import Outputs, add_tables
from ..taking import add_moves, the_moves

SUMMARY = "Tell how late each move may start, once and in every cycle: the alarm limits."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser)
    parser.add_argument("--json", metavar="OUT", help='write the limits as JSON ("-": stdout)')
    add_tables(parser, "the limits")


def run(options: argparse.Namespace) -> int:
    """The table of limits, or the violations where the moves break a rule."""
    from ...app.slack import slack

    moves = the_moves(options)
    outputs = Outputs(
        [options.file, moves], json=options.json, csv=options.csv, workbook=options.workbook
    )
    return answered(lambda: slack(options.file, moves), outputs)

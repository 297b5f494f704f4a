"""`hoistopt slack`: how late each move may start, the alarm limits of a sequencer."""

from __future__ import annotations

import argparse

from ..ending import answered
from ..outputs import Outputs

SUMMARY = "Tell how late each move may start, once and in every cycle: the alarm limits."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument("--json", metavar="OUT", help='write the limits as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the limits as CSV ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """The table of limits, or the violations where the moves break a rule."""
    from ...app.slack import slack

    outputs = Outputs([options.file, options.moves], json=options.json, csv=options.csv)
    return answered(lambda: slack(options.file, options.moves), outputs)

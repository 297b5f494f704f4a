"""`hoistopt draw`: the time-way diagram of a table of moves the checker accepts."""

from __future__ import annotations

import argparse

from ..ending import answered
from ..outputs import Outputs
from ..taking import add_moves, the_moves

SUMMARY = "Draw the time-way diagram of a table of moves that breaks no rule."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    add_moves(parser)
    parser.add_argument("out", metavar="OUT", help="drawing to write (.png, .svg or .pdf)")


def run(options: argparse.Namespace) -> int:
    """Draw, or list the violations and write nothing."""
    from ...app.verify import verify

    moves = the_moves(options)
    outputs = Outputs([options.file, moves], OUT=options.out)
    return answered(lambda: verify(options.file, moves), outputs, only_files=True)

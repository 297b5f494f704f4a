"""`hoistopt draw`: the time-way diagram of a table of moves, its faults marked."""

from __future__ import annotations

import argparse

from ..arguments import option_named
from ..ending import answered
from ..outputs import Outputs
from ..taking import (
    add_lost,
    add_moves,
    add_state,
    add_words,
    at_typed,
    lost_typed,
    state_typed,
    the_moves,
)

SUMMARY = "Draw the time-way diagram of a table of moves, with every rule that it breaks."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser, "table of moves, of a cycle or a programme (CSV, JSON or .xlsx)")
    parser.add_argument("out", metavar="OUT", help="drawing to write (.png, .svg or .pdf)")
    add_words(parser)
    add_state(parser)
    add_lost(parser)


def run(options: argparse.Namespace) -> int:
    """Draw; where rules are broken list them, and stamp the drawing as refused."""
    from ...app.verify import is_programme, verify, verify_programme

    moves = the_moves(options)
    made = moves.path if options.mapping is None else moves
    lost, at = lost_typed(options), at_typed(options)
    state = [] if options.state is None else [options.state]
    outputs = Outputs(
        [options.file, moves, *state, *filter(None, [options.mapping])], OUT=options.out
    )
    if options.state is not None or is_programme(moves.path):
        with option_named("lost", "at"):
            return answered(
                lambda: verify_programme(options.file, made, state_typed(options, at), lost),
                outputs,
                only_files=True,
                findings=True,
            )
    return answered(lambda: verify(options.file, moves), outputs, only_files=True, findings=True)

"""`hoistopt verify`: replay a table of moves, or a programme, and name every rule it breaks."""

from __future__ import annotations

import argparse

from ...base.errors import InputError
from ..arguments import option_named, time_from_0, whole
from ..ending import answered
from ..outputs import Outputs, add_tables
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

MOST_CYCLES = 1000


SUMMARY = "Replay a table of moves and name every rule it breaks."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser, "table of moves, of a cycle or a programme (CSV, JSON or .xlsx)")
    parser.add_argument(
        "--cycles",
        metavar="N",
        help="cycles in which loads enter (default: until the line repeats itself)",
    )
    parser.add_argument(
        "--tolerance",
        metavar="T",
        help="for a table of rounded times: accept it too if, its moves in the same order, "
        "starts and a cycle time each within T of those stated break no rule; told are those "
        "times and every rule that the table breaks as it stands",
    )
    add_words(parser)
    add_state(parser)
    add_lost(parser)
    parser.add_argument("--json", metavar="OUT", help='write the findings as JSON ("-": stdout)')
    parser.add_argument(
        "--diagram",
        metavar="OUT",
        help="draw the moves, with every violation where it happens (.png, .svg or .pdf)",
    )
    add_tables(parser, "every violation, or of clean moves the steps with their dwells,")


def run(options: argparse.Namespace) -> int:
    """Violations in a table, or a clean statement with the dwell margins."""
    from ...app.verify import is_programme, verify, verify_programme

    cycles = whole(options.cycles, "--cycles", 1, MOST_CYCLES)
    tolerance = time_from_0(options.tolerance, "--tolerance")
    lost, at = lost_typed(options), at_typed(options)
    state = [] if options.state is None else [options.state]
    moves = the_moves(options)
    made = moves.path if options.mapping is None else moves
    outputs = Outputs(
        [options.file, moves, *state, *filter(None, [options.mapping])],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    if options.state is not None or is_programme(moves.path):
        if cycles is not None:
            raise InputError(
                "a table of a cycle, as a programme runs once", field="--cycles", value=cycles
            )
        if tolerance is not None:
            raise InputError(
                "a table of a cycle, whose times are judged together",
                field="--tolerance",
                value=options.tolerance,
            )
        with option_named("lost", "at"):
            return answered(
                lambda: verify_programme(options.file, made, state_typed(options, at), lost),
                outputs,
                findings=True,
            )
    with option_named("cycles", "tolerance"):
        return answered(
            lambda: verify(options.file, moves, cycles, tolerance), outputs, findings=True
        )

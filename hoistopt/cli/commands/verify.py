"""`hoistopt verify`: replay a table of moves and name every rule it breaks."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE
from ..outputs import STDOUT, targets
from ..refusing import refuse
from ..streams import say, tell

if TYPE_CHECKING:
    from ...checker import Replay

MOST_CYCLES = 1000


SUMMARY = "Replay a table of moves and name every rule it breaks."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument(
        "--cycles",
        metavar="N",
        help="cycles in which loads enter (default: until the line repeats itself)",
    )
    parser.add_argument("--json", metavar="OUT", help='write the findings as JSON ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """Violations in a table, or a clean statement with the dwell margins."""
    cycles = whole(options.cycles, "--cycles", 1, MOST_CYCLES)
    outputs = targets([options.file, options.moves], json=options.json)
    output = outputs.get("json")

    from ...checker import Refused

    try:
        seen = replayed(options.file, options.moves, cycles)
    except Refused as refused:
        return refuse(refused, output)
    if not seen.steady_cycles:
        raise InputError(
            "more cycles: the line has not begun to repeat itself",
            field="--cycles",
            value=options.cycles,
            way_out="Give a larger number, or leave it out.",
        )

    from ...analysis.figures.report import report
    from ...show.schedule.data import verified_data
    from ...show.schedule.tables import dwell_table, figure_table
    from ...show.tables.jsonfile import json_text

    told = report(seen.problem, seen.schedule, seen)
    if output is not None:
        output.write(json_text(verified_data(seen.problem, told)))
    shown = tell if output is not None and output.path == STDOUT else say
    if shown is say:
        shown(dwell_table(told), figure_table(told), "")
    cycles_seen = f"{seen.cycles} cycles, filling and emptying the line included"
    shown(f"Clean: {len(seen.schedule)} moves replayed over {cycles_seen}, break no rule.", "")
    shown(*told.cautions)
    return DONE


def replayed(file: str, moves: str, cycles: int | None = None) -> Replay:
    """Read a problem and a table of moves, and replay it.

    Parameters
    ----------
    file, moves : str
        Names of the two files.
    cycles : int, optional
        Cycles in which loads enter.

    Raises
    ------
    Refused
        When the moves break a rule.
    InputError
        When a file cannot be used.
    """
    from ...problem import load_problem
    from ...schedule.files import read_moves

    problem = load_problem(file)
    schedule = read_moves(moves, problem)

    from ...checker import Refused, replay

    try:
        seen = replay(problem, schedule, cycles)
    except InputError as error:
        raise error.in_file(moves) from None
    if not seen.clean:
        raise Refused(seen)
    return seen

"""`hoistopt verify`: replay a table of moves and name every rule it breaks."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE, NO
from ..outputs import STDOUT, Target, targets
from ..streams import say, tell

if TYPE_CHECKING:
    from ...checker import Replay
    from ...problem import Problem
    from ...schedule import Schedule

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
    problem, schedule, seen = replayed(options.file, options.moves, cycles)
    output = outputs.get("json")
    if not seen.clean:
        return refuse(problem, schedule, seen, output)
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

    told = report(problem, schedule, seen)
    if output is not None:
        output.write(json_text(verified_data(problem, told)))
    shown = _shown(output)
    if shown is say:
        shown(dwell_table(told), figure_table(told), "")
    cycles_seen = f"{seen.cycles} cycles, filling and emptying the line included"
    shown(f"Clean: {len(schedule)} moves replayed over {cycles_seen}, break no rule.", "")
    shown(*told.cautions)
    return DONE


def replayed(file: str, moves: str, cycles: int | None = None) -> tuple[Problem, Schedule, Replay]:
    """Read a problem and a table of moves, and replay it."""
    from ...problem import load_problem
    from ...schedule.files import read_moves

    problem = load_problem(file)
    schedule = read_moves(moves, problem)

    from ...checker import replay

    try:
        return problem, schedule, replay(problem, schedule, cycles)
    except InputError as error:
        raise error.in_file(moves) from None


def refuse(problem: Problem, schedule: Schedule, seen: Replay, output: Target | None = None) -> int:
    """Show every violation; the answer is no."""
    from ...analysis.figures.cautions import STANDING
    from ...analysis.figures.steps import tick_of
    from ...show.schedule.violations import violation_data, violation_table
    from ...show.tables.jsonfile import json_text

    found = (seen.violations, seen.cycle_time, tick_of(schedule))
    if output is not None:
        output.write(json_text(violation_data(problem, *found)))
    shown = _shown(output)
    if shown is say:
        shown(violation_table(problem, *found))
    count = len(seen.violations)
    shown(f"Refused: {count} violation{'s' * (count > 1)} found.", "", STANDING)
    return NO


def _shown(output: Target | None) -> Callable[..., None]:
    return tell if output is not None and output.path == STDOUT else say

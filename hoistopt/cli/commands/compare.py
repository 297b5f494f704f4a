"""`hoistopt compare`: two schedules, or two versions of a line, side by side."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...base.errors import InputError, printable
from ..arguments import degrees
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, targets
from ..searching import add_search, search_of
from ..streams import say, tell
from .solve import search
from .verify import replayed

if TYPE_CHECKING:
    from ...analysis.compare import Side
    from ...problem import Problem

SUMMARY = "Compare two schedules, or two versions of a line: order, tanks, dwells, output."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML) before the change")
    parser.add_argument(
        "other", metavar="OTHER", nargs="?", help="problem file after it (default: FILE again)"
    )
    parser.add_argument(
        "--before", metavar="MOVES", help="moves on FILE (CSV or JSON); left out, it is solved"
    )
    parser.add_argument(
        "--after", metavar="MOVES", help="moves on OTHER (CSV or JSON); left out, it is solved"
    )
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle to solve for"
    )
    add_search(parser, "seconds of search for each side")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')


@dataclass(frozen=True)
class _Search:
    degree: int
    limit: float | None
    workers: int | None
    seed: int


def run(options: argparse.Namespace) -> int:
    """Both sides are read before the first is solved."""
    from ...analysis.compare import check_units, compare_sides
    from ...analysis.figures.cautions import STANDING
    from ...problem import load_problem

    how = _how(options)
    other = options.file if options.other is None else options.other
    if options.other is None and options.before is None and options.after is None:
        raise InputError(
            "two things to compare",
            field="OTHER",
            way_out="Name a second problem file, or moves with --before or --after.",
        )
    read = [options.file, other, *(m for m in (options.before, options.after) if m is not None)]
    output = targets(read, json=options.json).get("json")
    lines = load_problem(options.file), load_problem(other)
    try:
        check_units(*lines)
    except InputError as error:
        raise error.in_file(other) from None
    sides: list[Side] = []
    given = ((options.file, options.before), (other, options.after))
    for line, (file, moves) in zip(lines, given, strict=True):
        side = _solved(line, file, how) if moves is None else _given(file, moves)
        if isinstance(side, int):
            return side
        sides.append(side)
    comparison = compare_sides(*sides)

    from ...show.compare.data import comparison_data
    from ...show.compare.table import tables, verdict
    from ...show.tables.jsonfile import json_text

    if output is not None:
        output.write(json_text(comparison_data(comparison)))
    shown = tell if output is not None and output.path == STDOUT else say
    if shown is say:
        shown(tables(comparison), "")
    shown(verdict(comparison), *_unproved(sides))
    if output is not None and output.path != STDOUT:
        shown(f"Wrote {output.shown}")
    shown("", STANDING)
    return DONE


def _how(options: argparse.Namespace) -> _Search:
    wanted = degrees(options.degree)
    if len(wanted) > 1:
        raise InputError("one degree for both sides", field="--degree", value=options.degree)
    return _Search(wanted[0], *search_of(options))


def _given(file: str, moves: str) -> Side:
    """A side with moves from a file."""
    from ...analysis.compare import side_of
    from ...checker import Refused

    try:
        seen = replayed(file, moves)
    except Refused:
        tell(f"Moves in {printable(moves)}:")
        raise
    return side_of(seen.problem, seen.schedule, seen=seen)


def _solved(problem: Problem, file: str, how: _Search) -> Side | int:
    """A side that is solved; an exit code after saying why there is no schedule."""
    from ...analysis.compare import side_of
    from ...checker import accepted
    from ...show.schedule.words import outcome

    try:
        (result,) = search(problem, [how.degree], how.limit, how.workers, how.seed, quiet=False)
    except InputError as error:
        raise error.in_file(file) from None
    except KeyboardInterrupt:
        tell("error: stopped before any schedule was found")
        return STOPPED
    if result.schedule is None:
        say(f"{printable(file)}: {outcome(problem, result)}")
        return NO if result.status == "infeasible" else STOPPED
    seen = accepted(problem, result.schedule, result.replay, made_here=True)
    return side_of(problem, result.schedule, result.status, seen)


def _unproved(sides: list[Side]) -> list[str]:
    names = [name for name, side in zip(("before", "after"), sides, strict=True)
             if side.status == "feasible"]  # fmt: skip
    return [f"Not proved to be the least cycle time: {' and '.join(names)}."] if names else []

"""`hoistopt why`: what holds the cycle time where it is."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, targets
from ..refusing import refuse
from ..searching import add_search, search_of
from ..streams import say, tell
from .verify import replayed

if TYPE_CHECKING:
    from ...checker import Replay
    from ...planning.result import Result
    from ...problem import Problem

SUMMARY = "Tell what holds the cycle time: the chain of times that adds up to it."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "moves",
        metavar="MOVES",
        nargs="?",
        help="table of moves (CSV or JSON); left out, the line is solved first",
    )
    parser.add_argument(
        "--degree", metavar="K", help="sets of loads per cycle, where it is solved (default 1)"
    )
    add_search(parser, "seconds of search, where it is solved")
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="mark it in the time-way diagram (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Solve if no moves are given, then explain."""
    degree = whole(options.degree, "--degree", 1, 100)
    limit, workers, seed = search_of(options)
    if options.moves is not None and degree is not None:
        raise InputError(
            "no degree beside a table of moves",
            field="--degree",
            value=degree,
            way_out="The table has the degree it has; leave out one of the two.",
        )
    inputs = [options.file] if options.moves is None else [options.file, options.moves]
    outputs = targets(inputs, json=options.json, diagram=options.diagram)
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    status = "verified"
    seen: Replay | None

    from ...checker import Refused

    if options.moves is not None:
        try:
            seen = replayed(options.file, options.moves)
        except Refused as refused:
            return refuse(refused, outputs.get("json"))
        problem, schedule = seen.problem, seen.schedule
    else:
        problem, result = _solved(options.file, degree or 1, limit, workers, seed)
        if result.schedule is None:
            return _none(problem, result)
        schedule, status, seen = result.schedule, result.status, result.replay

    from ...analysis.figures.cautions import STANDING
    from ...analysis.why.holding import what_holds
    from ...show.tables.jsonfile import json_text
    from ...show.why.table import holding_table

    try:
        holding = what_holds(problem, schedule, seen)
    except InputError as error:
        raise error.in_file(options.moves or options.file) from None
    if "json" in outputs:
        outputs["json"].write(json_text({"problem": problem.name, **holding.to_data()}))
    if "diagram" in outputs:
        from ...show.why.figure import save_holding

        save_holding(problem, holding, outputs["diagram"].path)
    if shown is say:
        shown(holding_table(holding), "")
    shown(holding.sentence(), *holding.remarks())
    if status == "feasible":
        shown("The cycle time is not proved to be the least; another order may be quicker.")
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", STANDING)
    return DONE


def _solved(
    file: str, degree: int, limit: float | None, workers: int | None, seed: int
) -> tuple[Problem, Result]:
    from ...planning.cycle import solve
    from ...problem import load_problem
    from ..progress import Meter

    problem = load_problem(file)
    try:
        with Meter(problem.unit, f"degree {degree}") as meter:
            return problem, solve(problem, degree, limit, workers, seed, meter.hear)
    except InputError as error:
        raise error.in_file(file) from None


def _none(problem: Problem, result: Result) -> int:
    from ...show.schedule.words import outcome

    tell(outcome(problem, result))
    if result.status != "infeasible":
        return STOPPED
    tell("`hoistopt conflict` tells more about why, and what would help.")
    return NO

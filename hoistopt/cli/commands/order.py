"""`hoistopt order`: the least cycle time of a given order of moves."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, Target, targets
from ..searching import add_search, search_of
from ..streams import say, tell

if TYPE_CHECKING:
    from ...analysis.order.answer import Ordered
    from ...problem import Problem

SUMMARY = "Find the least cycle time of a given order of moves, or why it cannot run."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "moves",
        metavar="MOVES",
        help="table of moves (CSV or JSON); its times only set the order and may be left out",
    )
    add_search(
        parser,
        "seconds in all, most of them for the best order to compare with (default 60)",
        "60",
    )
    parser.add_argument(
        "--alone", action="store_true", help="do not look for the best order to compare with"
    )
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the steps as CSV ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )


def run(options: argparse.Namespace) -> int:
    """Steps and dwell times at the order's least cycle time, or what is wrong with it."""
    limit, workers, seed = search_of(options)
    outputs = targets(
        [options.file, options.moves],
        json=options.json,
        csv=options.csv,
        diagram=options.diagram,
    )

    from ...analysis.order.least import least_for_order
    from ...problem import load_problem
    from ...schedule.files import read_order
    from ..watch import Watch

    problem = load_problem(options.file)
    order = read_order(options.moves, problem)
    try:
        with Watch("looking for") as watch:
            found = least_for_order(
                problem,
                order,
                compare=not options.alone,
                time_limit=limit,
                workers=workers,
                seed=seed,
                on_progress=watch.hear,
            )
    except InputError as error:
        raise error.in_file(options.file) from None
    return _finish(problem, found, outputs)


def _finish(problem: Problem, found: Ordered, outputs: dict[str, Target]) -> int:
    from ...analysis.figures.cautions import STANDING
    from ...show.tables.jsonfile import json_text

    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if "json" in outputs:
        outputs["json"].write(json_text({"problem": problem.name, **found.to_data()}))
    if found.schedule is None or found.replay is None:
        shown(*found.sentences())
        left = [target.shown for name, target in outputs.items() if name != "json"]
        shown(*(f"Not written, as there is no schedule: {name}" for name in left), "", STANDING)
        return NO if found.status == "cannot" else STOPPED

    from ...analysis.figures.report import report
    from ...show.schedule.tables import dwell_table, step_table

    told = report(problem, found.schedule, found.replay)
    if "csv" in outputs:
        from ...show.schedule.csvfile import steps_csv

        text = steps_csv(told.steps, told.dwells, told.cycle_time, problem.unit)
        outputs["csv"].write(text)
    if "diagram" in outputs:
        from ...show.timeway import save_timeway

        save_timeway(problem, found.schedule, found.replay, outputs["diagram"].path)
    if shown is say:
        shown(step_table(told), dwell_table(told), "")
    shown(*found.sentences())
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", *told.cautions)
    return DONE

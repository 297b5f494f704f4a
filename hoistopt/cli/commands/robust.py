"""`hoistopt robust`: the schedule that forgives most, nearly as short as the shortest."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, Target, targets
from ..searching import add_search, search_of
from ..streams import say, tell

if TYPE_CHECKING:
    from ...analysis.robust.search import Robust
    from ...problem import Problem

SUMMARY = "Find, among schedules nearly as short as the shortest, the one that forgives most."

EPILOG = """aims, the most important first, separated by commas:
  slack    most time that any one start may be late once without a load standing too long
  float    most time that any one start may be late for good, all others as planned
  travel   least empty travel of the hoist
  nominal  dwells nearest to the nominal ones of the problem file
  loads    fewest loads in process
  cycle    shortest cycle; asked for last in any case
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle (default 1)"
    )
    parser.add_argument(
        "--within",
        metavar="PERCENT",
        default="5",
        help="how much longer than the shortest the cycle may be (default 5)",
    )
    parser.add_argument(
        "--aims", metavar="LIST", default="slack,float", help="see below (default slack,float)"
    )
    add_search(parser, "seconds for the shortest cycle and for each aim")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the steps as CSV ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )
    parser.add_argument(
        "--quiet", action="store_true", help="leave out the tables of steps and dwells"
    )


def percent(text: str, option: str) -> str:
    """A percentage as typed, once it is known to be one."""
    from decimal import Decimal, InvalidOperation

    from ...analysis.robust.search import checked_percent

    try:
        checked_percent(Decimal(text.strip().removesuffix("%")), option)
    except InvalidOperation:
        raise InputError("a percentage, such as 5", field=option, value=text) from None
    return text.strip().removesuffix("%")


def run(options: argparse.Namespace) -> int:
    """The schedule, what each aim came to, and how late each move may start."""
    from decimal import Decimal

    degree = whole(options.degree, "--degree", 1, 100) or 1
    within = Decimal(percent(options.within, "--within"))
    limit, workers, seed = search_of(options)
    outputs = targets([options.file], json=options.json, csv=options.csv, diagram=options.diagram)
    aims = [name.strip() for name in options.aims.split(",")]

    from ...analysis.robust.search import robust
    from ...problem import load_problem
    from ..watch import Watch

    problem = load_problem(options.file)
    try:
        with Watch(f"degree {degree}") as watch:
            found = robust(
                problem,
                degree,
                within,
                aims,
                time_limit=limit,
                workers=workers,
                seed=seed,
                on_progress=watch.hear,
            )
    except InputError as error:
        if error.field == "aims":
            error.field = "--aims"
            raise
        raise error.in_file(options.file) from None
    return _finish(problem, found, outputs, options.quiet)


def _finish(problem: Problem, found: Robust, outputs: dict[str, Target], quiet: bool) -> int:
    from ...analysis.figures.cautions import STANDING
    from ...analysis.figures.report import report
    from ...show.robust import NARROW, aim_table, robust_data, robust_summary
    from ...show.schedule.csvfile import steps_csv
    from ...show.schedule.tables import tables
    from ...show.schedule.words import outcome
    from ...show.tables.jsonfile import json_text

    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if found.schedule is None:
        if "json" in outputs:
            outputs["json"].write(json_text(robust_data(problem, found, None)))
        shown(outcome(problem, found.shortest))
        left = [target.shown for name, target in outputs.items() if name != "json"]
        shown(*(f"Not written, as there is no schedule: {name}" for name in left), "", STANDING)
        return NO if found.status == "infeasible" else STOPPED
    assert found.replay is not None
    told = report(problem, found.schedule, found.replay)
    if "json" in outputs:
        outputs["json"].write(json_text(robust_data(problem, found, told)))
    if "csv" in outputs:
        outputs["csv"].write(steps_csv(told.steps, told.dwells, told.cycle_time, problem.unit))
    if "diagram" in outputs:
        from ...show.timeway import save_timeway

        save_timeway(problem, found.schedule, found.replay, outputs["diagram"].path)
    if not quiet and shown is say:
        shown(tables(told), "")
    if shown is say:
        shown(aim_table(problem, found), NARROW, "")
    shown(robust_summary(problem, found))
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", *told.cautions)
    return DONE

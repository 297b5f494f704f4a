"""`hoistopt tradeoff`: what slack costs in cycle time."""

from __future__ import annotations

import argparse

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, targets
from ..searching import add_search, search_of
from ..streams import say, tell
from .robust import percent

SUMMARY = "Tell what slack costs: the least cycle time for each slack, as a table and a curve."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle (default 1)"
    )
    parser.add_argument(
        "--measure",
        metavar="NAME",
        default="slack",
        help="slack: how late any start may be once; float: for good (default slack)",
    )
    parser.add_argument(
        "--upto",
        metavar="PERCENT",
        default="10",
        help="how far above the shortest cycle to go (default 10)",
    )
    parser.add_argument("--points", metavar="N", default="8", help="most points (default 8)")
    add_search(parser, "seconds for each search")
    parser.add_argument("--json", metavar="OUT", help='write the curve as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the curve as CSV ("-": stdout)')
    parser.add_argument("--diagram", metavar="OUT", help="draw the curve (.png, .svg or .pdf)")


def run(options: argparse.Namespace) -> int:
    """The points of the curve, each a schedule the checker accepts."""
    from decimal import Decimal

    degree = whole(options.degree, "--degree", 1, 100) or 1
    upto = Decimal(percent(options.upto, "--upto"))
    points = whole(options.points, "--points", 2, 100) or 2
    limit, workers, seed = search_of(options)
    if options.measure not in ("slack", "float"):
        raise InputError("slack or float", field="--measure", value=options.measure)
    outputs = targets([options.file], json=options.json, csv=options.csv, diagram=options.diagram)

    from ...analysis.figures.cautions import STANDING
    from ...analysis.robust.tradeoff import trade_off
    from ...problem import load_problem
    from ...show.schedule.words import outcome
    from ...show.tables.jsonfile import json_text
    from ...show.tradeoff.table import (
        MEASURES,
        NARROW,
        tradeoff_csv,
        tradeoff_data,
        tradeoff_summary,
        tradeoff_table,
    )
    from ..watch import Watch

    problem = load_problem(options.file)
    try:
        with Watch(f"degree {degree}") as watch:
            found = trade_off(
                problem,
                degree,
                upto,
                points,
                options.measure,
                time_limit=limit,
                workers=workers,
                seed=seed,
                on_progress=watch.hear,
            )
    except InputError as error:
        if error.field == "measure":
            error.field = "--measure"
        raise error.in_file(options.file) from None
    if "json" in outputs:
        outputs["json"].write(json_text(tradeoff_data(found)))
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if not found.points:
        shown(outcome(problem, found.shortest))
        left = [target.shown for name, target in outputs.items() if name != "json"]
        shown(*(f"Not written, as there is no schedule: {name}" for name in left), "", STANDING)
        return NO if found.shortest.status == "infeasible" else STOPPED
    if "csv" in outputs:
        outputs["csv"].write(tradeoff_csv(found))
    if "diagram" in outputs:
        from ...show.tradeoff.figure import save_tradeoff

        save_tradeoff(found, outputs["diagram"].path)
    if shown is say:
        shown(tradeoff_table(found), f"{MEASURES[found.measure]} {NARROW}", "")
    shown(tradeoff_summary(found))
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", STANDING)
    return DONE

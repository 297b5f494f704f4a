"""`hoistopt study`: solve a line over and over while some of its figures vary."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import seconds, whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, Target, targets
from ..searching import add_seed, seed_of
from ..streams import say, tell

if TYPE_CHECKING:
    from ...analysis.study import Parameter, Study

CLUSTER_TIMEOUT = 10
"""Seconds a scheduler has to answer."""

SUMMARY = "Solve a line over and over while some of its figures vary."

EPILOG = """--vary takes KEY = VALUES:
  KEY     as in the problem file, names in parentheses: hoist.empty.speed,
          stage(Rinse).max, recipe(Clear).stage(Rinse).max, station(Dryer).capacity,
          carriers.count, cycle.mix(Clear); several that change together: KEY + KEY;
          or one of: degree, mix (loads of each recipe in a set, such as 2:1),
          parallel(Dryer) (equal stations in the place of one; copies stand next to it,
          or where parallel(Dryer, 12.5, 13.5) says)
  VALUES  0.3, 0.4, 0.5 or FIRST..LAST..STEP; none leaves a key out;
          with what each costs: 1@0, 2@45000
example: --vary "parallel(Dryer) = 1@0, 2@45000" --vary "hoist.empty.speed = 0.8@0, 1.0@12000"
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--vary",
        metavar="TEXT",
        action="append",
        default=[],
        help="what varies and how, see below; of several every combination is solved",
    )
    parser.add_argument(
        "--designs",
        metavar="CSV",
        help="table of designs instead: keys over the columns, if wanted with cost and name",
    )
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle (default 1)"
    )
    parser.add_argument("--time-limit", metavar="S", help="seconds of search for each point")
    add_seed(parser, "search")
    parser.add_argument(
        "--jobs", metavar="N", help="points solved at a time (default: one per core)"
    )
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="run on the Dask cluster with this scheduler"
    )
    parser.add_argument(
        "--keep", metavar="FILE", help="keep answers in a file, and go on from it when run again"
    )
    parser.add_argument(
        "--against", metavar="KEY", help="take a varied number for the cost, for the frontier"
    )
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the table as CSV ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw cycle times and the frontier (.png, .svg, .pdf)"
    )
    parser.add_argument("--quiet", action="store_true", help="leave out the table")


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the first point is solved."""
    from ...analysis.study.run import MOST_JOBS
    from ...problem import load_problem

    limit = seconds(options.time_limit)
    degree = whole(options.degree, "--degree", 1, 100) or 1
    seed = seed_of(options)
    jobs = whole(options.jobs, "--jobs", 1, MOST_JOBS)
    varied, designs = _what(options)
    read = [options.file, *([options.designs] if options.designs else [])]
    outputs = targets(
        read, keep=options.keep, json=options.json, csv=options.csv, diagram=options.diagram
    )
    _check_against(options.against, varied, designs)
    if "diagram" in outputs:
        _check_curves(varied)
    problem = load_problem(options.file)

    from ...analysis.study import study
    from ..study_meter import StudyMeter

    try:
        with _executor(options.cluster) as executor, StudyMeter(options.quiet) as meter:
            found = study(
                problem,
                varied,
                designs=designs,
                degree=degree,
                time_limit=limit,
                seed=seed,
                executor=executor,
                jobs=jobs,
                keep=options.keep,
                on_point=meter.hear,
            )
    except InputError as error:
        if (error.field or "").startswith("--"):
            raise
        raise error.in_file(options.designs or options.file) from None
    return _finish(found, outputs, options.against, options.quiet)


def _what(options: argparse.Namespace) -> tuple[list[Parameter], list[dict[str, object]] | None]:
    from ...analysis.study.listing import read_designs
    from ...analysis.study.parameter import parameters_of

    if bool(options.vary) == bool(options.designs):
        raise InputError(
            "either --vary or --designs",
            way_out='Such as --vary "hoist.empty.speed = 0.3, 0.4, 0.5".',
        )
    if options.designs:
        return [], [dict(row) for row in read_designs(options.designs)]
    try:
        return parameters_of(options.vary), None
    except InputError as error:
        error.field = f"--vary, {error.field}" if error.field else "--vary"
        raise


def _check_against(
    against: str | None, varied: list[Parameter], designs: list[dict[str, object]] | None
) -> None:
    if against is None:
        return
    numeric = [parameter.name for parameter in varied if parameter.numeric]
    for name in dict.fromkeys(name for row in designs or [] for name in row):
        if all(not isinstance(row.get(name, 0), str | None) for row in designs or []):
            numeric.append(name)
    if against not in numeric:
        raise InputError(
            "the key of a number that varies",
            field="--against",
            value=against,
            way_out=f"One of: {', '.join(numeric) or 'none here'}.",
        )


def _check_curves(varied: list[Parameter]) -> None:
    from ...show.study.curves import axis_of

    try:
        axis_of(varied)
    except InputError as error:
        error.field = "--diagram"
        raise


@contextmanager
def _executor(address: str | None) -> Iterator[Executor | None]:
    """What runs the points: processes here, or a cluster."""
    if address is None:
        yield None
        return
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            "the package distributed, which speaks to the cluster",
            field="--cluster",
            way_out='Install it with: pip install "hoistopt[cluster]".',
        ) from None
    try:
        client = Client(address, timeout=CLUSTER_TIMEOUT, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise InputError(
            f"the address of a scheduler that answers ({error})",
            field="--cluster",
            value=address,
            way_out="Such as tcp://127.0.0.1:8786.",
        ) from None
    with client:
        yield client.get_executor()


def _finish(found: Study, outputs: dict[str, Target], against: str | None, quiet: bool) -> int:
    from ...analysis.figures.cautions import STANDING
    from ...show.study.data import study_csv, study_data
    from ...show.study.table import study_summary, study_table
    from ...show.tables.jsonfile import json_text

    if "json" in outputs:
        outputs["json"].write(json_text(study_data(found, against)))
    if "csv" in outputs:
        outputs["csv"].write(study_csv(found, against))
    if "diagram" in outputs:
        from ...show.study.figure import save_study

        save_study(found, outputs["diagram"].path, against)
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if not quiet and shown is say:
        shown(study_table(found, against), "")
    shown(study_summary(found, against))
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", STANDING)
    if any(point.schedule is not None for point in found.points):
        return DONE
    return NO if all(point.status == "infeasible" for point in found.points) else STOPPED

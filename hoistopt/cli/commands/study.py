"""`hoistopt study`: solve a line over and over while some of its figures vary."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from ...base.effort import Effort
from ...base.errors import InputError
from ..arguments import option_named, seconds, whole
from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_seed, seed_of
from ..stopping import stop_on_signals

if TYPE_CHECKING:
    from ...analysis.study import Parameter

CLUSTER_TIMEOUT = 10
"""Seconds a scheduler has to answer."""

SUMMARY = "Solve a line over and over while some of its figures vary."

EPILOG = """--vary takes KEY = VALUES:
  KEY     as in the problem file, names in parentheses: hoist.empty.speed,
          stage(Rinse).max, recipe(Clear).stage(Rinse).max, station(Dryer).capacity,
          carriers.count, cycle.mix(Clear); several that change together: KEY + KEY;
          or one of: degree, mix (loads of each recipe in a set, such as 2:1),
          parallel(Dryer) (equal stations in the place of one; copies stand next to it,
          or where parallel(Dryer, 12.5, 13.5) says),
          hoists (how many share the track; the file says how close two may come);
          hoist.empty.speed is that of every hoist, hoist(NAME).empty.speed of one
  VALUES  0.3, 0.4, 0.5 or FIRST..LAST..STEP; none leaves a key out;
          with what each costs: 1@0, 2@45000
example: --vary "parallel(Dryer) = 1@0, 2@45000" --vary "hoist.empty.speed = 0.8@0, 1.0@12000"
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
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
    parser.add_argument("--degree", metavar="K", help="sets of loads per cycle (default 1)")
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
    add_tables(parser, "the table")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw cycle times and the frontier (.png, .svg, .pdf)"
    )
    parser.add_argument("--quiet", action="store_true", help="leave out the table")


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the first point is solved."""
    from ...analysis.study.run import MOST_JOBS
    from ...app.study import check_against, designs_of, study
    from ..progress import StudyMeter

    effort = Effort(seconds(options.time_limit), seed=seed_of(options))
    degree = whole(options.degree, "--degree", 1, 100)
    jobs = whole(options.jobs, "--jobs", 1, MOST_JOBS)
    varied = _varied(options)
    designs = designs_of(options.designs) if options.designs else None
    read = [options.file, *([options.designs] if options.designs else [])]
    outputs = Outputs(
        read,
        keep=options.keep,
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    with option_named("against"):
        check_against(options.against, varied, designs)
    if "diagram" in outputs:
        _check_curves(varied)
    with (
        _executor(options.cluster) as executor,
        StudyMeter(options.quiet) as meter,
        stop_on_signals() as stop,
    ):
        answer = study(
            options.file,
            varied,
            options.designs or None,
            degree,
            options.against,
            effort=replace(effort, stop=stop),
            executor=executor,
            jobs=jobs,
            keep=options.keep,
            on_point=meter.hear,
        )
    return finish(answer, outputs, quiet=options.quiet)


def _varied(options: argparse.Namespace) -> list[Parameter]:
    from ...analysis.study.parameter import parameters_of

    if bool(options.vary) == bool(options.designs):
        raise InputError(
            "either --vary or --designs",
            way_out='Such as --vary "hoist.empty.speed = 0.3, 0.4, 0.5".',
        )
    try:
        return parameters_of(options.vary)
    except InputError as error:
        error.field = f"--vary, {error.field}" if error.field else "--vary"
        raise


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

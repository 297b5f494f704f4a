"""`hoistopt jitter`: a table of moves under scattered times of the hoist."""

from __future__ import annotations

import argparse

from ...base.effort import Effort
from ...base.errors import InputError
from ..arguments import whole
from ..ending import answered
from ..outputs import Outputs, add_tables
from ..searching import add_seed, seed_of
from ..stopping import stop_on_signals
from ..taking import add_moves, the_moves

SUMMARY = "Run a table of moves with times that scatter, and count loads over max. dwell."

EPILOG = """scatter is written WHAT HOW SHAPE FIGURES:
  WHAT   move (a loaded move without its drip), lift, travel, lower or empty (travel)
  HOW    times (a factor) or plus (a time added, in the unit of the problem)
  SHAPE  fixed VALUE; uniform LOW HIGH; triangular LOW MODE HIGH;
         normal MEAN DEVIATION [LOW HIGH], cut off at three deviations unless stated;
         lognormal MEDIAN SPREAD, two thirds within a factor SPREAD of the median
example: --scatter "move times triangular 0.97 1 1.15" --scatter "empty plus uniform 0 0.5"
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser)
    parser.add_argument(
        "--scatter",
        metavar="TEXT",
        action="append",
        help="what scatters and how, see below; may be given several times (default: [scatter] "
        "in FILE, or what `hoistopt solve` assumes)",
    )
    parser.add_argument("--runs", metavar="N", default="100", help="runs (default 100)")
    parser.add_argument(
        "--cycles", metavar="N", default="100", help="cycles counted in each run (default 100)"
    )
    parser.add_argument(
        "--warm-up",
        metavar="N",
        default="10",
        help="cycles before them that are not counted (default 10)",
    )
    add_seed(parser, "draws")
    parser.add_argument("--json", metavar="OUT", help='write the figures as JSON ("-": stdout)')
    add_tables(parser, "the stages")
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw histograms of dwells and cycle times (.png, .svg, "
        ".pdf)"
    )  # fmt: skip


def run(options: argparse.Namespace) -> int:
    """Shares of loads out of window with their intervals, and the achieved cycle time."""
    from ...margin.jitter.run import MOST_CYCLES
    from ...problem.scatter import read_scatter

    counts = {
        "runs": whole(options.runs, "--runs", 1, MOST_CYCLES) or 0,
        "cycles": whole(options.cycles, "--cycles", 2, MOST_CYCLES) or 0,
        "warm_up": whole(options.warm_up, "--warm-up", 0, MOST_CYCLES) or 0,
    }
    seed = seed_of(options)
    scatters = None
    try:
        if options.scatter is not None:
            scatters = [read_scatter(text) for text in options.scatter]
    except InputError as error:
        error.field = "--scatter"
        raise
    moves = the_moves(options)
    outputs = Outputs(
        [options.file, moves],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )

    from ...app.jitter import jitter

    with stop_on_signals() as stop:
        effort = Effort(seed=seed, stop=stop)
        return answered(
            lambda: jitter(options.file, moves, scatters, **counts, effort=effort), outputs
        )

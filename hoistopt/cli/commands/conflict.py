"""`hoistopt conflict`: why there is no schedule, or none so quick, and what would help."""

from __future__ import annotations

import argparse

from ..arguments import pace, whole
from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running

SUMMARY = "Tell why no schedule exists, or none so quick, and which limits would have to give."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument(
        "--at-most",
        metavar="T",
        help="cycle time wished for, in the problem's unit or as 8 min; or loads an hour wished "
        "for, as 4.5/h",
    )
    parser.add_argument(
        "--degree",
        metavar="K",
        help="sets of loads per cycle (default 1; where that does not reach --at-most, others are "
        "looked at by time per load, before any change)",
    )
    parser.add_argument(
        "--by",
        metavar="AMOUNT",
        default="20%",
        help="how far a limit may give where the file does not say: a time such as 5, or a "
        "share such as 20%% (default 20%%)",
    )
    parser.add_argument(
        "--hoist-by",
        metavar="PERCENT",
        default="10",
        help="how far times of the hoist may give; 0: not at all (default 10)",
    )
    add_search(parser, "seconds in all (default 60)", "60")
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')
    add_tables(parser, "the answer")


def run(options: argparse.Namespace) -> int:
    """A minimal conflict and the smallest changes that resolve it."""
    from ...base.numbers.amount import amount_of, share_of

    degree = whole(options.degree, "--degree", 1, 100)
    wanted = pace(options.at_most, "--at-most")
    amount = amount_of(options.by, "--by")
    share_of(options.hoist_by, "--hoist-by")
    effort_typed(options)
    outputs = Outputs([options.file], json=options.json, csv=options.csv, workbook=options.workbook)

    from ...app.conflict import conflict
    from ..progress import Watch

    with running(options, Watch("looking for")) as effort:
        answer = conflict(options.file, degree, wanted, amount, options.hoist_by, effort)
    return finish(answer, outputs)

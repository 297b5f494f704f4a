"""`hoistopt levers`: which limit is worth raising with the process engineer."""

from __future__ import annotations

import argparse

from ..arguments import whole
from ..ending import finish
from ..outputs import Outputs, add_tables
from ..searching import add_search, effort_typed, running

SUMMARY = "Rank what would shorten the cycle: each minimum lower, each maximum higher."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument("--degree", metavar="K", help="sets of loads per cycle (default 1)")
    parser.add_argument(
        "--by",
        metavar="AMOUNT",
        default="10%",
        help="how far each limit gives way: a time such as 5, or a share such as 10%% "
        "(default 10%%)",
    )
    parser.add_argument(
        "--hoist-by",
        metavar="PERCENT",
        default="10",
        help="by how much times of the hoist get shorter; 0 leaves them out (default 10)",
    )
    add_search(parser, "seconds in all (default 120)", "120")
    parser.add_argument("--json", metavar="OUT", help='write the list as JSON ("-": stdout)')
    add_tables(parser, "the list")


def run(options: argparse.Namespace) -> int:
    """Every limit gives way in turn; what that gains is ranked."""
    from ...base.numbers.amount import amount_of, share_of

    degree = whole(options.degree, "--degree", 1, 100)
    amount = amount_of(options.by, "--by")
    share_of(options.hoist_by, "--hoist-by")
    effort_typed(options)
    outputs = Outputs([options.file], json=options.json, csv=options.csv, workbook=options.workbook)

    from ...app.levers import levers
    from ..progress import Watch

    with running(options, Watch(f"degree {degree or 1}")) as effort:
        answer = levers(options.file, degree, amount, options.hoist_by, effort)
    return finish(answer, outputs)

"""`hoistopt conflict`: why there is no schedule, or none so quick, and what would help."""

from __future__ import annotations

import argparse

from ..arguments import number, whole
from ..ending import finish
from ..outputs import Outputs
from ..searching import add_search, effort_typed, running

SUMMARY = "Tell why no schedule exists, or none so quick, and which windows would have to give."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--at-most", metavar="T", help="cycle time wished for, in the problem's unit"
    )
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle (default 1)"
    )
    add_search(parser, "seconds in all (default 60)", "60")
    parser.add_argument("--json", metavar="OUT", help='write the answer as JSON ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """A minimal conflict and the smallest changes that resolve it."""
    degree = whole(options.degree, "--degree", 1, 100) or 1
    wanted = number(options.at_most, "--at-most")
    effort_typed(options)
    outputs = Outputs([options.file], json=options.json)

    from ...app.conflict import conflict
    from ..progress import Watch

    with running(options, Watch("looking for")) as effort:
        answer = conflict(options.file, degree, wanted, effort)
    return finish(answer, outputs)

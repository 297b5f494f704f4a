"""`hoistopt verify`: replay a table of moves and name every rule it breaks."""

from __future__ import annotations

import argparse

from ..arguments import option_named, whole
from ..ending import answered
from ..outputs import Outputs

MOST_CYCLES = 1000


SUMMARY = "Replay a table of moves and name every rule it breaks."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument(
        "--cycles",
        metavar="N",
        help="cycles in which loads enter (default: until the line repeats itself)",
    )
    parser.add_argument("--json", metavar="OUT", help='write the findings as JSON ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """Violations in a table, or a clean statement with the dwell margins."""
    from ...app.verify import verify

    cycles = whole(options.cycles, "--cycles", 1, MOST_CYCLES)
    outputs = Outputs([options.file, options.moves], json=options.json)
    with option_named("cycles"):
        return answered(lambda: verify(options.file, options.moves, cycles), outputs)

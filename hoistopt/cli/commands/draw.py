"""`hoistopt draw`: the time-way diagram of a table of moves the checker accepts."""

from __future__ import annotations

import argparse

from ..codes import DONE
from ..outputs import targets
from ..streams import say
from .verify import replayed

SUMMARY = "Draw the time-way diagram of a table of moves that breaks no rule."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument("out", metavar="OUT", help="drawing to write (.png, .svg or .pdf)")


def run(options: argparse.Namespace) -> int:
    """Draw, or list the violations and write nothing."""
    outputs = targets([options.file, options.moves], OUT=options.out)
    seen = replayed(options.file, options.moves)

    from ...analysis.figures.cautions import STANDING
    from ...show.timeway import save_timeway

    save_timeway(seen.problem, seen.schedule, seen, outputs["OUT"].path)
    say(f"Wrote {outputs['OUT'].shown}", "", STANDING)
    return DONE

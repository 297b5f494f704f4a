"""`hoistopt slack`: how late each move may start, the alarm limits of a sequencer."""

from __future__ import annotations

import argparse

from ..codes import DONE
from ..outputs import STDOUT, targets
from ..streams import say, tell
from .verify import replayed

SUMMARY = "Tell how late each move may start before a load stands too long."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument("--json", metavar="OUT", help='write the limits as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the limits as CSV ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """The table of limits, or the violations where the moves break a rule."""
    outputs = targets([options.file, options.moves], json=options.json, csv=options.csv)
    seen = replayed(options.file, options.moves)

    from ...analysis.figures.cautions import STANDING
    from ...analysis.slack import slack_limits
    from ...show.slack import READING, slack_csv, slack_data, slack_summary, slack_table
    from ...show.tables.jsonfile import json_text

    limits = slack_limits(seen.problem, seen.schedule, seen)
    for name, target in outputs.items():
        target.write(json_text(slack_data(limits)) if name == "json" else slack_csv(limits))
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say
    if shown is say:
        shown(slack_table(limits), READING, "")
    shown(slack_summary(limits))
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", STANDING)
    return DONE

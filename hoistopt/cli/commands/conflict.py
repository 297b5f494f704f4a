"""`hoistopt conflict`: why there is no schedule, or none so quick, and what would help."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import number, whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, targets
from ..searching import add_search, search_of
from ..streams import say, tell

if TYPE_CHECKING:
    from ...conflict.impasse import Impasse

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
    limit, workers, seed = search_of(options)
    outputs = targets([options.file], json=options.json)
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say

    from ...analysis.figures.cautions import STANDING
    from ...conflict.impasse import why_none
    from ...problem import load_problem
    from ...show.tables.jsonfile import json_text
    from ..watch import Watch

    problem = load_problem(options.file)
    try:
        with Watch("looking for") as watch:
            found = why_none(
                problem,
                degree,
                wanted,
                time_limit=limit or 60.0,
                workers=workers,
                seed=seed,
                on_progress=watch.hear,
            )
    except InputError as error:
        raise error.in_file(options.file) from None
    if "json" in outputs:
        outputs["json"].write(json_text({"problem": problem.name, **found.to_data()}))
    if shown is say and found.status == "none":
        _show(found)
    shown(*found.sentences())
    shown(*(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT))
    shown("", STANDING)
    return {"possible": DONE, "none": NO, "unknown": STOPPED}[found.status]


def _show(found: Impasse) -> None:
    from ...show.conflict import conflict_table, remedy_table

    if found.conflict is not None and found.conflict.members:
        say(conflict_table(found.conflict), "")
    for remedy in found.distinct_remedies():
        say(remedy_table(remedy, found.unit), "")

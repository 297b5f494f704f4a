"""`hoistopt levers`: where a talk with the process engineer pays."""

from __future__ import annotations

import argparse

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE, NO, STOPPED
from ..outputs import STDOUT, targets
from ..searching import add_search, search_of
from ..streams import say, tell

SUMMARY = "Rank what would shorten the cycle: each minimum lower, each maximum higher."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--degree", metavar="K", default="1", help="sets of loads per cycle (default 1)"
    )
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
        help="by how much a quicker hoist is quicker; 0 leaves it out (default 10)",
    )
    add_search(parser, "seconds in all (default 120)", "120")
    parser.add_argument("--json", metavar="OUT", help='write the list as JSON ("-": stdout)')


def run(options: argparse.Namespace) -> int:
    """Every limit gives way in turn; what that gains is ranked."""
    from ...analysis.levers.pulls import amount_of, share_of

    degree = whole(options.degree, "--degree", 1, 100) or 1
    amount = amount_of(options.by, "--by")
    share_of(options.hoist_by, "--hoist-by")
    limit, workers, seed = search_of(options)
    outputs = targets([options.file], json=options.json)
    shown = tell if any(target.path == STDOUT for target in outputs.values()) else say

    from ...analysis.figures.cautions import STANDING
    from ...analysis.levers.search import find_levers
    from ...base.decimals import told
    from ...base.text import listed
    from ...problem import load_problem
    from ...show.levers import idle, lever_table
    from ...show.tables.jsonfile import json_text
    from ..watch import Watch

    problem = load_problem(options.file)
    try:
        with Watch(f"degree {degree}") as watch:
            found = find_levers(
                problem,
                degree,
                amount,
                options.hoist_by,
                time_limit=limit,
                workers=workers,
                seed=seed,
                on_progress=watch.hear,
            )
    except InputError as error:
        raise error.in_file(options.file) from None
    if "json" in outputs:
        outputs["json"].write(json_text({"problem": problem.name, **found.to_data()}))
    if found.cycle_time is None:
        shown(found.sentence(), "", STANDING)
        return NO if found.status == "infeasible" else STOPPED
    if shown is say and not all(map(idle, found.levers)):
        shown(lever_table(found), "")
    shown(found.sentence())
    without = [lever.pull.words for lever in found.levers if idle(lever)]
    if without and shown is say:
        shown(f"Proved to gain nothing: {listed(without)}.")
    open_ended = [lever for lever in found.levers if not lever.proven]
    if open_ended:
        shown(
            f"Not settled when the search stopped after {found.runtime:.0f} s: "
            f"{len(open_ended)} of the changes. More time may settle them."
        )
    best = next((x for x in found.levers if x.gain_least), None)
    if best is not None and best.gain_least is not None and best.gain_least > 0:
        shown(f"Most is gained by: {best.pull.words}, {told(best.gain_least)} {problem.unit}.")
    shown(
        "A window may only be changed by those who answer for the process.",
        *(f"Wrote {target.shown}" for target in outputs.values() if target.path != STDOUT),
        "",
        STANDING,
    )
    return DONE

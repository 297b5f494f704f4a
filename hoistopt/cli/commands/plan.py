"""`hoistopt plan`: take the loads in the line, and those ordered, through it."""

from __future__ import annotations

import argparse

from ...base.errors import InputError
from ..ending import answered, finish
from ..outputs import Outputs
from ..searching import add_search, effort_typed, running

SUMMARY = "Plan moves in absolute time: orders from a state of the line until it is empty."
SEQUENCES = ("free", "given")


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--orders",
        metavar="ORDERS",
        help="table of orders (CSV: order, recipe, count, release, due, weight); without it "
        "the line runs out",
    )
    parser.add_argument(
        "--state", metavar="STATE", help="state of the line (TOML or JSON; default: empty)"
    )
    parser.add_argument(
        "--sequence",
        metavar="WHICH",
        default="free",
        help="whether loads enter in the sequence of the orders: given, or free (default)",
    )
    parser.add_argument(
        "--recover",
        action="store_true",
        help="after a stop: give up loads in the line that cannot be saved, as few as can be by "
        "their weight in STATE, and name them; they go their way above their maxima. Without "
        "it every window is kept, or the answer is no, with the reason",
    )
    parser.add_argument(
        "--promised",
        metavar="PROGRAMME",
        help="moves that are promised and keep their times (CSV or JSON): the loads ordered "
        "are placed beside them, each out as early as can be",
    )
    add_search(parser, "seconds of search (default 10); the best programme by then is kept", "10")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the moves as CSV ("-": stdout)')
    parser.add_argument("--diagram", metavar="OUT", help="draw the programme (.png, .svg or .pdf)")
    parser.add_argument("--quiet", action="store_true", help="leave out the table of moves")


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the search begins."""
    from ...app.plan import place, plan
    from ...problem import load_problem
    from ...schedule.orders import read_orders
    from ...schedule.state_files import read_state
    from ..progress import Meter

    if options.sequence not in SEQUENCES:
        raise InputError("given or free", field="--sequence", value=options.sequence)
    if options.orders is None and options.state is None:
        raise InputError(
            "--orders, --state or both",
            way_out="An empty line without orders has nothing to do.",
        )
    if options.promised is not None and options.orders is None:
        raise InputError(
            "--orders as well, the loads that wait", field="--promised", value=options.promised
        )
    if options.recover and (options.state is None or options.promised is not None):
        raise InputError(
            "--state, and no --promised", field="--recover", way_out="It begins after a stop."
        )
    effort_typed(options)
    given = (options.file, options.orders, options.state, options.promised)
    outputs = Outputs(
        [path for path in given if path is not None],
        json=options.json,
        csv=options.csv,
        diagram=options.diagram,
    )
    problem = load_problem(options.file)
    state = None if options.state is None else read_state(options.state, problem)
    orders = () if options.orders is None else read_orders(options.orders, problem)
    in_order = options.sequence == "given"
    if options.promised is not None:
        beside = options.promised
        return answered(
            lambda: place(problem, beside, orders, state, in_order=in_order),
            outputs,
            quiet=options.quiet,
        )
    with running(options, Meter(problem.unit, "programme", options.quiet)) as effort:
        answer = plan(
            problem, orders, state, in_order=in_order, recover=options.recover, effort=effort
        )
    return finish(answer, outputs, quiet=options.quiet)

"""`hoistopt plan`: take the loads in the line, and those ordered, through it."""

from __future__ import annotations

import argparse

from ...base.errors import InputError
from ..arguments import option_named, whole
from ..ending import asked, finish
from ..outputs import Outputs, add_tables
from ..searching import add_out_of_service, add_search, effort_typed, in_service, running
from ..taking import add_lost, add_state, add_words, at_typed, lost_typed, state_typed

SUMMARY = (
    "Plan moves in absolute time: from a state of the line until it is empty, or into a cycle."
)
MOST_OUT = 1_000
SEQUENCES = ("free", "given")
EMPTY = "empty"
"""The goal that is no file: the line empty."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument(
        "--orders",
        metavar="ORDERS",
        help="table of orders (CSV or .xlsx: order, recipe, count, release, due, weight); without "
        "it the line runs out",
    )
    add_words(parser)
    add_state(parser, "state of the line to begin with (TOML or JSON; default: empty)")
    parser.add_argument(
        "--to",
        metavar="GOAL",
        help="file of the moves of a cycle: go over into it, in step as early as can be; where "
        "loads in the line, or ordered, are of other recipes, after the shortest changeover time. "
        "Or empty (default): until the line is",
    )
    parser.add_argument(
        "--loads-out",
        metavar="N",
        help="with --to: tell when load N of the cycle's recipes is out (default 1)",
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
        help="moves that are promised and keep their times (CSV, JSON or .xlsx): the loads ordered "
        "are placed beside them, each out as early as can be, at once. With --to a programme of "
        "them all is searched for; a cycle comes after what is promised",
    )
    add_lost(parser)
    add_out_of_service(parser)
    add_search(parser, "seconds of search (default 10); the best programme by then is kept", "10")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    add_tables(parser, "the moves")
    parser.add_argument("--diagram", metavar="OUT", help="draw the programme (.png, .svg or .pdf)")
    parser.add_argument("--quiet", action="store_true", help="leave out the table of moves")


def run(options: argparse.Namespace) -> int:
    """Everything the user can have got wrong is found before the search begins."""
    from ...app.given import naming
    from ...app.plan import place, plan, stages_needed
    from ...problem import load_problem
    from ...schedule.files import MovesFile
    from ...schedule.orders import read_orders
    from ...schedule.state_files import read_state
    from ..progress import Meter

    _check(options)
    loads_out = whole(options.loads_out, "--loads-out", 1, MOST_OUT) or 1
    at = at_typed(options)
    effort_typed(options)
    goal = None if options.to in (None, EMPTY) else options.to
    given = (options.file, options.orders, options.state, options.promised, goal, options.mapping)
    outputs = Outputs(
        [path for path in given if path is not None],
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        diagram=options.diagram,
    )
    stated = load_problem(options.file)
    with option_named("at"):
        found = asked(lambda: state_typed(options, at), outputs)
    if isinstance(found, int):
        return found
    table = options.orders
    orders = () if table is None else read_orders(table, stated, options.mapping)
    needed = None
    if goal is None and options.promised is None:
        begins = read_state(found, stated) if isinstance(found, str) else found
        needed = stages_needed(orders, begins)
    with naming(options.file):
        problem = in_service(options, stated, needed)
    state = read_state(found, problem) if isinstance(found, str) else found
    in_order = options.sequence == "given"
    beside, lost = options.promised, lost_typed(options)
    meter = Meter(problem.unit, "programme", options.quiet)
    with option_named("lost"), running(options, meter) as effort:
        answer = asked(
            lambda: (
                place(problem, beside, orders, state, in_order=in_order, lost=lost, effort=effort)
                if beside is not None and options.to is None
                else plan(
                    problem,
                    orders,
                    state,
                    to=None if goal is None else MovesFile(goal, words=options.mapping),
                    loads_out=loads_out,
                    in_order=in_order,
                    recover=options.recover,
                    promised=beside,
                    lost=lost,
                    effort=effort,
                )
            ),
            outputs,
        )
    if isinstance(answer, int):
        return answer
    return finish(answer, outputs, quiet=options.quiet)


def _check(options: argparse.Namespace) -> None:
    """Options that make no sense, or none together."""
    if options.sequence not in SEQUENCES:
        raise InputError("given or free", field="--sequence", value=options.sequence)
    cycle = options.to not in (None, EMPTY)
    if options.promised is not None and options.orders is None and not cycle:
        raise InputError(
            "--orders as well, the loads that wait", field="--promised", value=options.promised
        )
    if options.orders is None and options.state is None and not cycle:
        raise InputError(
            "--orders, --state, --to or several",
            way_out="An empty line without orders has nothing to do.",
        )
    if options.lost is not None and options.promised is None:
        raise InputError(
            "--promised as well, a recovery that gives them up",
            field="--lost",
            value=options.lost,
            way_out="--recover finds out which loads are lost.",
        )
    if options.recover and (options.state is None or options.promised is not None):
        raise InputError(
            "--state, and no --promised", field="--recover", way_out="It begins after a stop."
        )
    if not cycle and options.loads_out is not None:
        raise InputError(
            "--to as well, a cycle to go over into",
            field="--loads-out",
            value=options.loads_out,
        )

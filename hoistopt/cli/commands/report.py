"""`hoistopt report`: a schedule as one HTML file for people to open."""

from __future__ import annotations

import argparse
from datetime import date

from ...base.errors import InputError
from ..arguments import degrees_or_best, label_of, option_named
from ..ending import CODES, asked, close, warn
from ..outputs import Outputs
from ..searching import add_degrees, add_out_of_service, effort_typed, in_service, running
from ..streams import say
from ..taking import (
    add_lost,
    add_moves,
    add_show,
    add_state,
    at_typed,
    lost_typed,
    moves_typed,
    show_typed,
    state_typed,
)

SUMMARY = "Write a report as one HTML file: figures, tables, diagram and a player."
OUT = "OUT.html"
_OF_SEARCH = ("degree", "out_of_service", "time_limit", "workers", "seed", "show")


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(
        parser,
        "table of moves, of a cycle or a programme (CSV, JSON or .xlsx); left out, the line is "
        "solved",
        optional=True,
    )
    parser.add_argument("out", metavar=OUT, help="report to write")
    add_state(parser)
    add_lost(parser)
    add_degrees(parser)
    add_out_of_service(parser)
    add_show(parser)
    defaults = {name: parser.get_default(name) for name in _OF_SEARCH}
    parser.set_defaults(search_defaults=defaults)


def run(options: argparse.Namespace) -> int:
    """Report on a table of moves, or on the schedule found for the line."""
    from ...show.report.page import check_name

    try:
        check_name(options.out)
    except InputError as error:
        error.field = OUT
        raise
    moves = moves_typed(options)
    read = [path for path in (moves, options.state) if path is not None]
    outputs = Outputs([options.file, *read], **{OUT: options.out})
    lost, at = lost_typed(options), at_typed(options)
    if moves is None and options.state is not None:
        raise InputError("a programme that begins with it", field="--state", value=options.state)
    if moves is not None:
        _refuse_search(options)
    wanted, show = degrees_or_best(options.degree), show_typed(options)
    effort_typed(options)

    from ...app.given import naming
    from ...app.report import Reported, ReportedProgramme, report, report_programme
    from ...app.verify import is_programme
    from ...problem import load_problem
    from ..progress import Meter

    with naming(options.file):
        problem = in_service(options, load_problem(options.file))
    once = moves is not None and (options.state is not None or is_programme(moves.path))

    def ask() -> Reported | ReportedProgramme:
        if once and moves is not None:
            with option_named("lost", "at"):
                return report_programme(
                    options.file, moves.path, state_typed(options, at), lost, date.today()
                )
        with (
            naming(options.file),
            running(options, Meter(problem.unit, label_of(wanted))) as effort,
        ):
            return report(problem, moves, wanted, effort, date.today(), show)

    answer = asked(ask, outputs)
    if isinstance(answer, int):
        return answer
    contents = {} if answer.page is None else {OUT: answer.page}
    outputs.write(contents)
    warn(answer.about)
    found = answer.about.sentences() if moves is None else []
    close(say, (), [*found, *outputs.told(contents)], answer.about.cautions(), problem.note)
    return CODES[answer.about.outcome]


def _refuse_search(options: argparse.Namespace) -> None:
    """No option of a search beside a table of moves."""
    for name, default in options.search_defaults.items():
        given = getattr(options, name)
        if given != default:
            raise InputError(
                "no such option where a table of moves is given",
                field=f"--{name.replace('_', '-')}",
                value=", ".join(given) if isinstance(given, list) else given,
                way_out="Nothing is searched for then; leave out the option, or the table.",
            )

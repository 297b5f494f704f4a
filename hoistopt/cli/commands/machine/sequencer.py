"""`hoistopt sequencer`: hand a schedule over to a machine, as whole numbers, proved."""

from __future__ import annotations

import argparse

from ....base.errors import InputError
from ...arguments import option_named, time_from_0, whole
from ...codes import DONE
from ...counting import add_numbering, counted_typed
from ...ending import asked, close
from ...outputs import Outputs
from ...streams import say
from ...taking import (
    add_lost,
    add_moves,
    add_state,
    at_typed,
    lost_typed,
    state_typed,
    the_moves,
)

SUMMARY = "Write a cycle or a programme as step tables for a sequencer, read back and replayed."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser, "table of moves, of a cycle or a programme (CSV, JSON or .xlsx)")
    parser.add_argument(
        "out",
        metavar="OUT",
        nargs="+",
        help="files to write: .csv, .json, .st (IEC 61131-3 structured text), .xml (PLCopen)",
    )
    add_state(parser)
    parser.add_argument(
        "--then",
        metavar="CYCLE",
        help="table of the cycle that follows a programme (CSV, JSON or .xlsx); .st and .xml "
        "need one where the line has one hoist, and take none where it has several",
    )
    parser.add_argument(
        "--joins",
        metavar="TIME",
        help="when that cycle begins, in the line's unit from the beginning of the programme",
    )
    add_lost(parser)
    add_numbering(parser)
    parser.add_argument(
        "--block",
        default="Hoist",
        metavar="NAME",
        help="first part of the block's and types' names in .st and .xml (default Hoist)",
    )
    parser.add_argument(
        "--tags",
        default="names",
        metavar="BY",
        help="constants for stations in .st and .xml: by names (default) or numbers",
    )
    parser.add_argument(
        "--values",
        default="initial",
        metavar="HOW",
        help="the table's numbers in .st and .xml: a structured initial value (initial, "
        "default) or assignments (routine), for controllers that know no such values",
    )
    parser.add_argument(
        "--room",
        metavar="STEPS",
        help="most steps of a table that the block in .st and .xml takes later without a "
        "download (default: those of this one in whole scores, at least 40)",
    )


def run(options: argparse.Namespace) -> int:
    """Every file is made and proved before the first is written."""
    from ....app.machine.sequencer import HandedOver, sequencer, sequencer_once
    from ....app.verify import is_programme
    from ....exports import SequencerStyle, format_of
    from ....exports.formats.st_types import MOST_STEPS, checked_style

    counted = counted_typed(options)
    room = None if options.room is None else whole(options.room, "--room", 1, MOST_STEPS)
    checked_style(options.tags, options.values, room)
    forms = [format_of(path) for path in options.out]
    style = SequencerStyle(options.block, options.tags, options.values, room)
    named = {f"OUT {number}": path for number, path in enumerate(options.out, start=1)}
    moves = the_moves(options)
    read = [options.file, moves, *filter(None, (options.state, options.then))]
    outputs = Outputs(read, **named)
    lost, at = lost_typed(options), at_typed(options)
    once = options.state is not None or is_programme(moves.path)
    joins = time_from_0(options.joins, "--joins")
    if not once and (options.then is not None or joins is not None):
        option, value = ("--then", options.then) if options.then else ("--joins", options.joins)
        raise InputError(
            "a programme as MOVES, which runs once before the cycle", field=option, value=value
        )

    def ask() -> HandedOver:
        if not once:
            return sequencer(options.file, moves, forms, *counted, style)
        begins = state_typed(options, at)
        ways = {"state": begins, "then": options.then, "joins": joins, "lost": lost}
        with option_named("then", "joins", "lost", "at"):
            return sequencer_once(options.file, moves.path, forms, *counted, style, **ways)

    answer = asked(ask, outputs)
    if isinstance(answer, int):
        return answer
    contents = dict(zip(named, answer.texts, strict=True))
    outputs.write(contents)
    wrote = outputs.told(contents, ", read back and replayed")
    close(say, (), [*answer.sentences(), *wrote], answer.cautions(), answer.problem.note)
    return DONE

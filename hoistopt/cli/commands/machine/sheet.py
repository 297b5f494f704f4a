"""`hoistopt sheet`: the step table and its alarms on paper, for the cabinet door."""

from __future__ import annotations

import argparse
from datetime import date

from ...arguments import option_named
from ...codes import DONE
from ...counting import add_numbering, counted_typed
from ...ending import asked, close
from ...outputs import Outputs
from ...streams import say
from ...taking import add_moves, the_moves

SUMMARY = "Print the step table, its alarm limits and what to do, for the cabinet door."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    add_moves(parser)
    parser.add_argument("out", metavar="OUT", nargs="+", help="files to write: .pdf, .html (A4)")
    parser.add_argument(
        "--revision",
        default="",
        metavar="TEXT",
        help="printed as revision (default: room to write it by hand)",
    )
    add_numbering(parser)


def run(options: argparse.Namespace) -> int:
    """Every file is made before the first is written."""
    from ....analysis.figures.cautions import standing
    from ....app.machine.sheet import sheet, sheet_format

    counted = counted_typed(options)
    formats = tuple(sheet_format(path) for path in options.out)
    named = {f"OUT {number}": path for number, path in enumerate(options.out, start=1)}
    moves = the_moves(options)
    outputs = Outputs([options.file, moves], **named)
    with option_named("revision"):
        answer = asked(
            lambda: sheet(
                options.file,
                moves,
                formats,
                *counted,
                options.revision,
                date.today(),
            ),
            outputs,
        )
    if isinstance(answer, int):
        return answer
    contents = dict(zip(named, answer.files, strict=True))
    outputs.write(contents)
    cautions = standing(len(answer.problem.hoists) > 1)
    close(say, (), [*answer.sentences(), *outputs.told(contents)], cautions, answer.problem.note)
    return DONE

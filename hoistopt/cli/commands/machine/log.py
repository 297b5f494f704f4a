"""`hoistopt log`: a controller's log against the recipes."""

from __future__ import annotations

import argparse
import re

from ....base.errors import InputError
from ...arguments import seconds
from ...ending import answered
from ...mapping import add_mapping, words_typed
from ...outputs import Outputs, add_tables

SUMMARY = "Judge a controller's event log against the recipes: every stay, its window, stops."


EPILOG = """LOG is CSV (comma, semicolon, tab or bar; UTF-8, UTF-16 or Windows-1252; packed with
gzip or not), Parquet or .xlsx, a row an event. Its columns are time, event (lift: the hoist
begins to lift; lower: it has set down), station and, where it tells them, carrier, hoist and
recipe. Where it uses other words, a mapping file says what they mean, or these options, which go
before it:
  --column time=Zeitstempel      a name, or a number from 1; Date+Time for two columns
  --event UP=lift --event ALARM= a word for lift or lower; nothing: left out
  --station 12="Rinse 1"         a word for a station of FILE; nothing: left out
A station's number in FILE and a name of FILE need no mapping. The mapping file is TOML, such as
  [columns]                      [events]                  [stations]
  time = "Date+Time"             UP = "lift"               12 = "Rinse 1"
  event = "Action"               DOWN = "lower"            99 = false
  station = "Pos"                ALARM = false             [recipes]
  carrier = "Rack"               [time]                    "Art. 7" = "Housings"
                                 zone = "Europe/Berlin"
with format = "%d.%m.%Y %H:%M:%S" or unit = "ms" under [time] where need be, and header = false
under [file] for a file without one, whose columns are numbers.
"""


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.epilog = EPILOG
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("file", metavar="FILE", help="problem file (TOML or .xlsx)")
    parser.add_argument("logs", metavar="LOG", nargs="+", help="file of the log, or several")
    add_mapping(parser)
    parser.add_argument(
        "--shifts",
        metavar="TIMES",
        default="06:00,14:00,22:00",
        help="when shifts begin (default 06:00,14:00,22:00)",
    )
    parser.add_argument(
        "--stop-after",
        metavar="TIME",
        help='how long without an event is no stop yet, in seconds or such as "5 min" (default: '
        "twice what 99 %% of all gaps do not exceed)",
    )
    parser.add_argument("--json", metavar="OUT", help='write the figures as JSON ("-": stdout)')
    add_tables(parser, "every stay")
    parser.add_argument("--html", metavar="OUT", help="write all of it as a page (.html)")
    pictures = "(.png, .svg or .pdf)"
    parser.add_argument(
        "--dwells", metavar="OUT", help=f"draw the dwells of each stage in its window {pictures}"
    )
    parser.add_argument(
        "--run-chart",
        metavar="OUT",
        help=f"draw loads an hour, stays out of window and stops over time {pictures}",
    )
    parser.add_argument(
        "--diagram",
        metavar="OUT",
        help=f"draw the time-way diagram of a part of the log {pictures}; by default the hour "
        "round the stay furthest over its maximum",
    )
    parser.add_argument("--at", metavar="TIME", help="when the diagram begins, as in ISO 8601")
    parser.add_argument(
        "--for", dest="length", metavar="TIME", help='how much it shows, such as "1 h" (default)'
    )


def run(options: argparse.Namespace) -> int:
    """Every stay against its window, in words, tables and files."""
    shifts = _shifts(options.shifts)
    stop_after = _seconds(options.stop_after, "--stop-after")
    length = _seconds(options.length, "--for")
    for option in ("at", "length"):
        if getattr(options, option) is not None and options.diagram is None and not options.html:
            raise InputError("--diagram as well, of which it says the time", field="--at, --for")
    words = words_typed(options)
    inputs = [options.file, *options.logs, *([options.mapping] if options.mapping else [])]
    outputs = Outputs(
        list(dict.fromkeys(inputs)),
        json=options.json,
        csv=options.csv,
        workbook=options.workbook,
        html=options.html,
        dwells=options.dwells,
        run_chart=options.run_chart,
        diagram=options.diagram,
    )

    from ....app.machine.log import log

    return answered(
        lambda: log(
            options.file,
            options.logs,
            words,
            shifts=shifts,
            stop_after=stop_after,
            at=options.at,
            length=length,
        ),
        outputs,
    )


def _shifts(text: str) -> list[int]:
    found = [re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", part.strip()) for part in text.split(",")]
    minutes = [60 * int(match[1]) + int(match[2]) for match in found if match]
    if len(minutes) < len(found) or minutes != sorted(set(minutes)) or len(minutes) > 24:
        raise InputError(
            "times of the day in rising order, such as 06:00,14:00,22:00",
            field="--shifts",
            value=text,
        )
    return minutes


def _seconds(text: str | None, option: str) -> float | None:
    try:
        return seconds(text)
    except InputError as error:
        error.field = option
        raise

"""`hoistopt sequencer`: hand a schedule over to a machine, as whole numbers, proved."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ..arguments import whole
from ..codes import DONE
from ..outputs import targets
from ..streams import say
from .verify import replayed

if TYPE_CHECKING:
    from ...exports import SequencerTable
    from ...problem import Problem
    from ...schedule import Schedule

SUMMARY = "Write a schedule as step tables for a machine's sequencer, read back and replayed."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument(
        "out",
        metavar="OUT",
        nargs="+",
        help="files to write: .csv, .json, .st (IEC 61131-3 structured text), .xml (PLCopen)",
    )
    parser.add_argument(
        "--unit",
        default="ms",
        metavar="UNIT",
        help="time unit, counted in whole numbers: ms, 0.1s, s or min (default ms)",
    )
    parser.add_argument(
        "--stations",
        default="list",
        metavar="ORDER",
        help="number stations as listed in FILE (list, default) or along the track (track)",
    )
    parser.add_argument(
        "--first", default="0", metavar="N", help="number of the first station (default 0)"
    )
    parser.add_argument(
        "--number",
        action="append",
        default=[],
        metavar="STATION=N",
        help="number of one station; given for every station, instead of --stations",
    )
    parser.add_argument(
        "--times",
        default="dint",
        metavar="TYPE",
        help="times in .st and .xml: whole numbers of the unit (dint, default) or TIME "
        "literals (time)",
    )
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


def run(options: argparse.Namespace) -> int:
    """Every file is made and proved before the first is written."""
    from ...analysis.figures.cautions import STANDING
    from ...exports import SequencerStyle, export_text, format_of, sequencer_table
    from ...exports.st_types import checked_style
    from ...exports.units import time_unit

    unit = time_unit(options.unit)
    first = whole(options.first, "--first", 0, 9999) or 0
    numbers = _numbers(options.number)
    checked_style(options.times, options.tags)
    forms = [format_of(path) for path in options.out]
    named = {f"OUT {number}": path for number, path in enumerate(options.out, start=1)}
    outputs = targets([options.file, options.moves], **named)
    seen = replayed(options.file, options.moves)
    problem, schedule = seen.problem, seen.schedule
    table = sequencer_table(problem, schedule, unit, numbers or options.stations, first, seen=seen)
    style = SequencerStyle(options.times, options.block, options.tags)
    texts = [export_text(problem, table, form, style) for form in forms]
    for target, text in zip(outputs.values(), texts, strict=True):
        target.write(text)
    say(*_changes(problem, schedule, table))
    say(*(f"Wrote {target.shown}, read back and replayed" for target in outputs.values()))
    say("", STANDING)
    return DONE


def _changes(problem: Problem, schedule: Schedule, table: SequencerTable) -> list[str]:
    """What rounding to whole units did to the schedule, if anything."""
    units = table.unit.per_unit_of(problem)
    before = schedule.time(schedule.cycle) * units
    starts = [schedule.time(step.start) * units for step in schedule]
    moved = sum(a != step.start for a, step in zip(starts, table.steps, strict=True))
    if not moved and before == table.cycle:
        return []
    label = table.unit.label
    counted = label if label[0].isalpha() else f"times {label}"
    return [
        f"In whole {label}: {moved} of {len(starts)} starts moved, cycle time "
        f"{float(before):g} becomes {table.cycle} {counted}. The checker accepts it."
    ]


def _numbers(given: list[str]) -> dict[str, int]:
    """Station numbers typed as ``Wash=3``; the name may hold "=" itself."""
    found: dict[str, int] = {}
    for text in given:
        name, sign, number = text.rpartition("=")
        if not sign:
            raise InputError("STATION=N", field="--number", value=text)
        if name in found:
            raise InputError("each station once", field="--number", value=text)
        found[name] = whole(number, f"--number {name}", 0, 9999) or 0
    return found

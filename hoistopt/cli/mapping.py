"""What the words of a log mean: options of every command that reads logs."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from ..base.errors import InputError

if TYPE_CHECKING:
    from ..plant.mapping import LogMapping
    from ..problem import Problem


def add_mapping(parser: argparse.ArgumentParser) -> None:
    """Add the file of a mapping, and each of its tables as an option that goes before it."""
    log = parser.add_argument_group("what the words of a log mean")
    log.add_argument(
        "--mapping",
        metavar="FILE",
        help="TOML file with the tables columns, stations, events, recipes and time; "
        "`hoistopt log --help` shows one",
    )
    for option, pair, text in (
        ("--column", "KEY=NAME", "time, event, station, carrier or hoist, and its column"),
        ("--station", "WORD=NAME", "a word of the log for a station; no NAME: left out"),
        ("--event", "WORD=EVENT", "a word of the log for lift or lower; no EVENT: left out"),
    ):
        log.add_argument(
            option, metavar=pair, action="append", default=[], help=f"{text}; may be repeated"
        )
    log.add_argument("--time-format", metavar="F", help="of times, such as %%d.%%m.%%Y %%H:%%M:%%S")
    log.add_argument("--time-unit", metavar="U", help="unit of times counted from 1970: ms, s, ...")
    log.add_argument("--zone", metavar="ZONE", help="time zone of times, such as Europe/Berlin")


def words_typed(options: argparse.Namespace) -> Callable[[Problem], LogMapping]:
    """What was typed, to be looked up on a line; or one clear error."""
    columns = _pairs(options.column, "--column", "KEY=NAME")
    stations = _pairs(options.station, "--station", "WORD=NAME")
    events = _pairs(options.event, "--event", "WORD=EVENT")

    def words(problem: Problem) -> LogMapping:
        from ..plant.mapping import read_mapping

        return read_mapping(
            problem,
            options.mapping,
            columns=columns,
            stations=stations,
            events=events,
            time_format=options.time_format,
            time_unit=options.time_unit,
            zone=options.zone,
        )

    return words


def _pairs(typed: Sequence[str], option: str, shape: str) -> list[tuple[str, str]]:
    found = []
    for text in typed:
        word, sign, meaning = text.partition("=")
        if not sign or not word.strip():
            raise InputError(shape, field=option, value=text)
        found.append((word.strip(), meaning.strip()))
    return found

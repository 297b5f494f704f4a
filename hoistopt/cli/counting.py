"""How a controller counts times and stations: options of every command that hands over to one."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from ..base.errors import InputError
from .arguments import whole

if TYPE_CHECKING:
    from ..exports.units import TimeUnit

Counted = tuple["TimeUnit", Literal["own", "list", "track"] | Mapping[str, int], int]
"""Time unit, numbers of the stations or their order, number of the first."""


def add_numbering(parser: argparse.ArgumentParser) -> None:
    """Add the unit of times and the numbers of stations."""
    parser.add_argument(
        "--unit",
        default="ms",
        metavar="UNIT",
        help="time unit, counted in whole numbers: ms, 0.1s, s or min (default ms)",
    )
    parser.add_argument(
        "--stations",
        default="own",
        metavar="ORDER",
        help="number stations by their numbers in FILE, or as listed where it does not number them "
        "all (own, default), as listed (list) or along the track (track)",
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


def counted_typed(options: argparse.Namespace) -> Counted:
    """What was typed, or one clear error."""
    from ..exports.units import time_unit

    unit = time_unit(options.unit)
    first = whole(options.first, "--first", 0, 9999) or 0
    return unit, _numbers(options.number) or options.stations, first


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

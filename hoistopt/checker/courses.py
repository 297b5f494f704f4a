"""The ways of several hoists over one cycle, in the problem's units, for whoever draws them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from .distance import Nearest, nearest_neighbours, next_doing
from .record import Replay
from .ways import Piece, all_doings

CORNERS = 4
"""Straight parts by which a stretch of changing speed is told."""

Point = tuple[Fraction, Fraction]
"""Time in the cycle, which may lie before its start or beyond its end, and position."""


@dataclass(frozen=True)
class Course:
    """A part of a hoist's way: corners in time and position, straight lines between them."""

    hoist: int
    kind: Literal["loaded", "empty", "waiting"]
    points: tuple[Point, ...]


def courses(replay: Replay) -> list[Course]:
    """Where each of several hoists is in one cycle, as the checker saw it."""
    found: list[Course] = []
    plan = replay.plan
    for hoist, does in enumerate(all_doings(plan.table, plan.parts)):
        for place, doing in enumerate(does):
            if doing.pieces:
                found.append(
                    Course(
                        hoist, "loaded" if doing.step else "empty", _points(replay, doing.pieces)
                    )
                )
            turned, after = next_doing(does, place, plan.table.cycle)
            if after.since + turned > doing.until:
                rest = Piece(doing.until, after.since + turned, doing.there)
                found.append(Course(hoist, "waiting", _points(replay, (rest,))))
    return found


def approaches(replay: Replay) -> list[Nearest]:
    """The least distance in a cycle of every two neighbours that both make moves."""
    plan = replay.plan
    return nearest_neighbours(plan, all_doings(plan.table, plan.parts))


def _points(replay: Replay, pieces: tuple[Piece, ...]) -> tuple[Point, ...]:
    fraction = replay.plan.table.clock.fraction
    found: list[Point] = []
    for piece in pieces:
        parts = CORNERS if piece.bend else 1
        for part in range(parts + 1):
            time = piece.since + (piece.until - piece.since) * part // parts
            point = fraction(time), piece.at(time)
            if not found or found[-1] != point:
                found.append(point)
    return tuple(found)

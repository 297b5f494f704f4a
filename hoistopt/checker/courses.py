"""The ways of several hoists over one cycle, in the problem's units, for whoever draws them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from .distance import nearest_of, next_doing
from .record import Replay
from .ways import Doing, Piece, doings

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


@dataclass(frozen=True)
class Approach:
    """When two neighbours are nearest to one another in a cycle, and where they are then.

    `left` is the number of the one with the lesser position, in track order.
    """

    left: int
    time: Fraction
    here: Fraction
    there: Fraction

    @property
    def distance(self) -> Fraction:
        """Between their middles."""
        return self.there - self.here


def courses(replay: Replay) -> list[Course]:
    """Where each of several hoists is in one cycle, as the checker saw it."""
    found: list[Course] = []
    for hoist, does in enumerate(_doings(replay)):
        for place, doing in enumerate(does):
            if doing.pieces:
                found.append(
                    Course(
                        hoist, "loaded" if doing.step else "empty", _points(replay, doing.pieces)
                    )
                )
            turned, after = next_doing(does, place, replay.plan.table.cycle)
            if after.since + turned > doing.until:
                rest = Piece(doing.until, after.since + turned, doing.there)
                found.append(Course(hoist, "waiting", _points(replay, (rest,))))
    return found


def approaches(replay: Replay) -> list[Approach]:
    """The least distance of every two neighbours in a cycle."""
    fraction = replay.plan.table.clock.per_unit
    found = []
    for left, (does, others) in enumerate(pairwise(_doings(replay))):
        nearest = nearest_of(replay.plan, left, does, others)
        if nearest is not None:
            time = nearest.time / fraction
            found.append(Approach(left, time, nearest.here, nearest.there))
    return found


def _doings(replay: Replay) -> list[list[Doing]]:
    plan = replay.plan
    return [doings(plan.table, plan.parts, hoist) for hoist in range(len(plan.table.timetables))]


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

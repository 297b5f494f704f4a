"""Where each station's lane lies, and who stands in which place of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ...problem import Problem, Station
from .scene import Bar

# Heights in lane units: the hoist rides on the rail, carriers hang below it.
RAIL = 0.14
FIRST_SLOT = 0.24
SLOT = 0.82
BAR = 0.40
# A window that begins before the one to its left has ended is drawn lower, by more than
# the marks at its ends are high.
WINDOW = (0.50, 0.70)
BOTTOM = 0.04


@dataclass(frozen=True)
class Lane:
    """The strip of one station; `top` counts downwards from the upper edge."""

    station: Station
    top: float
    slots: int

    @property
    def height(self) -> float:
        """Height of the strip."""
        return FIRST_SLOT + self.slots * SLOT + BOTTOM

    @property
    def middle(self) -> float:
        """Where the label stands."""
        return self.top + self.height / 2

    @property
    def rail(self) -> float:
        """Where the hoist passes."""
        return self.top + RAIL

    def slot(self, number: int) -> float:
        """Upper edge of a place; the carriers of one place stand in one row."""
        return self.top + FIRST_SLOT + number * SLOT


def track_order(problem: Problem) -> list[Station]:
    """Stations by position; one without a position follows the one listed before it.

    Stations at one position keep the order they are listed in.
    """
    keys: list[tuple[Decimal, int]] = []
    last = min((s.position for s in problem.stations if s.position is not None), default=Decimal(0))
    for number, station in enumerate(problem.stations):
        last = last if station.position is None else station.position
        keys.append((last, number))
    return [problem.stations[number] for _, number in sorted(keys)]


def places(bars: Sequence[Bar]) -> list[int]:
    """For each bar the place of its station, from 0: the first that is free and has rested.

    Bars of one station that overlap in time never share a place.
    """
    order = sorted(range(len(bars)), key=lambda n: (bars[n].since, bars[n].until))
    free_from: dict[str, list[tuple[Fraction, Fraction]]] = {}
    found = [0] * len(bars)
    for number in order:
        bar = bars[number]
        rows = free_from.setdefault(bar.station, [])
        free = [r for r, (left, _) in enumerate(rows) if left <= bar.since]
        row = min(free, key=lambda r: (rows[r][1] > bar.since, r), default=len(rows))
        if row == len(rows):
            rows.append((bar.until, bar.until))
        rows[row] = bar.until, bar.rested or bar.until
        found[number] = row
    return found


def window_levels(bars: Sequence[Bar], rows: Sequence[int], ends: Sequence[Fraction]) -> list[int]:
    """For each bar whether its window is drawn high (0) or low (1).

    Parameters
    ----------
    bars, rows : sequences of equal length
        What stands where: `rows` as :func:`places` gives them.
    ends : sequence of Fraction
        Until when each bar's window is drawn.
    """
    order = sorted(range(len(bars)), key=lambda n: bars[n].since)
    high_until: dict[tuple[str, int], Fraction] = {}
    found = [0] * len(bars)
    for number in order:
        place = (bars[number].station, rows[number])
        found[number] = int(bars[number].least < high_until.get(place, bars[number].least))
        if not found[number]:
            high_until[place] = ends[number]
    return found


class Rails:
    """How far down a place lies, a station or a position between stations."""

    def __init__(self, lanes: Mapping[str, Lane]) -> None:
        self._lanes = lanes
        at: dict[Fraction, float] = {}
        for lane in lanes.values():
            if lane.station.position is not None:
                at.setdefault(Fraction(lane.station.position), lane.rail)
        self._known = sorted(at.items())

    def at(self, place: str | Fraction) -> float:
        """Lane units from the upper edge; beyond the outermost stations ever less for as far."""
        if isinstance(place, str):
            return self._lanes[place].rail
        known = self._known
        if place <= known[0][0]:
            return known[0][1] - RAIL * _nearing_one(known[0][0] - place)
        if place >= known[-1][0]:
            return known[-1][1] + SLOT * _nearing_one(place - known[-1][0])
        after = next(number for number, (position, _) in enumerate(known) if position >= place)
        (left, upper), (right, lower) = known[after - 1], known[after]
        return upper + (lower - upper) * float((place - left) / (right - left))


def _nearing_one(distance: Fraction) -> float:
    """0 for no distance, below 1 for any, more for more: there is no room to draw it to scale."""
    return float(distance / (distance + 1))


def lay_out(problem: Problem, bars: Sequence[Bar], rows: Sequence[int]) -> dict[str, Lane]:
    """The lanes by station name, from the upper edge down, none touching another.

    Parameters
    ----------
    problem : Problem
        The line.
    bars, rows : sequences of equal length
        What stands where: `rows` as :func:`places` gives them.
    """
    slots = {station.name: 1 for station in problem.stations}
    for bar, row in zip(bars, rows, strict=True):
        slots[bar.station] = max(slots[bar.station], row + 1)
    lanes: dict[str, Lane] = {}
    top = 0.0
    for station in track_order(problem):
        lane = Lane(station, top, slots[station.name])
        lanes[station.name] = lane
        top += lane.height
    return lanes

"""The time between two moves of a hoist, and the travels that keep it clear of all others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from typing import Protocol

from ...instance import Several
from ...instance.several import TRAVEL_PARTS, Corner
from .asked import Legs, Line, Own, mirrored
from .trip import Stretch, least_gap, trip

MOST_TURNS = 40
"""Travels between two moves of a hoist."""
LEADS = (Fraction(0), Fraction(1, 2), Fraction(1), Fraction(2))
"""How much sooner than it must a hoist may go, in parts of the time that it takes to gain speed."""


class Others(Protocol):
    """What a hoist has to keep clear of between two times."""

    several: Several

    def lows(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What it may not be left of."""

    def highs(self, hoist: int, since: Fraction, until: Fraction) -> Iterator[Line]:
        """What it may not be right of, mirrored."""

    def neighbour(self, since: Fraction, until: Fraction) -> Iterator[Stretch]:
        """What the hoist to its left does, the clearance added."""


class Gap:
    """The time between two moves of a hoist; or from its last one on, with none after it."""

    def __init__(
        self, others: Others, hoist: int, move: Own, after: Own | None, begins: Fraction
    ) -> None:
        self.move, self.begins = move, begins
        self.there = None if after is None else after.here
        self.comes = begins if after is None else begins + after.path.low[0][0]
        self.slowness = others.several.slowness[hoist]
        self.later = others.several.getting_up[hoist]
        self._others, self._hoist = others, hoist

    @cached_property
    def lows(self) -> list[Line]:
        """What the hoist may not be left of."""
        return list(self._others.lows(self._hoist, self.move.end, self.begins))

    @cached_property
    def highs(self) -> list[Line]:
        """What it may not be right of, mirrored."""
        return list(self._others.highs(self._hoist, self.move.end, self.begins))

    @cached_property
    def neighbour(self) -> list[Stretch]:
        """What the hoist to the left does meanwhile."""
        return list(self._others.neighbour(self.move.end, self.begins))

    @cached_property
    def tops(self) -> list[tuple[Fraction, Stretch]]:
        """How far to the right each of its stretches comes."""
        return [(max(s.position, s.at(s.until)), s) for s in self.neighbour]

    def legs(self) -> Legs | None:
        """Travels that keep clear of all others; none where the hoist need not travel."""
        here, there = self.move.there, self.there
        choices: list[Legs] = []
        if there is not None and there != here:
            choices = [[(start, there)] for start in self._departures(there)]
        for legs in choices or [[]]:
            if self.clear(legs):
                return legs
        for share in LEADS:
            must = self._when_it_must(share * self.later)
            if must is not None and self.clear(must):
                return must
            if not self.later:
                break
        return None

    def way(self, legs: Legs) -> tuple[Stretch, ...] | None:
        """All that the hoist does between the moves; None where it would be late."""
        time, here = self.move.end, self.move.there
        found: list[Stretch] = []
        for start, to in legs:
            if start < time:
                return None
            made = trip(start, here, to, self.slowness, self.later)
            found += [Stretch(time, start, here), *made]
            time, here = made[-1].until, to
        if self.there not in (None, here) or (legs and time > self.comes):
            return None
        return (*found, Stretch(time, self.begins, here))

    def clear(self, legs: Legs, *, known: bool = False) -> bool:
        """Whether the hoist keeps its distance from all others.

        Before and after their moves those to the right need room to come and go. That does not
        count where what they do is `known`, as it is of those to the left, once that is chosen.
        """
        way = self.way(legs)
        if way is None:
            return False
        since, until = self.move.end, self.begins
        # On a stretch a hoist never turns: it is between where that begins and ends.
        ends = [position for s in way for position in (s.position, s.at(s.until))]
        low, high = min(ends), -max(ends)
        near = least_gap([s for top, s in self.tops if top > low], way)
        if near is not None and near < 0:
            return False
        turned = [replace(s, position=-s.position, speed=-s.speed, bend=-s.bend) for s in way]
        return all(
            (gap := least_gap(asked, own)) is None or gap >= 0
            for lines, own, least, left in (
                (self.lows, way, low, True),
                (self.highs, turned, high, False),
            )
            for line in lines
            if line.top > least  # others are clear of it wherever it is
            for asked in [
                line.true
                if line.true and (left or (known and line.known))
                else line.stretches(since, until)
            ]
        )

    def _departures(self, there: Fraction) -> list[Fraction]:
        """When the hoist might leave: at once, or once some other is out of its way."""
        here, ends = self.move.there, self.move.end
        found = {ends}
        rising = there > here
        for line in self.highs if rising else self.lows:
            for time, position in line.corners:
                release = up(time + (position - (-here if rising else here)) * self.slowness)
                sooner = up(release - self.later)
                found |= {start for start in (sooner, release) if start > ends}
        found |= {up(s.since) for s in self.neighbour if s.since > ends}
        return sorted(found)

    def _pushed(self) -> Iterator[Line]:
        """What the neighbour's travels ask for, each from its beginning to its end."""
        corners: list[Corner] = []
        for stretch in self.neighbour:
            ends = stretch.until, stretch.at(stretch.until)
            begins = stretch.since, stretch.position
            rising = ends[1] > begins[1]
            if corners and (begins != corners[-1] or rising != (corners[-1][1] > corners[0][1])):
                yield Line(tuple(corners), self.slowness)
                corners = []
            corners = [*(corners or [begins]), ends]
        if corners:
            yield Line(tuple(corners), self.slowness)

    def _when_it_must(self, lead: Fraction) -> Legs | None:
        """Stay until some other hoist, or the next move, makes the hoist go.

        It goes so much sooner than that, as far as it can: one that starts more slowly than
        the hoist behind it has to.
        """
        lows, highs = [*self.lows, *self._pushed()], list(self.highs)
        if self.there is not None:
            goal = ((self.comes, self.there), (self.begins, self.there))
            lows.append(Line(goal, self.slowness))
            highs.append(Line(mirrored(goal), self.slowness))
        time, here, before = self.move.end, self.move.there, self.move.there
        free = self.move.end
        legs: list[tuple[Fraction, Fraction]] = []
        for _ in range(MOST_TURNS):
            pushes = [
                (when, sign, line)
                for sign, lines in ((1, lows), (-1, highs))
                for line in lines
                if (when := line.passes(sign * here, time)) is not None and when < self.begins
            ]
            if not pushes:
                break
            when, sign, line = min(pushes, key=lambda push: push[0])
            to = sign * line.highest
            arrives = when + abs(to - here) * self.slowness
            if legs and when == time and (to > here) == (here > before):
                legs[-1] = (legs[-1][0], to)  # straight on
            else:
                took = trip(when, here, to, self.slowness, self.later)[-1].until - when
                legs.append((max(_down(arrives - took - lead), up(free)), to))
                before = here
            start, to = legs[-1]
            free = trip(start, before, to, self.slowness, self.later)[-1].until
            time, here = arrives, to
        return legs if self.there in (None, here) else None


def up(time: Fraction) -> Fraction:
    """The next time at which a travel may start."""
    return Fraction((time * TRAVEL_PARTS).__ceil__(), TRAVEL_PARTS)


def _down(time: Fraction) -> Fraction:
    return Fraction((time * TRAVEL_PARTS).__floor__(), TRAVEL_PARTS)

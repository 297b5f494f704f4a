"""The mirrored line: a backward pass is a forward pass along it."""

from __future__ import annotations

from dataclasses import replace

from .stations import FAR, Line, Station, Window


def mirrored(line: Line) -> Line:
    """Return the line with left and right exchanged, and time running backwards.

    A move from u to v becomes a move from the mirror image of v to that of u: what went
    right still goes right, and what set a carrier down now lifts it. Schedules of one line,
    played backwards, are those of the other.
    """
    last = len(line.stations) - 1
    d = line.duration

    def shift(a: int, b: int) -> int:
        return d[b] - d[a]

    def image(station: Station) -> Station:
        return replace(
            station,
            windows=tuple(
                Window(
                    w.then,
                    w.first,
                    w.low + shift(w.first, w.then),
                    w.high if w.high == FAR else w.high + shift(w.first, w.then),
                )
                for w in station.windows
            ),
            partner={b: a for a, b in station.partner.items()},
            follow={(b, a): time + shift(a, b) for (a, b), time in station.follow.items()},
            bringing=frozenset(b for a, b in station.follow if a in station.bringing),
            leave=station.reach,
            reach=station.leave,
        )

    count = len(d)
    at = line.at
    return Line(
        stations=tuple(image(station) for station in reversed(line.stations)),
        lengths=line.lengths[::-1],
        source=tuple(last - v for v in line.target),
        target=tuple(last - u for u in line.source),
        duration=d,
        gap=tuple(tuple(line.gap[b][a] + shift(b, a) for b in range(count)) for a in range(count)),
        at=tuple(at[-1] - x for x in reversed(at)),
        entering=tuple(moves[::-1] for moves in line.entering),
    )

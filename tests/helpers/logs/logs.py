"""Logs of a controller, made by replaying a schedule, with known things wrong in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from math import ceil, floor
from pathlib import Path

import hoistopt
from hoistopt import checker
from hoistopt.checker import CarrierStay, Replay

START = datetime(2025, 3, 1, 6, tzinfo=UTC)
FIRST_LINE = 2
"""Row of the file in which the first event stands, below the header."""


@dataclass(frozen=True)
class Event:
    """A lift or a lower, in milliseconds from the start of the log."""

    time: int
    kind: str
    station: str
    carrier: str
    recipe: str


@cache
def replayed(file: str, cycles: int) -> Replay:
    """The least cycle of an example, replayed so often."""
    problem = hoistopt.load_problem(file)
    result = hoistopt.solve(problem, degree=1, workers=1, time_limit=10)
    assert result.schedule is not None
    return checker.replay(problem, result.schedule, cycles)


def events_of(seen: Replay) -> list[Event]:
    """The events of a replay in order of time, lifts not early and lowers not late by a
    millisecond, so that no dwell looks shorter than it is."""
    found = []
    for run in seen.runs:
        who = f"C{run.carrier}"
        found.append(Event(ceil(run.start * 1000), "lift", run.source, who, run.recipe))
        found.append(Event(floor(run.end * 1000), "lower", run.target, who, run.recipe))
    return sorted(found, key=lambda event: (event.time, event.kind == "lift"))


def stays_of(seen: Replay) -> list[CarrierStay]:
    """What the checker says of stays in tanks that begin and end in the replay."""
    ends = {s.name for s in seen.problem.stations if s.loads or s.unloads}
    return [s for s in seen.stays if s.station not in ends and s.until is not None]


def later(events: Sequence[Event], after: int, by: int) -> list[Event]:
    """All events from a time on so much later, as after a stop; in milliseconds."""
    return [
        replace(event, time=event.time + by) if event.time >= after else event for event in events
    ]


def written(events: Sequence[Event], path: Path, *, carriers: bool = True, step: int = 1) -> Path:
    """A log as a file, times cut to multiples of `step` milliseconds."""
    lines = ["time,event,station" + (",carrier" if carriers else "")]
    for event in events:
        time = START + timedelta(milliseconds=event.time // step * step)
        row = [time.isoformat(), event.kind, event.station, *([event.carrier] if carriers else [])]
        lines.append(",".join(row))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path

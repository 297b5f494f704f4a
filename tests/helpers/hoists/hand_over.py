"""Two hoists that hand a load over at one tank: the line, and schedules of it by hand."""

from __future__ import annotations

from fractions import Fraction

from hoistopt import (
    Hoist,
    Motion,
    Problem,
    Recipe,
    Schedule,
    Stage,
    Station,
    Step,
    Track,
    Travel,
)


def line(acceleration: float | None = None, clearance: float = 2) -> Problem:
    """One tank between two ends 8 apart; hoist A left of hoist B."""
    motion = Motion(1, acceleration=acceleration)
    return Problem(
        "Hand over",
        stations=[
            Station("In", kind="load", position=0),
            Station("T", position=4),
            Station("Out", kind="unload", position=8),
        ],
        recipes=[Recipe("Parts", [Stage("T", min=5, max=60)])],
        hoist=[Hoist(name=n, lift=2, lower=2, loaded=motion, empty=motion) for n in "AB"],
        track=Track(clearance, from_=-4, to=12),
        tick=1,
    )


def handed_over(lifts: int, *travels: Travel, cycle: int = 60) -> Schedule:
    """A brings the load to T from 0 on, B lifts it there."""
    steps = (
        Step(0, "In", "T", "Parts", 1, 0, None, "A"),
        Step(lifts, "T", "Out", "Parts", 1, 1, 0, "B"),
    )
    return Schedule(cycle, Fraction(1), steps, travels)

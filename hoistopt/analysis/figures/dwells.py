"""The dwell table: what every load stands in every stage, against its window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.numbers.decimals import as_decimal
from ...checker.record import CarrierStay, Replay
from ...problem import Problem
from ...schedule import Schedule
from .steps import after_steady, first_steady, tick_of

Margin = Literal["none", "small", "enough"]
SMALL = Fraction(1, 10)
"""Share of its window below which a margin counts as small: our own choice, no source."""


def margin_size(margin: Decimal | Fraction, window: Decimal | Fraction) -> Margin:
    """How much a dwell leaves to its maximum.

    Parameters
    ----------
    margin : Decimal or Fraction
        From the dwell to its maximum, rounded down as it is shown.
    window : Decimal or Fraction
        From minimum to maximum, in the same unit. A fixed dwell, without a window, has no
        margin.
    """
    if margin <= 0 or not window:
        return "none"
    return "small" if Fraction(margin) <= SMALL * Fraction(window) else "enough"


@dataclass(frozen=True)
class DwellRow:
    """Dwell of one load of the cycle in one stage; times in the problem's unit.

    `margin_min` is what the dwell lies above `least`, `margin_max` what it lies below
    `most`; both are None where there is no such limit. `late` is how far a fixed dwell,
    which is kept to within a tick, ends above `most`, exactly; its `margin_max` is what is
    left of that tick. `source` is where the window comes from, as the problem file says.
    """

    recipe: str
    load: int
    stage: int
    label: str
    station: str
    dwell: Decimal
    least: Decimal
    most: Decimal | None
    margin_min: Decimal
    margin_max: Decimal | None
    late: Fraction = Fraction(0)
    source: str = ""

    @property
    def margin(self) -> Margin:
        """How much is left to the maximum; enough where there is none."""
        if self.most is None or self.margin_max is None:
            return "enough"
        return margin_size(self.margin_max, self.most - self.least)

    @property
    def tightest(self) -> Decimal:
        """The smaller margin."""
        return self.margin_min if self.margin_max is None else min(self.margin_min, self.margin_max)


def tightest(rows: Sequence[DwellRow]) -> list[DwellRow]:
    """All dwells closest to their maximum; none where no stage has one."""
    margins = [row.margin_max for row in rows if row.margin_max is not None]
    return [row for row in rows if margins and row.margin_max == min(margins)]


def dwell_rows(problem: Problem, schedule: Schedule, replay: Replay) -> list[DwellRow]:
    """Dwells of the stays that end in the steady cycles, by load and stage.

    Where a load's dwell were to differ from one steady cycle to the next, the row shows
    the shortest with the margins of all of them.
    """
    tick = tick_of(schedule)
    since, until = first_steady(replay), after_steady(replay)
    found: dict[tuple[int, int], list[tuple[Fraction, CarrierStay]]] = {}
    for stay in replay.stays:
        stages = len(problem.recipe_by_name[stay.recipe].stages)
        if stay.dwell is None or stay.until is None or not 1 <= stay.stage <= stages:
            continue
        if since <= stay.until < until:
            found.setdefault((stay.load, stay.stage), []).append((stay.dwell, stay))
    rows = []
    for _, stays in sorted(found.items()):
        shortest, stay = min(stays, key=lambda pair: pair[0])
        longest = max(dwell for dwell, _ in stays)
        rows.append(
            DwellRow(
                recipe=stay.recipe,
                load=stay.load,
                stage=stay.stage,
                label=stay.label,
                station=stay.station,
                dwell=as_decimal(shortest, tick),
                least=as_decimal(stay.least, tick),
                most=None if stay.most is None else as_decimal(stay.most - stay.eased, tick),
                margin_min=as_decimal(shortest - stay.least, tick, "down"),
                margin_max=None
                if stay.most is None
                else as_decimal(stay.most - longest, tick, "down"),
                late=Fraction(0)
                if stay.most is None
                else max(Fraction(0), longest - (stay.most - stay.eased)),
                source=problem.source_of(stay.recipe, stay.stage, stay.station),
            )
        )
    return rows

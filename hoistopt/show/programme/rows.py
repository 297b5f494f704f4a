"""What there is to tell of a programme: its moves, its loads, its dwells, as rows of figures."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ...base.numbers.decimals import as_decimal
from ...checker import LoadStay, ProgrammeReplay
from ...problem.grid import ticks_per_unit


@dataclass(frozen=True)
class MoveRow:
    """One move; times in the problem's unit. `stage` is the stage the load leaves.

    `dwell_least` and `dwell_most` are what the load had stood there, equal where there is
    no doubt; None for a new load.
    """

    step: int
    start: Decimal
    end: Decimal
    source: str
    target: str
    recipe: str
    load: int
    stage: int
    label: str
    loaded: Decimal
    drip: Decimal
    dwell_least: Decimal | None
    dwell_most: Decimal | None
    least: Decimal | None
    most: Decimal | None
    hoist: str | None = None


@dataclass(frozen=True)
class LoadRow:
    """One load: when it is lifted at its load station, when it is out, and its tightest dwell.

    `entered` is None for a load that was in the line already, `out` for one that is in it
    yet; `margin` is the least time between a dwell of it and its maximum, at `tightest`.
    """

    load: int
    recipe: str
    entered: Decimal | None
    out: Decimal | None
    margin: Decimal | None
    tightest: str


def tick_of(seen: ProgrammeReplay) -> Fraction:
    """The grid on which times without a short decimal are shown."""
    return 1 / Fraction(ticks_per_unit(seen.problem))


def move_rows(seen: ProgrammeReplay) -> list[MoveRow]:
    """The moves in order of time."""
    tick = tick_of(seen)
    lifted = {stay.left_by: stay for stay in seen.stays if stay.left_by is not None}
    rows = []
    for run in seen.runs:
        stay = lifted.get(run.step)
        rows.append(
            MoveRow(
                step=run.step,
                start=as_decimal(run.start, tick),
                end=as_decimal(run.end, tick),
                source=run.source,
                target=run.target,
                recipe=run.recipe,
                load=run.load,
                stage=run.stage,
                label=run.source if stay is None else stay.label,
                loaded=as_decimal(run.end - run.start, tick),
                drip=as_decimal(run.drip, tick),
                dwell_least=_dwell(stay, tick, late=True),
                dwell_most=_dwell(stay, tick, late=False),
                least=None if stay is None else as_decimal(stay.least, tick),
                most=None if stay is None or stay.most is None else as_decimal(stay.most, tick),
                hoist=run.hoist,
            )
        )
    return rows


def _dwell(stay: LoadStay | None, tick: Fraction, *, late: bool) -> Decimal | None:
    if stay is None or stay.until is None:
        return None
    since = stay.since.most if late else stay.since.least
    return as_decimal(stay.until - since, tick, "down" if late else "up")


def load_rows(seen: ProgrammeReplay) -> list[LoadRow]:
    """The loads in order of their numbers."""
    tick = tick_of(seen)
    recipes = {stay.load: stay.recipe for stay in seen.stays}
    recipes |= {run.load: run.recipe for run in seen.runs}
    entered = {run.load: run.start for run in seen.runs if run.stage == 0}
    rows = []
    for load, recipe in sorted(recipes.items()):
        margin, tightest = min(_margins(seen, load), default=(None, ""))
        rows.append(
            LoadRow(
                load=load,
                recipe=recipe,
                entered=as_decimal(entered[load], tick) if load in entered else None,
                out=as_decimal(seen.out[load], tick) if load in seen.out else None,
                margin=None if margin is None else as_decimal(margin, tick, "down"),
                tightest=tightest,
            )
        )
    return rows


def _margins(seen: ProgrammeReplay, load: int) -> list[tuple[Fraction, str]]:
    """How far below its maximum each dwell of a load stays, and the label of its stage."""
    return [
        (stay.most - (stay.until - stay.since.least), stay.label)
        for stay in seen.stays
        if stay.load == load and stay.most is not None and stay.until is not None
    ]


def without_margin(seen: ProgrammeReplay) -> dict[int, list[str]]:
    """By load the stages in which it stays for all of the maximum, to within a tick."""
    tick = tick_of(seen)
    found: dict[int, list[str]] = {}
    for load in sorted({stay.load for stay in seen.stays}):
        margins = _margins(seen, load)
        labels = [label for margin, label in margins if as_decimal(margin, tick, "down") <= 0]
        if labels:
            found[load] = labels
    return found


def busy_share(seen: ProgrammeReplay, hoist: str | None = None) -> Fraction:
    """The share of the time up to the finish in which a hoist carries a load.

    Of several hoists `hoist` is the name of the one that is meant.
    """
    carried = sum((run.end - run.start for run in seen.runs if run.hoist == hoist), Fraction(0))
    return carried / seen.finish if seen.finish > 0 else Fraction(0)

"""How a log keeps to a plan, in sentences; and its times as people read them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np

from ...base.numbers.decimals import significant
from ...base.text import counted, listed, plural
from ...plant.adherence.answer import Adherence
from ...plant.adherence.deviations import Deviation
from ...plant.adherence.judge import STOP
from ..log.shown import moment

SEVERAL = {
    "out of turn": "out of turn",
    "other target": "to another station",
    "other source": "from another station",
    "added": "added",
    "missing": "missing",
}


def timed(value: float) -> str:
    """A time to four digits, or to a tenth where it is long."""
    return significant(value, 4) if abs(value) < 1000 else f"{value:.1f}".removesuffix(".0")


def what_of(found: Adherence, each: Deviation) -> str:
    """A deviation in a few words."""
    move = None
    if each.position is not None:
        move = found.planned.moves[each.position % len(found.planned.moves)]
    if each.kind == "out of turn":
        if not each.places:
            return "out of turn, another move was made in its place"
        moves = plural(abs(each.places), "move")
        return f"{abs(each.places)} {moves} too {'early' if each.places > 0 else 'late'}"
    if each.kind == "missing":
        return f"missing: {each.why or 'the log does not show whether a load stood there'}"
    if each.kind == "added":
        return "added: no such move was due"
    assert move is not None
    end = f"to {move.target}" if each.kind == "other target" else f"from {move.source}"
    return f"planned {end}"


def adherence_sentences(found: Adherence, zone: str | None) -> list[str]:
    """How a log keeps to its plan, in sentences."""
    return [
        *found.notes,
        _order(found),
        *_drift(found),
        *_stops(found, zone),
        *_costs(found),
    ]


def _order(found: Adherence) -> str:
    turn = int((found.positions >= 0).sum())
    text = f"{turn} of {len(found.positions)} logged moves were made in their turn"
    kinds = Counter(each.kind for each in found.deviations)
    if not kinds:
        return f"{text}: the order is the planned one throughout."
    told = listed([f"{count} {SEVERAL[kind]}" for kind, count in kinds.items()])
    why = Counter(each.why for each in found.deviations if each.why)
    of = listed([f"{count} as {reason}" for reason, count in why.items()])
    return f"{text}; {told}{f' ({of})' if of else ''}."


def _drift(found: Adherence) -> Iterator[str]:
    unit = found.problem.unit
    late = found.late[found.positions >= 0]
    total = float(late[-1])
    stops = float(found.waited[found.stopped].sum())
    direction = "later" if total >= 0 else "earlier"
    text = (
        f"The last move starts {timed(abs(total))} {unit} {direction} than planned, counted from "
        "the first one"
    )
    if found.stopped.any():
        text += f"; {timed(stops)} {unit} of that in stops"
    yield f"{text}."
    if found.planned.cycle is not None and len(found.cycles) > 1:
        first, last = found.cycles[0], found.cycles[-1]
        count = last.cycle - first.cycle
        each = (last.late - first.late - stops) / count
        made = found.planned.cycle + each
        yield (
            f"Cycle time made: {timed(made)} {unit} on average of {count} cycles, stops left out; "
            f"{timed(found.planned.cycle)} {unit} planned, {timed(abs(each))} {unit} a cycle "
            f"{'lost' if each >= 0 else 'gained'}."
        )


def _stops(found: Adherence, zone: str | None) -> Iterator[str]:
    stops = np.flatnonzero(found.stopped)
    if not len(stops):
        return
    longest = int(stops[np.argmax(found.waited[stops])])
    move = found.planned.moves[int(found.positions[longest]) % len(found.planned.moves)]
    begin = moment(int(found.moves.get_column("start")[longest]), zone)
    yield (
        f"{counted(len(stops), 'stop')} (a wait longer than planned by {STOP:g} mean times from "
        f"start to start); the longest, {timed(float(found.waited[longest]))} "
        f"{found.problem.unit}, ended with step {move.step} ({move.between}) at {begin}."
    )


def _costs(found: Adherence) -> Iterator[str]:
    unit = found.problem.unit
    worst = max(found.steps, key=lambda step: step.cost)
    if worst.cost > 0 and worst.made:
        move = found.planned.moves[worst.number]
        yield (
            f"Step that costs most, stops left out: {move.step} ({move.between}), "
            f"{timed(worst.cost)} {unit} in all: {timed(worst.moved)} {unit} by the move itself, "
            f"{timed(worst.waited)} {unit} by its start after the move before."
        )
    late = sum(step.late for step in found.steps)
    yield (
        f"{counted(late, 'start')} lost more than {timed(found.tolerance)} {unit} against "
        "the start before; --late sets another limit."
    )

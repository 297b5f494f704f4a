"""What is told of a programme that goes over into a cycle."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ...base.numbers.decimals import as_decimal, told
from ...checker import ProgrammeReplay
from ...problem import Problem
from ..tables.jsonfile import json_number
from .rows import tick_of

if TYPE_CHECKING:
    from ...planning.plan_result import Plan


def repeats_data(seen: ProgrammeReplay) -> dict[str, Any] | None:
    """From when on a programme repeats, and which of its steps are made once, and then again.

    None where it ends. ``first_step`` counts from 1: the steps before it are made once, and
    those from it on, ``steps`` at a time, every ``every`` units of time.
    """
    programme = seen.programme
    repeats = programme.repeats
    if repeats is None:
        return None
    once = sum(step.start < repeats.since for step in programme)
    block = sum(0 <= step.start - repeats.since < repeats.every for step in programme)
    tick = tick_of(seen)
    return {
        "from": json_number(as_decimal(programme.time(repeats.since), tick)),
        "every": json_number(as_decimal(programme.time(repeats.every), tick)),
        "first_step": once + 1,
        "steps": block,
    }


def repeats_notes(seen: ProgrammeReplay) -> list[str]:
    """The lines above a table that say the same, as `hoistopt verify` reads them."""
    found = repeats_data(seen)
    if found is None:
        return []
    return [f"repeats_from = {told(found['from'])}", f"repeats_every = {told(found['every'])}"]


def repeats_words(seen: ProgrammeReplay) -> str:
    """Where the cycle begins, and which steps it is."""
    found = repeats_data(seen)
    assert found is not None
    unit, first = seen.problem.unit, found["first_step"]
    once = f"Steps 1 to {first - 1} are made once; steps" if first > 1 else "Steps"
    return (
        f"{once} {first} to {first + found['steps'] - 1} are the cycle, made every "
        f"{told(found['every'])} {unit} from {told(found['from'])} {unit} on."
    )


def joined_words(problem: Problem, plan: Plan) -> list[str]:
    """When the line is in step, how good that is known to be, and when loads are out."""
    assert plan.replay is not None
    unit = problem.unit
    found = []
    if plan.changeover_time is not None:
        least = (
            "proved to be the least" + " of those as little late" * (plan.lateness is not None)
            if plan.changeover_time == plan.least_changeover_time
            else f"the bound is {told(plan.least_changeover_time or 0)} {unit}"
        )
        found.append(
            f"Changeover time {told(plan.changeover_time)} {unit}, from the last load out to the "
            f"first of the cycle; {least}."
        )
    if plan.status == "optimal":
        proof = "proved to be the earliest"
        if plan.changeover_time is not None:
            proof = "proved to be the earliest of those with so short a changeover"
        elif plan.lateness is not None:
            proof = "proved to be the earliest of those as little late"
    else:
        proof = (
            f"not proved to be the earliest: the bound is {told(plan.lower_bound or 0)} {unit}, a "
            f"gap of {plan.gap:.1%}"
        )
    found.append(f"In step from {told(plan.in_step or 0)} {unit} on, {proof}.")
    found.append(repeats_words(plan.replay))
    return found


def outs_words(problem: Problem, plan: Plan, loads: int) -> str:
    """When the first load of the cycle's recipes is out, and when the one asked for is."""
    assert plan.replay is not None
    tick = tick_of(plan.replay)
    first, last = plan.outs[0], plan.outs[loads - 1]
    text = f"The first load is out at {as_decimal(first, tick):f} {problem.unit}"
    if loads > 1:
        text += f", number {loads} at {as_decimal(last, tick):f} {problem.unit}"
    return f"{text}."

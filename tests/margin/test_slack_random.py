"""Limits on lateness are exact: held at the limit, broken a tick beyond, on random lines.

For good: against the checker. Once: against a sequencer simulated event by event
(``sequencer.py``). Then every kind of limit is put wrong by a tick, and that is noticed.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from hoistopt.checker import Replay, accepted
from hoistopt.graph.from_replay import timed_plan
from hoistopt.graph.timed_plan import TimedPlan
from hoistopt.margin import slack
from hoistopt.margin.slack import slack_limits
from tests.helpers.lines.late_lines import solved, wrong_alone, wrong_for_good
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

SEEDS = range(7)


@pytest.mark.parametrize("seeds", first(4, SEEDS))
@pytest.mark.parametrize("family", FAMILIES)
def test_limits_are_exact(family: str, seeds: range) -> None:
    lines = [line for seed in seeds if (line := solved(family, seed))]
    assert len(lines) >= len(seeds) // 2
    for problem, schedule in lines:
        limits = slack_limits(problem, schedule)
        assert [*wrong_for_good(problem, schedule, limits)] == []
        assert [*wrong_alone(problem, schedule, limits)] == []


@pytest.mark.parametrize(
    ("family", "seed"),
    [
        # A circuit with a hundredth of a tick to spare: lateness grows for ever so slowly.
        ("limits", 104),
        # A carrier lifted from the dock at the moment at which another is set down there.
        ("mixed", 307),
    ],
)
def test_limits_are_exact_where_they_once_were_not(family: str, seed: int) -> None:
    line = solved(family, seed)
    assert line is not None
    limits = slack_limits(*line)
    assert [*wrong_for_good(*line, limits), *wrong_alone(*line, limits)] == []


def test_the_least_slack_is_the_least_room_below_a_maximum() -> None:
    """What maximising slack rests on: a late start makes none later than itself."""
    for seed in SEEDS:
        line = solved("slots", seed)
        if line is None:
            continue
        rooms = [
            plan.ticks(dwell.room)
            for plan in [timed_plan(accepted(*line))]
            for dwell in plan.dwells
            if dwell.room is not None
        ]
        assert slack_limits(*line).least_alone == min(rooms, default=None)


def _with_waits(plan: TimedPlan, why: str) -> TimedPlan:
    return replace(
        plan,
        waits=tuple(
            replace(w, length=w.length - plan.tick) if w.rule == why else w for w in plan.waits
        ),
    )


def _with_maxima(plan: TimedPlan) -> TimedPlan:
    dwells = (replace(s, most=None if s.most is None else s.most + plan.tick) for s in plan.dwells)
    return replace(plan, dwells=tuple(dwells))


WRONG = {
    "hoist": lambda plan: _with_waits(plan, "hoist"),
    "minimum": lambda plan: _with_waits(plan, "minimum"),
    "station": lambda plan: _with_waits(plan, "station"),
    "return": lambda plan: _with_waits(plan, "return"),
    "maximum": _with_maxima,
}


@pytest.mark.parametrize(
    ("kind", "family", "seeds"),
    [
        ("hoist", "plain", range(4)),
        ("minimum", "plain", range(4)),
        ("maximum", "tight", range(6)),
        ("station", "turns", range(8)),
        ("return", "carriers", range(40)),
    ],
)
def test_each_kind_of_limit_wrong_by_a_tick_is_noticed(
    kind: str, family: str, seeds: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(seen: Replay) -> TimedPlan:
        return WRONG[kind](timed_plan(seen))

    monkeypatch.setattr(slack, "timed_plan", wrong)
    for seed in seeds:
        line = solved(family, seed)
        if line is None:
            continue
        limits = slack_limits(*line)
        if any(wrong_for_good(*line, limits)) or any(wrong_alone(*line, limits)):
            return
    pytest.fail("no line noticed")

"""Several hoists with measured moves: the checker keeps clear of all that they may be in."""

from __future__ import annotations

from decimal import Decimal

import pytest

from hoistopt import InputError, Problem, accepted, replay, solve
from hoistopt.base.effort import Effort
from hoistopt.checker.hoists.ways import all_doings
from hoistopt.exports.several.table import several_table
from tests.helpers.hoists.two_hoists import five_tanks


def measured() -> Problem:
    data = five_tanks().to_data()
    data["times"] = {
        "loaded": [
            {"from": "Load", "to": "T1", "time": 30},
            {"from": "T2", "to": "T3", "time": 33},
            {"from": "T4", "to": "T5", "time": 35},
        ]
    }
    return Problem.from_data(data)


def test_a_measured_move_lies_between_two_ways() -> None:
    line = measured()
    found = solve(line, 1, effort=Effort(4, 1))
    assert found.schedule is not None and found.replay is not None
    seen = found.replay
    assert accepted(line, found.schedule).clean
    bands = [d for does in all_doings(seen.plan.table, seen.plan.parts) for d in does if d.between]
    assert len(bands) == 3
    for doing in bands:
        middle = (doing.since + doing.until) // 2
        low, drawn, high = (
            next(p.at(middle) for p in way if p.since <= middle <= p.until)
            for way in (doing.low, doing.pieces, doing.high)
        )
        assert low <= drawn <= high and low < high


def test_no_release_signals_without_knowing_where_hoists_are() -> None:
    line = measured()
    found = solve(line, 1, effort=Effort(3, 1))
    assert found.schedule is not None
    with pytest.raises(InputError, match="as release signals go by where hoists are"):
        several_table(line, found.schedule)


def test_what_keeps_clear_of_one_way_only_is_refused() -> None:
    """The schedule of the physics, its moves as long by a table, which tells no more of them."""
    line = five_tanks()
    found = solve(line, 1, effort=Effort(4, 1))
    assert found.schedule is not None
    plan = accepted(line, found.schedule).plan
    data = line.to_data()
    clock = plan.table.clock
    data["times"] = {
        "loaded": [
            {
                "from": step.source,
                "to": step.target,
                "time": Decimal(int(clock.fraction(parts.total) * 10**6)).scaleb(-6),
            }
            for step, parts in zip(plan.table.steps, plan.parts, strict=True)
            if parts is not None
        ]
    }
    seen = replay(Problem.from_data(data), found.schedule)
    assert {violation.rule for violation in seen.violations} == {"clearance"}

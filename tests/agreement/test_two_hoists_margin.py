"""Margin asked of lines with two hoists, against brute force from its meaning.

Brute force lets every choice of moves be late by their float, in one cycle and not in the next,
and asks each time whether both hoists can be where they are wanted, tick by tick.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Any

import pytest

from hoistopt import Problem, load_problem, solve, verify
from hoistopt.app import solve as use_case
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.checker import margin, replay
from hoistopt.instance import build_instance
from hoistopt.instance.several import Path
from hoistopt.margin.slack import slack_limits
from hoistopt.schedule import Schedule
from hoistopt.solver import least_cycle
from hoistopt.solver.model.constraints import several as rule
from hoistopt.solver.several import travels
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.late_lines import later
from tests.reference.several import several

CHUNK = 15
HIGHEST = 120


def found(line: several.TwoHoists) -> Schedule | None:
    """The schedule of least cycle time, proved."""
    answer = least_cycle(build_instance(line.problem(), several=True), Clock(Effort(30, 1)))
    assert answer.status in ("optimal", "infeasible"), line
    return answer.schedule


@pytest.mark.parametrize(
    "chunk", [pytest.param(n, marks=() if n == 0 else pytest.mark.long) for n in range(30)]
)
def test_the_least_cycle_time_with_a_margin_is_that_of_brute_force(chunk: int) -> None:
    seen: Counter[str] = Counter()
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        line = several.draw_margin(seed)
        plain = replace(line, slack=0, late=0)
        try:
            schedule, without = found(line), found(plain)
        except (InputError, InfeasibleError):  # a station that no hoist reaches
            continue
        if schedule is None:
            assert several.least_cycle(line, HIGHEST if chunk else 40) is None, line
            seen["none"] += 1
            continue
        assert several.least_cycle(line, schedule.cycle) == schedule.cycle, line
        problem = line.problem()
        assert replay(problem, schedule).clean, line
        assert without is not None and without.cycle <= schedule.cycle
        seen["the same" if without.cycle == schedule.cycle else "longer"] += 1
        if without.cycle < schedule.cycle:
            # Without pads the schedule has less margin than asked for, and the checker says so.
            broken = {v.rule for v in replay(problem, without).violations}
            assert broken == {"margin"}, line
        if line.late:
            limits = slack_limits(plain.problem(), schedule)
            assert limits.least_for_good >= line.late, line
    assert chunk or (seen["the same"] and seen["longer"] > 2), seen


def lines_with_float(count: int) -> Iterator[several.TwoHoists]:
    """Lines drawn that ask for float and can be planned."""
    for seed in range(count):
        line = several.draw_margin(seed)
        try:
            build_instance(line.problem(), several=True)
        except (InputError, InfeasibleError):
            continue
        if line.late:
            yield line


def _on_time(moves: Any, *asked: Any) -> list[list[Any]]:
    """The moves of hoists that go on as though none were ever late."""
    return [
        [replace(own, end=own.end - own.late, late=0) for own in each] for each in moves(*asked)
    ]


def test_every_start_may_be_late_and_all_ways_stay_as_stated(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One start later for good, travels and all else on time: the checker's other rules hold.

    They do not where ways go on as soon as a move that is on time is over.
    """

    def broken(line: several.TwoHoists) -> int:
        schedule, plain = found(line), replace(line, slack=0, late=0).problem()
        if schedule is None:
            return 0
        late = [later(schedule, number, line.late) for number in range(len(schedule.steps))]
        return sum(not replay(plain, each).clean for each in late)

    lines = list(lines_with_float(24))
    assert len(lines) > 10 and not any(map(broken, lines))
    monkeypatch.setattr(Path, "late_by", lambda path, ticks: path)
    monkeypatch.setattr(travels, "_moves", partial(_on_time, travels._moves))
    assert any(map(broken, lines))


def test_hoists_that_need_not_wait_for_late_ones_are_noticed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The checker, and only its rule on late hoists, finds what the model then leaves out."""
    own, refused = rule.apart, 0

    def without_float(hoists: Any, one: Any, other: Any) -> Any:
        if one.hoist != other.hoist:
            one, other = replace(one, pad=0), replace(other, pad=0)
        return own(hoists, one, other)

    monkeypatch.setattr(rule, "apart", without_float)
    monkeypatch.setattr(Path, "late_by", lambda path, ticks: path)
    monkeypatch.setattr(travels, "_moves", partial(_on_time, travels._moves))
    for line in lines_with_float(24):
        problem = line.problem()
        instance = build_instance(problem, several=True)
        schedule = least_cycle(instance, Clock(Effort(0.3, 1))).schedule
        if schedule is None or replay(problem, schedule).clean:
            continue
        with monkeypatch.context() as patch:
            patch.setattr(margin, "rooms_between", lambda plan: ())
            refused += replay(problem, schedule).clean
    assert refused


def test_the_demo_line_with_a_margin_and_a_scatter() -> None:
    """The cycle is longer than without, every start may be as late as asked, and figures tell
    what the schedule forgives under the scatter stated."""
    data = load_problem(PROBLEMS / "several" / "two_hoists.toml").to_data()
    asked = {"slack": 5, "float": 3}
    times = "move times triangular 0.99 1 1.05"
    problem = Problem.from_data({**data, "margin": asked, "scatter": {"times": times}})
    answer = use_case.solve(problem, (1,), effort=Effort(20, 1))
    result = answer.best
    assert result is not None and result.schedule is not None and result.margin is not None
    assert result.cycle_time == 277.2
    # What hoists need at the least with that margin, which leaves no ways at the bound.
    assert result.lower_bound is not None and 269.3 < result.lower_bound <= 277.2
    assert result.margin.scatter.times == (times,) and not result.margin.assumed
    assert result.margin.late.time >= 3 and result.margin.slack.time >= 5  # type: ignore[union-attr]
    least = use_case.solve(Problem.from_data(data), (1,), effort=Effort(20, 1)).best
    assert least is not None and least.margin is not None and least.schedule is not None
    assert least.margin.out_of_window.out > result.margin.out_of_window.out
    assert {v.rule for v in verify(problem, least.schedule)} == {"margin"}


def test_a_margin_that_cannot_be_kept_says_how_much_can() -> None:
    """The share told can be kept; where it is the most, a hundredth more cannot."""
    data = load_problem(PROBLEMS / "several" / "two_hoists.toml").to_data()
    data["cycle"] = {"max": 280}
    problem = Problem.from_data({**data, "margin": {"float": 7}})
    result = solve(problem, 1, time_limit=30, workers=1)
    assert result.status == "infeasible" and result.reason is not None
    told = re.search(r"At (most|least) (\d+) % of it", result.reason)
    assert told is not None
    share = int(told[2])
    assert 0 < share < 100
    part = Problem.from_data({**data, "margin": {"float": Decimal(7 * share) / 100}})
    assert solve(part, 1, time_limit=30, workers=1).schedule is not None
    if told[1] == "most":  # proved, where what is enough for hoists is needed too
        more = Problem.from_data({**data, "margin": {"float": Decimal(7 * share + 7) / 100}})
        assert solve(more, 1, time_limit=30, workers=1).schedule is None

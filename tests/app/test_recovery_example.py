"""The worked example of a recovery: the Quillhaven line after the hoist stood for five minutes."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Plan, Standing
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.problem import Problem
from hoistopt.solver.finite.recovery import LeastLoss
from tests.helpers.command import PROBLEMS

STATE = PROBLEMS / "days/five_minutes.toml"


@pytest.fixture
def line() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "quillhaven_anodising.toml")


def recovered(line: Problem, state: LineState) -> Plan:
    return hoistopt.plan(line, state=state, recover=True, effort=Effort(3, 2))


def test_the_cheaper_of_two_loads_is_given_up_besides_the_one_past_saving(line: Problem) -> None:
    assert STATE.read_text(encoding="utf-8").startswith("# Invented.")
    state = hoistopt.read_state(STATE, line)
    assert {entry.load: entry.weight for entry in state.standing}[21] == 3
    found = recovered(line, state)
    assert found.recovery is not None and found.replay is not None
    # In the etch for 310 s at least, of at most 95; and either 21 or 23 overstays.
    assert found.recovery.lost == (22, 23)
    assert found.recovery.weight == found.recovery.least_weight == 2
    assert hoistopt.replay_programme(line, found.replay.programme, state, [22]).violations
    assert hoistopt.replay_programme(line, found.replay.programme, state, [22, 23]).clean
    dear = tuple(
        replace(entry, weight=Fraction(9)) if entry.load == 23 else entry
        for entry in state.standing
    )
    other = recovered(line, replace(state, standing=dear)).recovery
    assert other is not None and other.lost == (21, 22) and other.weight == 4


def test_without_a_recovery_the_answer_says_why_not(line: Problem) -> None:
    state = hoistopt.read_state(STATE, line)
    found = hoistopt.plan(line, state=state, effort=Effort(10, 1))
    assert found.status == "infeasible" and found.recoverable and found.conflict is not None
    (demand,) = found.conflict.demands
    assert (demand.load, demand.kind, demand.stage) == (22, "maximum", 3)
    # Nothing is called possible of the whole line for which it is not: two others conflict too.
    assert found.conflict.without == (False,)
    assert [{d.load for d in others} for others in found.conflict.besides] == [{21, 23}]
    assert "Besides, these cannot be kept together" in str(found.reason)
    saved = replace(state, standing=tuple(e for e in state.standing if e.load != 22))
    found = hoistopt.plan(line, state=saved, effort=Effort(10, 1))
    assert found.status == "infeasible" and found.conflict is not None
    assert {d.load for d in found.conflict.demands} == {21, 23} and found.conflict.minimal
    assert found.conflict.without == (True, True) and not found.conflict.besides


def test_loads_overstay_as_little_where_the_fewest_lost_are_not_proved(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    line = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    # Either can be lifted in time, but not both.
    state = LineState(
        (
            Standing("Wash", 1, Between.of(138), "Cases", load=2),
            Standing("Rinse", 3, Between.of(80), "Cases", load=1),
        ),
        HoistAt("Rinse", Between.of(0)),
    )
    proved = recovered(line, state).recovery
    assert proved is not None and proved.proven and len(proved.lost) == 1 and proved.overstay
    search, asked = LeastLoss._minimise, []

    def unproved(self: Any, model: Any, aim: Any, clock: Clock) -> tuple[str, int]:
        asked.append(aim)
        return ("unknown", 0) if aim is model.lost else search(self, model, aim, clock)

    monkeypatch.setattr(LeastLoss, "_minimise", unproved)
    found = recovered(line, state).recovery
    assert found is not None and len(asked) == 2 and not found.proven
    assert (found.weight, found.least_weight) == (1, 0)
    assert found.overstay == found.least_overstay == proved.overstay


def test_where_nothing_need_be_lost_a_recovery_is_the_plain_question(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("the search for what to lose takes time from that for the finish")

    monkeypatch.setattr("hoistopt.planning.programme.recovered", never)
    line = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    standing = (Standing("Wash", 1, Between.of(100), "Cases", load=2),)
    state = LineState(standing, HoistAt("Rinse", Between.of(0)))
    plain = hoistopt.plan(line, state=state, effort=Effort(10, 1))
    found = hoistopt.plan(line, state=state, recover=True, effort=Effort(10, 1))
    assert plain.status == found.status == "optimal" and found.finish == plain.finish
    assert plain.recovery is None and found.recovery is not None
    assert not found.recovery.lost and found.recovery.proven

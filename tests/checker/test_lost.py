"""Loads that are given up: their overstays are named, and nothing else is let pass.

By hand, see small_line: In to Bath takes 12, Bath to Out 14, the empty hoist from Out to In 4;
the bath holds a load for 30 to 60.
"""

from __future__ import annotations

import json
from fractions import Fraction as F

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Programme, Standing, Step
from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from tests.helpers.lines.small_line import small_line

pytestmark = pytest.mark.quick

STATE = LineState(
    (Standing("Bath", 1, Between.of(50, 55), "A", load=5),), HoistAt("Bath", Between.of(0))
)


def line() -> Problem:
    data = json.loads(json.dumps(small_line().to_data(), default=float))
    data.pop("carriers")
    return Problem.from_data(data)


def moves(*made: tuple[float, str, str]) -> Programme:
    return Programme(F(2), tuple(Step(int(t * 2), a, b) for t, a, b in made))


def test_an_overstay_is_told_with_its_figures_and_refused_unless_named() -> None:
    late = moves((20, "Bath", "Out"))
    seen = hoistopt.replay_programme(line(), late, STATE)
    (one,) = seen.overstays
    # It stands until 20 and came 50 to 55 before: 70 to 75, of at most 60.
    assert (one.load, one.stage, one.station) == (5, 1, "Bath")
    assert (one.stood, one.most, one.by) == (Between.of(70, 75), 60, 15)
    assert one.certain and [v.rule for v in seen.violations] == ["window"]
    with pytest.raises(hoistopt.ProgrammeRefused):
        hoistopt.accepted_programme(line(), late, STATE)
    named = hoistopt.accepted_programme(line(), late, STATE, lost=[5])
    assert named.overstays == seen.overstays and named.lost == (5,)


def test_on_its_limit_a_load_is_not_lost_and_just_beyond_it_may_be() -> None:
    assert not hoistopt.replay_programme(line(), moves((5, "Bath", "Out")), STATE).overstays
    (one,) = hoistopt.replay_programme(line(), moves((5.5, "Bath", "Out")), STATE).overstays
    assert one.by == F(1, 2) and not one.certain


def test_all_other_rules_hold_for_a_load_that_is_named() -> None:
    fresh = LineState((Standing("Bath", 1, Between.of(10), "A", load=5),), STATE.hoist)
    early = moves((10, "Bath", "Out"))
    (fault,) = hoistopt.replay_programme(line(), early, fresh, lost=[5]).violations
    assert fault.rule == "window" and "too short" in fault.message


def test_a_load_that_enters_is_none_to_be_named_and_its_overstay_is_refused() -> None:
    # Load 5 is out at 34; the next one is lifted at 38, stands from 50 to 112: 62 of 60.
    both = moves((20, "Bath", "Out"), (38, "In", "Bath"), (112, "Bath", "Out"))
    seen = hoistopt.replay_programme(line(), both, STATE, lost=[5])
    assert [one.load for one in seen.overstays] == [5, 1]
    assert [v.found for v in seen.violations] == [62]
    for load in (1, 9):
        with pytest.raises(InputError, match="lost = "):
            hoistopt.replay_programme(line(), both, STATE, lost=[load])


def test_a_load_that_is_never_lifted_is_lost_as_well() -> None:
    (one,) = hoistopt.replay_programme(
        line(),
        moves((300, "In", "Bath")),
        LineState((Standing("Bath", 1, Between.of(0), "A", load=5),), STATE.hoist),
    ).overstays
    assert one.load == 5 and one.by == 312 - 60

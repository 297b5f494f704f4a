"""Schedules of two hoists with the most margin, against brute force with that margin asked for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hoistopt import InputError, accepted, load_problem, robust
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError
from tests.helpers.command import PROBLEMS
from tests.reference import several


def test_the_most_float_is_what_brute_force_allows() -> None:
    """So much can be had in a cycle no longer, and a tick more cannot, where no window is
    narrower than that."""
    compared = 0
    for seed in range(40):
        line = several.draw(seed)
        # No window is so narrow that it has less to give than the hoists.
        line = replace(line, stages=tuple((t, low, low + 20) for t, low, _ in line.stages))
        try:
            found = robust(line.problem(), 1, 10, ["float"], effort=Effort(20, 1))
        except (InputError, InfeasibleError):
            continue
        if found.status != "optimal" or found.schedule is None or found.shortest.cycle_time is None:
            continue
        longest = int(found.shortest.cycle_time * 110 / 100)
        most = int(found.aims[0].value)
        if most > 3:
            continue  # brute force takes long
        asked = replace(line, late=most)
        assert accepted(asked.problem(), found.schedule).clean
        least = several.least_cycle(asked, longest)
        assert least == found.schedule.cycle, line
        assert several.least_cycle(replace(line, late=most + 1), longest) is None, line
        compared += 1
        if compared == 2:
            break
    assert compared == 2


def test_the_demo_line_has_more_float_in_a_longer_cycle() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    found = robust(problem, 1, 5, ["float", "slack"], effort=Effort(6, 1))
    assert found.schedule is not None and found.limits is not None
    assert [aim.name for aim in found.aims] == ["float", "slack", "cycle"]
    assert found.aims[0].value >= 3
    assert found.limits.time(found.limits.least_for_good) >= found.aims[0].value


def test_aims_of_one_hoist_are_refused_in_one_line() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    with pytest.raises(InputError, match="slack, float, cycle, for a line with several hoists"):
        robust(problem, 1, 5, ["travel"])

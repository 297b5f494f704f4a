"""Schedules of two hoists with the most margin, against brute force with that margin asked for."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial
from itertools import pairwise

import pytest

from hoistopt import (
    InputError,
    Problem,
    Result,
    Schedule,
    accepted,
    load_problem,
    robust,
    slack_limits,
    solve,
    tradeoff,
    window_curve,
)
from hoistopt.analysis.robust.start import least_of
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError
from tests.helpers.command import PROBLEMS
from tests.helpers.hoists.two_hoists import five_tanks
from tests.reference.several import several


@cache
def five_solved() -> tuple[Problem, Result]:
    """A line and its solution, for all who ask."""
    return five_tanks(), solve(five_tanks(), 1, effort=Effort(4, 1))


def test_the_most_float_is_what_brute_force_allows() -> None:
    """So much can be had in a cycle no longer, and a tick more cannot, where no window is
    narrower than that."""
    compared = 0
    # The first two are soon done by brute force; one has no float and the other has some.
    for seed in (2, 28, *range(3, 28)):
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


@pytest.mark.parametrize("aim", ["loads", "nominal"])
def test_loads_and_dwells_come_to_what_brute_force_finds(aim: str) -> None:
    values: list[int | None] = []
    for seed in range(40):
        line = several.draw(seed)
        within = 6 + seed % 2 * 80
        nominal = [low + seed % 4 for _, low, _ in line.stages]
        if len(line.stages) > 2:
            continue  # brute force takes long
        try:
            data = line.problem().to_data()
        except InputError:
            continue
        for stage, aimed in zip(data["recipe"][0]["stage"], nominal, strict=True):
            stage["max"] = max(stage["max"], aimed)
            stage["nominal"] = aimed
        line = replace(
            line,
            stages=tuple(
                (tanks, low, max(high, aimed))
                for (tanks, low, high), aimed in zip(line.stages, nominal, strict=True)
            ),
        )
        try:
            found = robust(Problem.from_data(data), 1, within, [aim], effort=Effort(20, 1))
        except (InputError, InfeasibleError):
            continue
        if found.status != "optimal" or found.shortest.cycle_time is None:
            continue
        longest = int(found.shortest.cycle_time * (100 + within) / 100)
        if aim == "loads":
            value = partial(several.most_in_process, line)
        else:
            value = partial(several.off_nominal, line, nominal)
        best = several.best_of(line, longest, value)
        assert found.aims[0].value == best, line
        values.append(best)
        if len(values) == 8:
            break
    assert len(values) == 8 and len(set(values)) >= 2


def test_an_aim_that_several_hoists_cannot_have_is_refused_in_one_line() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    with pytest.raises(InputError, match="nominal, loads, cycle, window, for a line with several"):
        robust(problem, 1, 5, ["travel"])


def test_a_schedule_given_is_the_one_that_is_started_from() -> None:
    """Whatever move its table begins with, and however its loads are numbered."""
    problem, solved = five_solved()
    assert solved.schedule is not None
    turned = turned_by(solved.schedule, 37)
    assert accepted(problem, turned).clean
    start = least_of(problem, 1, turned, Effort(1, 1))
    assert start.schedule == solved.schedule
    found = robust(problem, 1, 5, ["float"], turned, effort=Effort(2, 1))
    assert found.schedule is not None
    assert found.schedule.cycle <= solved.schedule.cycle * 105 // 100


def test_the_curve_rises_and_every_schedule_of_it_keeps_its_margin() -> None:
    problem, solved = five_solved()
    found = tradeoff(problem, 1, 8, 3, "float", solved, effort=Effort(2, 1))
    assert len(found.points) >= 2
    for before, after in pairwise(found.points):
        assert after.margin > before.margin and after.cycle_time > before.cycle_time
    for point in found.points:
        seen = accepted(problem, point.schedule)
        limits = slack_limits(problem, point.schedule, seen)
        # The windows of the line are all wider than that.
        assert limits.time(limits.least_for_good) >= point.margin
        assert not point.proven or seen.clean


def test_fewer_loads_out_of_window_in_a_longer_cycle() -> None:
    # So much scatter that no schedule of the least cycle time keeps every load in its window.
    scatter = {"times": ["move times triangular 0.9 1 1.5"]}
    problem = Problem.from_data({**five_tanks().to_data(), "scatter": scatter})
    solved = solve(problem, 1, effort=Effort(4, 1))
    curve = window_curve(problem, 1, 10, 4, solved, effort=Effort(6, 1))
    shares = [point.margin.out_of_window.share for point in curve.points]
    assert len(shares) >= 2 and shares == sorted(shares, reverse=True)
    assert shares[-1] < shares[0]
    for point in curve.points:
        assert accepted(problem, point.schedule).clean


def turned_by(schedule: Schedule, later: int) -> Schedule:
    """The same schedule counted from a moment so many ticks later on."""
    cycle = schedule.cycle
    turns = {(step.load, step.stage): (step.start - later) // cycle for step in schedule}
    steps = []
    for step in schedule:
        boundaries = step.boundaries
        if boundaries is not None:
            key = (step.load, (step.stage or 0) - 1)
            boundaries += turns[step.load, step.stage] - turns[key]
        steps.append(replace(step, start=(step.start - later) % cycle, boundaries=boundaries))
    travels = [replace(travel, start=(travel.start - later) % cycle) for travel in schedule.travels]
    return replace(
        schedule,
        steps=tuple(steps),
        travels=tuple(sorted(travels, key=lambda travel: travel.start)),
    )

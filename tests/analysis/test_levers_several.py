"""Levers of lines with two hoists, against brute force on every changed line."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from hoistopt import InputError, find_levers, load_problem, solve, verify
from hoistopt.analysis.levers.answer import Lever
from hoistopt.app import levers as asked
from hoistopt.base.effort import Effort
from hoistopt.instance.edits import with_hoist, with_quicker_hoist
from hoistopt.show.levers.data import levers_table
from tests.helpers.command import PROBLEMS
from tests.helpers.usual import each
from tests.reference.several import several

CHUNK = 4
"""Lines drawn in a chunk."""


def changed(line: several.TwoHoists, lever: Lever, figure: Decimal) -> several.TwoHoists:
    """The drawn line with the figure of a lever changed."""
    limit, new = lever.limit, int(figure)
    if limit.kind == "rest":
        rests = {**dict(line.rests), limit.station: new}
        return replace(line, rests=tuple(rests.items()))
    stages = list(line.stages)
    tanks, low, high = stages[limit.stage - 1]
    stages[limit.stage - 1] = (tanks, new, high) if limit.kind == "min" else (tanks, low, new)
    return replace(line, stages=tuple(stages))


def least(line: several.TwoHoists, lever: Lever, figure: Decimal, today: int) -> int:
    """The least cycle with the figure of a lever changed, or today's where that is shorter."""
    return several.least_cycle(changed(line, lever, figure), today) or today


@pytest.mark.parametrize("chunk", each(1, range(60)))
def test_every_lever_moves_the_cycle_as_far_as_brute_force_says(chunk: int) -> None:
    """At the amount asked for, and at no figure before the threshold, also of rests."""
    checked = helpful = never = 0
    for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK):
        line = several.draw_resting(seed) if seed % 3 == 0 else several.draw(seed)
        try:
            found = find_levers(line.problem(), 1, 2, 0, time_limit=30, workers=1)
        except InputError:  # a station that no hoist reaches
            continue
        if found.status != "optimal":
            continue
        assert found.cycle_time is not None
        today = int(found.cycle_time)
        for lever in found.levers:
            if lever.limit.kind not in ("min", "max", "rest"):
                continue

            assert lever.proven and lever.threshold is not None, (line, lever.words)
            assert lever.cycle_time == least(line, lever, lever.new, today), (line, lever.words)
            checked += 1
            helpful += lever.gain_least > 0
            if lever.gain_least > 0:
                assert lever.problem is not None and lever.schedule is not None
                assert verify(lever.problem, lever.schedule) == ()
            pays = lever.threshold.pays
            most = 4 if lever.limit.room is None else min(4, int(lever.limit.room))
            steps = most if pays is None else min(most, int(abs(pays - lever.limit.today)) - 1)
            for by in range(1, steps + 1):
                assert least(line, lever, lever.limit.given(Decimal(by)), today) == today, (
                    line,
                    lever.words,
                    by,
                )
            if pays is not None:
                assert least(line, lever, pays, today) < today, (line, lever.words)
            never += lever.threshold.never
    assert chunk or (checked > 5 and helpful and never)


def test_changing_the_figure_and_solving_again_gives_the_cycle_told() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    found = find_levers(problem, workers=1, time_limit=12)
    assert found.status == "optimal" and float(found.cycle_time) == solve(problem).cycle_time  # type: ignore[arg-type]
    hoists = {(x.limit.kind, x.limit.hoist): x for x in found.levers if x.limit.kind != "min"}
    assert {("hoist", ""), ("hoist", "Upstream"), ("lift", "Downstream")} < hoists.keys()
    assert not any(kind == "move" for kind, _ in hoists)
    best = found.levers[0]
    assert best.limit.name == "minimum of Zinc 1 or 2" and best.gain_least == 24
    for lever in (best, hoists["lift", "Downstream"]):
        assert lever.proven and lever.gain_least > 0
        again = solve(lever.limit.changed(problem, lever.new), workers=1)
        assert again.status == "optimal" and again.cycle_time == float(lever.cycle_time)
        assert verify(lever.problem, lever.schedule) == ()  # type: ignore[arg-type]


def test_one_of_several_hoists_is_changed_and_no_other() -> None:
    problem = load_problem(PROBLEMS / "several" / "two_hoists.toml")
    up, down = with_hoist(problem, "Downstream", lift=Decimal(5)).hoists
    assert (up.lift, down.lift) == (8, 5)
    up, down = with_quicker_hoist(problem, Fraction(1, 5), "Upstream").hoists
    assert (up.lift, up.loaded.speed) == (Decimal("6.4"), Decimal("0.625"))  # type: ignore[union-attr]
    assert down == problem.hoists[1]
    both = with_quicker_hoist(problem, Fraction(1, 5)).hoists
    assert both[0].lift == both[1].lift == Decimal("6.4")


def test_the_answer_names_hoists_and_warns_of_them() -> None:
    answer = asked.levers(several.draw(5).problem(), by=2, effort=Effort(3, 1))
    rows = levers_table(answer.found)
    column = list(rows.header).index("hoist")
    assert {row[column] for row in rows.rows} == {None, "A", "B"}
    assert {x["hoist"] for x in answer.data()["levers"]} == {None, "A", "B"}
    assert any("no anti-collision system" in caution for caution in answer.cautions())

"""The diagram of a programme shows what the checker saw of it, and nothing else."""

from __future__ import annotations

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Order, Standing
from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.checker import ProgrammeReplay
from hoistopt.show.programme.figure import draw_programme
from tests.helpers.command import PROBLEMS


def planned(name: str, state: LineState | None = None) -> ProgrammeReplay:
    problem = hoistopt.load_problem(PROBLEMS / f"{name}.toml")
    orders = [Order(recipe.name, 2) for recipe in problem.recipes]
    seen = hoistopt.plan(problem, orders, state, workers=1, time_limit=5).replay
    assert seen is not None
    return seen


@pytest.mark.parametrize("name", ["mixed_recipes", "parallel_tanks", "roomy_dryer"])
def test_every_stay_is_a_bar_and_every_move_a_line(name: str) -> None:
    seen = planned(name)
    figure = draw_programme(seen)
    (ax,) = figure.axes
    bars = [patch for patch in ax.patches if patch.get_gid() == "stay"]
    drawn = sorted((bar.get_x(), bar.get_x() + bar.get_width()) for bar in bars)  # type: ignore[attr-defined]
    meant = sorted((float(stay.since.most), float(stay.until or 0)) for stay in seen.stays)
    assert [time for span in drawn for time in span] == pytest.approx(
        [time for span in meant for time in span]
    )
    for one in bars:  # none lies over another
        for other in bars:
            apart = one is other or not one.get_bbox().overlaps(other.get_bbox())  # type: ignore[attr-defined]
            touch = min(
                abs(one.get_x() + one.get_width() - other.get_x()),  # type: ignore[attr-defined]
                abs(other.get_x() + other.get_width() - one.get_x()),  # type: ignore[attr-defined]
            )
            assert apart or touch < 1e-9
    loaded = [line for line in ax.lines if line.get_gid() == "loaded"]
    spans = sorted((line.get_xdata()[0], line.get_xdata()[1]) for line in loaded)  # type: ignore[index]
    runs = sorted((float(run.start), float(run.end)) for run in seen.runs)
    assert [time for span in spans for time in span] == pytest.approx(
        [time for span in runs for time in span]
    )
    names = [label.get_text() for label in ax.get_yticklabels()]
    assert len(set(names)) == len(names)
    foot = next(text for text in figure.texts if text.get_gid() == "footer")
    assert STANDING[:40] in foot.get_text().replace("\n", " ")


def test_a_beginning_in_doubt_is_broken() -> None:
    state = LineState(
        (
            Standing("Wash", 1, Between.of(40, 70), "Cases"),
            Standing("Dryer", 4, Between.of(10), "Cases"),
        ),
        HoistAt("Rinse", Between.of(0)),
    )
    ax = draw_programme(planned("three_tanks_dryer", state)).axes[0]
    styles = [p.get_linestyle() for p in ax.patches if p.get_gid() == "stay" and p.get_x() == 0]  # type: ignore[attr-defined]
    assert sorted(styles) == ["-", "--"]


def test_a_programme_into_a_cycle_shows_where_that_begins() -> None:
    problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    cycle = hoistopt.solve(problem, workers=1, seed=0).schedule
    assert cycle is not None
    plan = hoistopt.plan(problem, to=cycle, workers=1, time_limit=20)
    assert plan.replay is not None
    (ax,) = draw_programme(plan.replay).axes
    assert any("upright: the cycle begins" in text.get_text() for text in ax.texts)
    (mark,) = [line for line in ax.lines if line.get_gid() == "joining"]
    assert list(mark.get_xdata()) == [float(plan.in_step)] * 2  # type: ignore[arg-type]
    assert f"from {plan.in_step:g} s on" in ax.get_title(loc="left")
    # A load set down as the last move ends has no bar, and so no name outside of one.
    bars = [patch for patch in ax.patches if patch.get_gid() == "stay"]
    names = [text for text in ax.texts if text.get_gid() == "load"]
    assert len(bars) == len(names) and all(bar.get_width() > 0 for bar in bars)


def test_the_name_of_a_lost_load_is_not_cut_off() -> None:
    state = LineState(
        (Standing("Wash", 1, Between.of(151), "Cases", load=7),), HoistAt("Wash", Between.of(9))
    )
    problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    plan = hoistopt.plan(problem, (), state, recover=True, workers=1, time_limit=20)
    assert plan.replay is not None
    figure = draw_programme(plan.replay)
    (ax,) = figure.axes
    figure.draw_without_rendering()
    (name,) = [text for text in ax.texts if text.get_text() == "L7 lost"]
    assert ax.bbox.x0 <= name.get_window_extent().x0
    assert name.get_window_extent().x1 <= ax.bbox.x1
    assert f"finish {plan.finish:g} s; LOST: 7" in ax.get_title(loc="left")

"""The time-way diagram: what is drawn and where."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.base.errors import InputError
from hoistopt.checker.record import Violation
from hoistopt.show.timeway import draw_timeway
from hoistopt.show.timeway.lanes import BAR
from hoistopt.show.timeway.scene import scene_of
from tests.helpers.shown.drawn_line import (
    CYCLE,
    long_line,
    one_at_a_time,
    twin_line,
    twin_replay,
    twin_schedule,
)
from tests.helpers.shown.drawn_parts import drawn, line_points, paths, rectangles, texts

# -- the hand-worked line ----------------------------------------------------------


def test_every_stay_in_view_is_a_bar_from_set_down_to_lifted() -> None:
    spans = sorted((r.get_x(), r.get_x() + r.get_width()) for r in rectangles(drawn()))
    twin = [(-50, 70), (50, 170), (150, 270)]
    out = [(80, 95), (180, 195)]
    assert spans == sorted([(10, 40), (110, 140), *twin, *out])


def test_bars_over_the_edges_are_cut_off_there() -> None:
    ax = drawn()
    assert ax.get_xlim() == (0, 200)
    assert all(bar.get_clip_on() for bar in rectangles(ax))


def test_the_window_is_marked_where_it_opens_and_where_it_would_close() -> None:
    ax = drawn()
    assert sorted(x for x, _ in line_points(ax, "min")) == [30, 50, 95, 130, 150, 195, 250]
    # Wash may be left until 50 though its bar ends at 40; nothing else has a greatest time.
    assert [x for x, _ in line_points(ax, "max")] == [50, 150]


def test_the_window_line_runs_to_its_end_or_along_with_the_bar() -> None:
    spans = {tuple(x for x, _ in path) for path in paths(drawn(), "windows")}
    # Wash: 30 to 50, though lifted at 40. Twin, without a greatest time: until lifted.
    assert {(30, 50), (130, 150), (50, 70), (150, 170)} <= spans


def test_marks_stand_below_their_own_bar_and_above_the_next_one() -> None:
    ax = drawn()
    tops = sorted({bar.get_y() for bar in rectangles(ax)})
    for x, y in line_points(ax, "min"):
        above = max(top for top in tops if top < y)
        assert any(
            bar.get_y() == above and bar.get_x() <= x <= bar.get_x() + bar.get_width()
            for bar in rectangles(ax)
        )
        assert above + BAR < y < min([top for top in tops if top > y], default=99)


def test_loaded_moves_lift_then_travel_then_lower() -> None:
    first = paths(drawn(), "loaded")[0]
    assert [x for x, _ in first] == [0, 4, 6, 10]
    heights = [y for _, y in first]
    assert heights[0] == heights[1] < heights[2] == heights[3]


def test_a_load_drips_over_its_station_before_it_travels() -> None:
    replay = twin_replay(twin_line())
    runs = tuple(replace(run, lift=F(3), drip=F(1)) for run in replay.runs)
    first = paths(drawn(replace(replay, runs=runs)), "loaded")[0]
    assert [x for x, _ in first] == [0, 4, 6, 10]


def test_a_move_of_unknown_parts_is_one_straight_line() -> None:
    replay = twin_replay(twin_line())
    runs = tuple(replace(run, lift=None, travel=None, lower=None) for run in replay.runs)
    first = paths(drawn(replace(replay, runs=runs)), "loaded")[0]
    assert [x for x, _ in first] == [0, 10]


def test_empty_travel_and_waiting_fill_the_rest_of_the_time() -> None:
    ax = drawn()
    assert [[x for x, _ in path] for path in paths(ax, "empty")] == [[80, 86], [180, 186]]
    waits = [[x for x, _ in path] for path in paths(ax, "waiting")]
    assert waits == [[10, 40], [50, 70], [86, 100], [110, 140], [150, 170], [186, 200]]
    assert all(len({y for _, y in path}) == 1 for path in paths(ax, "waiting"))


def test_the_hoist_is_drawn_at_every_moment_and_never_jumps() -> None:
    problem = long_line(7, recipes=2)
    schedule, replay = one_at_a_time(problem)
    for ax in (drawn(), draw_timeway(problem, schedule, replay)):
        pieces = sorted(
            piece for kind in ("loaded", "empty", "waiting") for piece in paths(ax, kind)
        )
        assert pieces[0][0][0] <= 0
        assert pieces[-1][-1][0] >= ax.get_xlim()[1]
        for before, after in pairwise(pieces):
            assert before[-1] == after[0]


def test_each_loaded_move_joins_the_bar_it_empties_to_the_bar_it_fills() -> None:
    problem = long_line(6)
    ax = draw_timeway(problem, *one_at_a_time(problem))
    ends = {bar.get_x() + bar.get_width() for bar in rectangles(ax)}
    begins = {bar.get_x() for bar in rectangles(ax)}
    moves = paths(ax, "loaded")
    assert len(moves) == 10
    for move in moves:
        lifted, lowered = move[0][0], move[-1][0]
        assert lifted in ends or lifted % (ax.get_xlim()[1] / 2) == 0
        assert lowered in begins or move[-1][1] == max(y for path in moves for _, y in path)


def test_two_carriers_in_one_station_have_rows_of_their_own() -> None:
    rows = {bar.get_x(): bar.get_y() for bar in rectangles(drawn())}
    assert rows[-50] == rows[150] != rows[50]


def test_restarts_are_marked_and_the_cycles_named() -> None:
    ax = drawn()
    restarts = [line for line in ax.lines if line.get_gid() == "restart"]
    assert [line.get_xdata()[0] for line in restarts] == [0, 100, 200]
    assert texts(ax, "cycle") == ["cycle 1", "cycle 2"]
    assert drawn(cycles=3).get_xlim() == (0, 300)


def test_restarts_survive_cycle_times_that_floats_round() -> None:
    problem, third = twin_line(), F(1, 3)
    replay = twin_replay(problem)
    longer = replace(replay, cycle_time=CYCLE + third)
    schedule = replace(twin_schedule(problem), cycle=301, ticks_per_unit=F(3))
    assert texts(draw_timeway(problem, schedule, longer, cycles=1), "cycle") == ["cycle 1"]


def test_the_title_says_what_the_cycle_amounts_to() -> None:
    ax = drawn()
    assert texts(ax, "title") == ["Twin line"]
    (facts,) = texts(ax, "facts")
    assert facts.split("   ·   ") == [
        "cycle time 100 s",
        "1 load per cycle (degree 1)",
        "3 moves",
        "3 carriers",
    ]
    problem = long_line(4, recipes=2)
    schedule, replay = one_at_a_time(problem)
    (facts,) = texts(draw_timeway(problem, schedule, replay), "facts")
    assert "2 loads per cycle (degree 1)" in facts
    assert f"one load every {schedule.cycle // 2} s" in facts
    three = long_line(4, recipes=3)
    schedule, replay = one_at_a_time(three)
    cycle = 3 * (schedule.cycle // 3) + 1  # a third of which is not told as more than it is
    longer = replace(replay, cycle_time=schedule.time(cycle))
    drawing = draw_timeway(three, replace(schedule, cycle=cycle), longer, cycles=1)
    (facts,) = texts(drawing, "facts")
    assert "3 loads per cycle (degree 1)" in facts and f"one load every {cycle // 3}.33 s" in facts


def test_the_foot_says_that_this_is_no_safety_function() -> None:
    (foot,) = texts(drawn(), "footer")
    assert "not a safety function" in foot
    assert STANDING in foot.replace("\n", " ")
    assert "dwell in s" in foot


@pytest.mark.parametrize(
    ("width", "wash"),
    [
        (12, [("load", "L1 · 30")] * 2),
        (2, [("load", "L1"), ("beside", "30")] * 2),
        (0.5, []),
    ],
    ids=["wide", "small", "tiny"],
)
def test_bars_tell_load_and_dwell_in_them_or_beside_them(
    width: float, wash: list[tuple[str, str]]
) -> None:
    ax = Figure(figsize=(width, 4)).add_axes((0, 0, 1, 1))
    drawn(ax=ax)
    row = next(bar.get_y() for bar in rectangles(ax) if bar.get_x() == 10) + BAR / 2
    shown = [text for text in ax.texts if text.get_gid() in ("load", "beside")]
    assert [
        (text.get_gid(), text.get_text()) for text in shown if text.get_position()[1] == row
    ] == wash


def test_labels_stay_within_the_visible_part_of_their_bar() -> None:
    ax = drawn()
    FigureCanvasAgg(ax.figure).draw()
    boxes = [bar.get_window_extent() for bar in rectangles(ax)]
    frame = ax.get_window_extent()
    for text in ax.texts:
        if text.get_gid() == "load":
            box = text.get_window_extent()
            assert frame.x0 <= box.x0 < box.x1 <= frame.x1
            assert any(b.x0 <= box.x0 < box.x1 <= b.x1 and b.y0 < box.y0 < b.y1 for b in boxes)


def test_a_label_stands_beside_a_loaded_move_that_crosses_its_bar() -> None:
    problem = twin_line()
    replay = twin_replay(problem)
    # The third move made to pass over Wash, half-way through its stay there.
    runs = tuple(
        replace(run, start=run.start - 50, end=run.end - 50, source="In", waited=F(0))
        if run.stage == 2
        else run
        for run in replay.runs
    )
    ax = drawn(replace(replay, runs=runs))
    (bar,) = [bar for bar in rectangles(ax) if bar.get_x() == 10]
    inside = [
        text.get_position()[0]
        for text in ax.texts
        if text.get_gid() == "load" and bar.get_bbox().contains(*text.get_position())
    ]
    assert inside
    assert abs(inside[0] - 25) > 1


def test_no_line_strikes_through_a_label_in_a_bar() -> None:
    ax = drawn()
    FigureCanvasAgg(ax.figure).draw()
    bars = {tuple(bar.get_bbox().bounds): bar for bar in rectangles(ax)}
    inside = [text for text in ax.texts if text.get_gid() == "load"]
    assert inside
    for text in inside:
        patch = text.get_bbox_patch()
        assert patch is not None
        at = text.get_position()
        (bar,) = [bar for bar in bars.values() if bar.get_bbox().contains(*at)]
        # Of the bar's colour, within the bar, and above the hoist's path and whatever hatches.
        assert patch.get_facecolor() == bar.get_facecolor()
        path = [line for line in ax.lines if line.get_gid() in ("loaded", "empty", "waiting")]
        assert text.get_zorder() > max(line.get_zorder() for line in path)
        box, whole = patch.get_window_extent(), bar.get_window_extent()
        assert whole.y0 <= box.y0 < box.y1 <= whole.y1


# -- broken and unsteady schedules ---------------------------------------------------


def test_broken_rules_are_marked_where_they_happen_and_counted() -> None:
    def broken(time: int, station: str) -> Violation:
        return Violation("window", "said elsewhere", station, 1, 1, F(time))

    found = (broken(140, "Wash"), broken(10, "Twin"))
    ax = drawn(replace(twin_replay(twin_line()), violations=found))
    # Told once, when the line was filling; shown in both cycles.
    marks = line_points(ax, "wrong")
    assert [x for x, _ in marks] == [40, 140, 10, 110]
    lanes = [text.xy[1] for text in ax.texts if text.get_gid() == "station"]
    assert [y for _, y in marks] == [lanes[1], lanes[1], lanes[2], lanes[2]]
    assert texts(ax, "warning") == ["REFUSED: 2 broken rules: do not run"]
    assert texts(drawn(), "warning") == []


def test_a_replay_that_never_repeats_is_shown_as_it_went() -> None:
    replay = replace(twin_replay(twin_line()), steady_cycles=0, steady_from=0)
    ax = drawn(replay)
    assert "no repeating cycle" in texts(ax, "facts")[0]
    assert texts(ax, "cycle") == []
    assert sorted(bar.get_x() for bar in rectangles(ax)) == [10, 50, 80, 110, 150, 180]


def test_a_carrier_that_is_not_seen_to_leave_stands_until_the_edge() -> None:
    replay = replace(twin_replay(twin_line()), steady_cycles=0, steady_from=0)
    stays = tuple(
        replace(stay, until=None, left_by=None) if stay.station == "Wash" else stay
        for stay in replay.stays
    )
    bars = scene_of(twin_line(), replace(replay, stays=stays)).bars
    assert [bar.until for bar in bars if bar.station == "Wash"] == [201, 201]


def test_a_stay_of_no_time_is_drawn_only_where_a_time_is_asked_for() -> None:
    replay = twin_replay(twin_line())
    stays = tuple(
        replace(stay, least=F(0)) if stay.station == "Out" else replace(stay, until=stay.since)
        for stay in replay.stays
    )
    bars = scene_of(twin_line(), replace(replay, stays=stays)).bars
    assert {bar.station for bar in bars} == {"Wash", "Twin"}


def test_what_cannot_be_drawn_is_refused() -> None:
    problem = twin_line()
    replay = twin_replay(problem)
    with pytest.raises(InputError, match="could be replayed"):
        drawn(replace(replay, runs=()))
    for cycles in (0, -1, 21):
        with pytest.raises(InputError, match="1 to 20 cycles"):
            drawn(cycles=cycles)
    with pytest.raises(ValueError, match="another schedule"):
        drawn(replace(replay, cycle_time=F(99)))

"""The data behind the player: everything the checker saw, and nothing it did not see."""

from __future__ import annotations

from fractions import Fraction as F
from itertools import pairwise
from math import sqrt
from typing import Any

import pytest

from hoistopt.checker.record import HoistRun, Replay
from hoistopt.problem import Problem
from hoistopt.show.report import record
from hoistopt.show.report.case import Case
from hoistopt.show.report.motion import drawn_empty, drawn_move
from tests.helpers.shown.report_lines import solved
from tests.helpers.shown.report_pages import page_of, player_record

LINES = ("three_tanks_dryer", "quillhaven_anodising", "phillips_unger_1976", "mixed", "long")
Seen = tuple[Problem, Replay, dict[str, Any]]


@pytest.fixture(params=LINES)
def seen(request: pytest.FixtureRequest) -> Seen:
    problem, result = solved(request.param)
    assert result.replay is not None
    return problem, result.replay, player_record(page_of(request.param))


def test_every_run_is_there_with_its_times(seen: Seen) -> None:
    _, replay, data = seen
    names = [station["name"] for station in data["stations"]]
    runs = sorted(replay.runs, key=lambda run: run.start)
    assert len(data["runs"]) == len(runs)
    for told, run in zip(data["runs"], runs, strict=True):
        assert (names[told["from"]], names[told["to"]]) == (run.source, run.target)
        assert (told["step"], told["carrier"], told["load"]) == (run.step, run.carrier, run.load)
        assert data["recipes"][told["recipe"]]["name"] == run.recipe
        for key in ("start", "end", "waited"):
            assert told[key] == pytest.approx(float(getattr(run, key)), abs=1e-6)
        assert told["empty"][0] == pytest.approx(float(run.empty), abs=1e-6)
        assert told["known"] == (run.lift is not None)
        whole = told["lift"] + told["drip"] + told["travel"][0]
        assert told["start"] + whole <= told["end"] + 1e-5


def test_every_stay_is_there_with_its_window(seen: Seen) -> None:
    _, replay, data = seen
    names = [station["name"] for station in data["stations"]]

    def key(carrier: int, station: str, since: float) -> tuple[int, str, float]:
        return carrier, station, round(since, 4)

    told = {key(s["carrier"], names[s["station"]], s["since"]): s for s in data["stays"]}
    assert len(told) == len(data["stays"]) == len(replay.stays)
    for stay in replay.stays:
        found = told[key(stay.carrier, stay.station, float(stay.since))]
        assert found["least"] == pytest.approx(float(stay.least))
        assert found["most"] == (None if stay.most is None else pytest.approx(float(stay.most)))
        if stay.until is not None:
            assert found["until"] == pytest.approx(float(stay.until), abs=1e-6)


def test_no_two_carriers_share_a_place(seen: Seen) -> None:
    _, _, data = seen
    by_place: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for stay in data["stays"]:
        assert 0 <= stay["place"] < data["stations"][stay["station"]]["places"]
        times = (stay["since"], stay["until"])
        by_place.setdefault((stay["station"], stay["place"]), []).append(times)
    for times in by_place.values():
        for (_, until), (since, _) in pairwise(sorted(times)):
            assert until <= since + 1e-5


def test_a_tank_has_no_more_places_than_its_capacity(seen: Seen) -> None:
    problem, _, data = seen
    for station in data["stations"]:
        capacity = problem.station_by_name[station["name"]].capacity
        assert capacity == "unlimited" or station["places"] <= capacity


def test_the_parts_of_the_run_join(seen: Seen) -> None:
    _, replay, data = seen
    parts = {part["id"]: (part["from"], part["to"]) for part in data["parts"]}
    cycle = float(replay.cycle_time)
    assert parts["all"][0] == parts["fill"][0] == 0
    assert parts["fill"][1] == parts["steady"][0] == pytest.approx(replay.steady_from * cycle)
    assert parts["steady"][1] == parts["run-out"][0]
    assert parts["steady"][1] == pytest.approx((replay.steady_from + replay.steady_cycles) * cycle)
    assert parts["run-out"][1] == parts["all"][1] >= float(max(run.end for run in replay.runs))


def test_stations_stand_in_track_order_at_their_positions(seen: Seen) -> None:
    problem, _, data = seen
    places = [station["x"] for station in data["stations"]]
    assert places == sorted(places)
    assert data["scaled"]
    for station in data["stations"]:
        assert F(str(station["x"])) == F(problem.station_by_name[station["name"]].position or 0)


def test_a_huge_run_is_cut_to_its_steady_cycles(monkeypatch: pytest.MonkeyPatch) -> None:
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None and result.replay is not None
    monkeypatch.setattr(record, "MOST_RUNS", 10)
    data = record.player_data(Case(problem, result.schedule, result.replay))
    (part,) = data["parts"]
    assert part["id"] == "steady"
    assert len(data["runs"]) == 1 + result.replay.steady_cycles * len(result.schedule)
    assert data["runs"][0]["start"] < part["from"] <= data["runs"][1]["start"]
    assert all(stay["until"] > part["from"] for stay in data["stays"])
    assert all(stay["since"] < part["to"] for stay in data["stays"])


def test_without_positions_the_line_is_drawn_evenly_and_says_so() -> None:
    problem, result = solved("phillips_unger_1976")
    data = problem.to_data()
    for station in data["station"]:
        del station["position"]
    # Where a table says every time, a line needs no positions.
    bare = Problem.from_data(data)
    from hoistopt.checker import replay
    from hoistopt.show.report import report_html

    assert result.schedule is not None
    page = report_html(bare, result.schedule, replay(bare, result.schedule))
    told = player_record(page)
    assert not told["scaled"]
    assert [station["x"] for station in told["stations"]] == list(range(13))
    assert "Not to scale: positions not given." in page


# -- how travel is drawn ---------------------------------------------------------------


def physics(**hoist: Any) -> Problem:
    """Stations 4 and 1 apart; the third has a settling time of its own."""
    motion = {"speed": 2, "acceleration": 1, "settling": 3, **hoist}
    return Problem.from_data(
        {
            "name": "Physics",
            "hoist": {"lift": 5, "lower": 7, "loaded": motion, "empty": motion},
            "station": [
                {"name": "A", "kind": "load-unload", "position": 0},
                {"name": "B", "position": 4},
                {"name": "C", "position": 5, "settling": 1},
            ],
            "recipe": [{"name": "R", "stage": [{"station": n, "min": 10} for n in ("B", "C")]}],
        }
    )


def moved(problem: Problem, source: str, target: str) -> HoistRun:
    """The checker's own record of that move, on the way one load takes alone."""
    from hoistopt.checker import replay
    from hoistopt.schedule import Schedule, Step

    steps = (Step(0, "A", "B"), Step(100, "B", "C"), Step(200, "C", "A"))
    seen = replay(problem, Schedule(400, F(1), steps))
    return next(run for run in seen.runs if (run.source, run.target) == (source, target))


def test_a_long_way_reaches_top_speed_a_short_one_does_not() -> None:
    """By hand: 4 at top speed 2 and acceleration 1 takes 2 speeding up, no time at top
    speed, 2 braking; a way of 1 takes 1 up and 1 down."""
    problem = physics()
    far = drawn_move(problem, moved(problem, "A", "B")).travel
    assert (far.time, far.ramp, far.settling) == (4 + 3, 2, 3)
    near = drawn_move(problem, moved(problem, "B", "C")).travel
    assert (near.time, near.ramp, near.settling) == (2 + 1, 1, 1)


def test_without_acceleration_there_is_no_ramp() -> None:
    problem = physics(acceleration=None)
    far = drawn_move(problem, moved(problem, "A", "B")).travel
    assert (far.time, far.ramp, far.settling) == (2 + 3, 0, 3)


def test_a_short_way_with_an_endless_root_keeps_the_checkers_time() -> None:
    problem = physics(acceleration=F(3, 10).__float__())
    near = drawn_move(problem, moved(problem, "B", "C")).travel
    assert float(near.time - near.settling) == pytest.approx(2 * sqrt(1 / 0.3))
    assert near.ramp * 2 == near.time - near.settling


def test_empty_travel_settles_too() -> None:
    """The dryer of the demo line has a settling time of its own, the others the hoist's."""
    problem, result = solved("quillhaven_anodising")
    assert result.replay is not None
    settled = set()
    for run in result.replay.runs:
        travel = drawn_empty(problem, run)
        assert travel.time == run.empty
        if run.came_from not in (None, run.source):
            settled.add((run.source == "Dryer", travel.settling))
    assert settled == {(True, F(3)), (False, F(1, 2))}


def test_only_the_total_of_a_move_from_a_table_is_known() -> None:
    problem, result = solved("phillips_unger_1976")
    assert result.replay is not None
    for run in result.replay.runs:
        drawn = drawn_move(problem, run)
        assert not drawn.known
        assert drawn.lift + drawn.drip + drawn.travel.time + drawn.lower == run.end - run.start
        assert drawn_empty(problem, run).ramp == 0

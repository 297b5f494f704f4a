"""The report of a programme, orders and the notebook's view of a plan, against the checker."""

from __future__ import annotations

import csv
import io
import json
import re
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Order, Problem, Programme, Standing, Travel
from hoistopt.checker.courses import hoists_at_first, travels_made
from hoistopt.checker.neighbours import neighbours_once
from hoistopt.planning.plan_result import Plan
from hoistopt.schedule import Carried
from hoistopt.show.programme.cautions import cautions
from hoistopt.show.programme.files import programme_data, programme_moves
from hoistopt.show.programme.orders import order_rows, spans
from hoistopt.show.programme.planned import PlannedAnswer
from tests.helpers.block.sequenced import HOSTILE, crowded, dryer, solved
from tests.helpers.command import PROBLEMS, Run
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.lines.checked_line import LOADED, usual_line

DAYS = PROBLEMS / "days"


@cache
def day() -> Plan:
    """The worked example of orders."""
    problem = hoistopt.load_problem(PROBLEMS / "mixed_recipes.toml")
    orders = hoistopt.read_orders(DAYS / "orders.csv", problem)
    return hoistopt.plan(problem, orders, workers=1, time_limit=20)


@cache
def stopped() -> Plan:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    state = hoistopt.read_state(DAYS / "stopped.toml", problem)
    return hoistopt.plan(problem, (), state, workers=1, time_limit=20)


def played(page: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="player-data">(.*?)</script>', page)
    assert found is not None
    data: dict[str, Any] = json.loads(found[1])
    return data


def text_of(page: str) -> str:
    plain = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.DOTALL)
    return " ".join(re.sub(r"<[^>]+>", " ", plain).split())


# -- the page ------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [day, stopped])
def test_the_player_has_every_move_and_stay_the_checker_saw(make: Any) -> None:
    plan = make()
    seen = plan.replay
    data = played(hoistopt.programme_html(seen, plan))
    assert data["once"] and data["parts"] == [
        {"id": "all", "name": "Whole programme", "from": 0, "to": float(seen.finish)}
    ]
    names = [station["name"] for station in data["stations"]]
    runs = [
        (r["step"], r["load"], names[r["from"]], names[r["to"]], r["start"], r["end"])
        for r in data["runs"]
    ]
    assert runs == [
        (run.step, run.load, run.source, run.target, float(run.start), float(run.end))
        for run in seen.runs
    ]
    stays = sorted((s["load"], s["since"], s["doubt"], s["least"]) for s in data["stays"])
    assert stays == sorted(
        (s.load, float(s.since.most), float(s.since.most - s.since.least), float(s.least))
        for s in seen.stays
    )
    for before, run in zip(data["runs"], data["runs"][1:], strict=False):
        way = seen.course.table.times.empty(names[before["to"]], names[run["from"]])
        exact = float(seen.course.table.clock.fraction(way))
        assert run["empty"][0] == pytest.approx(exact, abs=1e-6)
        assert before["end"] + run["empty"][0] + run["waited"] == pytest.approx(run["start"])


def test_the_page_tells_proof_orders_dwells_and_cautions() -> None:
    plan = day()
    assert plan.replay is not None and plan.problem is not None
    page = hoistopt.programme_html(plan.replay, plan)
    text = text_of(page)
    for words in (
        "Hoist programme",
        "Proved best",
        "K-101 Brass hinges 1-3",
        "not a safety function",
        "the very state it begins with",
        "Invented",
    ):
        assert words in text, words
    assert page.count('id="step-') == len(plan.replay.runs)
    assert "http-equiv" in page and "<script src" not in page and "@import" not in page


def test_a_dwell_in_doubt_is_told_as_a_range() -> None:
    plan = stopped()
    assert plan.replay is not None
    stay = next(s for s in plan.replay.stays if not s.since.exact)
    assert stay.until is not None
    low, high = stay.until - stay.since.most, stay.until - stay.since.least
    assert f"{float(low):g} to {float(high):g}" in text_of(hoistopt.programme_html(plan.replay))


def test_a_load_that_hangs_at_the_hoist_is_played_from_the_start() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    state = LineState(hoist=HoistAt("Rinse", Between.of(12), Carried("Cases", 2, load=7)))
    plan = hoistopt.plan(problem, (), state, workers=1, time_limit=20)
    assert plan.replay is not None
    first, second = played(hoistopt.programme_html(plan.replay))["runs"][:2]
    assert (first["step"], first["load"], first["start"], first["end"]) == (0, 7, 0, 12)
    assert first["from"] == first["to"] == second["from"] and second["step"] == 1


@cache
def two_hoists() -> Plan:
    """Two hoists after a stop: one brings a load and is there only roughly known, one is free."""
    problem = hoistopt.load_problem(PROBLEMS / "several/two_hoists.toml")
    state = LineState(
        standing=(Standing("Zinc 1", 5, Between.of(200, 230), "Brackets", load=4),),
        hoists=(
            HoistAt(
                "Rinse 1", Between.of(9, 12), Carried("Brackets", 1, load=7),
                name="Upstream", position=Fraction(3, 2),
            ),
            HoistAt("", Between.of(0), name="Downstream", position=Fraction(49, 4)),
        ),
    )  # fmt: skip
    return hoistopt.plan(problem, (), state, workers=1, time_limit=20)


def test_each_of_two_hoists_is_played_on_its_way() -> None:
    plan = two_hoists()
    seen = plan.replay
    assert seen is not None
    data = played(hoistopt.programme_html(seen, plan))
    ways = {hoist["name"]: hoist["way"] for hoist in data["hoists"]}
    assert [(h["number"], h["name"]) for h in data["hoists"]] == [
        (1, "Upstream"), (2, "Downstream"),
    ]  # fmt: skip
    places = {station["name"]: station["x"] for station in data["stations"]}
    for name, way in ways.items():
        corners = [corner for _, found in way for corner in found]
        assert corners[0] == [0, {"Upstream": 1.5, "Downstream": 12.25}[name]]
        assert corners[-1][0] >= data["parts"][0]["to"]
        for (_, ended), (_, begins) in pairwise(way):  # one stretch goes on where one ends
            assert begins[0] == pytest.approx(ended[-1], abs=1e-5)
        loaded = [found for kind, found in way if kind == "loaded"]
        runs = [run for run in data["runs"] if run["hoist"] == name]
        assert len(loaded) == len(runs)
        for corner, run in zip(loaded, runs, strict=True):
            assert corner[-1] == [run["end"], data["stations"][run["to"]]["x"]]
            if run["step"]:
                assert corner[0] == [run["start"], data["stations"][run["from"]]["x"]]
    first = data["runs"][0]
    assert (first["step"], first["hoist"], first["load"], first["end"]) == (0, "Upstream", 7, 12)
    assert places["Rinse 1"] == 3


def test_the_page_of_two_hoists_says_whose_each_move_is_and_how_near_they_come() -> None:
    plan = two_hoists()
    seen = plan.replay
    assert seen is not None
    page = hoistopt.programme_html(seen, plan)
    text = text_of(page)
    (pair,) = neighbours_once(seen)
    assert seen.problem.track is not None and pair.distance >= seen.problem.track.clearance
    for words in (
        "The hoists, side by side", "Least distances in the programme", "Travels to give way",
        "no anti-collision system", "Distance control stays in the machine",
        "1 Upstream 2 Downstream", "Hoists carry, mean",
    ):  # fmt: skip
        assert words in text, words
    rows = re.findall(r'<tr id="step-(\d+)">(.*?)</tr>', page, flags=re.DOTALL)
    told = {int(step): text_of(row).split()[2] for step, row in rows}
    assert told == {run.step: run.hoist for run in seen.runs}
    data = PlannedAnswer(seen.problem, plan).data()
    assert [(row["left"], row["right"]) for row in data["neighbours"]] == [
        ("Upstream", "Downstream")
    ]
    assert data["neighbours"][0]["distance"] == pytest.approx(float(pair.distance), abs=1e-3)


def test_where_two_hoists_are_at_first_is_told_of_a_state() -> None:
    plan = two_hoists()
    seen = plan.replay
    assert seen is not None
    page = hoistopt.programme_html(seen, plan)
    assert "Hoists at time 0" in text_of(page)
    up, down = programme_data(seen)["hoists_at_first"]
    assert (up["hoist"], up["position"], up["free"]) == ("Upstream", 1.5, 12)
    assert up["to"] != up["position"] and down["to"] == down["position"] == 12.25
    table = programme_moves(seen).csv([])
    assert "Hoists at time 0: Upstream at 1.5 m" in table


def test_without_a_state_hoists_begin_where_their_first_doing_does() -> None:
    """B stays at 10 by a travel of no length, which is not shown; C does nothing."""
    data = line().to_data()
    data["hoist"] = [*data["hoist"], {**data["hoist"][1], "name": "C"}]
    data["track"]["to"] = 14
    problem = Problem.from_data(data)
    travels = (
        Travel(Fraction(0), "B", Fraction(10)), Travel(Fraction(10), "A", Fraction(0)),
        Travel(Fraction(20), "B", Fraction(4)),
    )  # fmt: skip
    steps = handed_over(40).steps
    seen = hoistopt.replay_programme(problem, Programme(Fraction(1), steps, travels=travels))
    assert seen.clean, seen.violations
    assert [(at.name, at.here, at.there) for at in hoists_at_first(seen)] == [
        ("A", 0, 0),
        ("B", 10, 10),
        ("C", None, None),
    ]
    assert travels_made(seen) == travels[1:]
    assert "C does nothing, at the end of the track" in programme_moves(seen).csv([])


def test_a_refused_programme_has_no_page() -> None:
    problem, schedule = solved(dryer)
    good = hoistopt.unroll(schedule, 1)
    steps = list(good.steps)
    wrong = Programme(good.ticks_per_unit, (steps[0], *steps[2:]))
    with pytest.raises(hoistopt.ProgrammeRefused):
        hoistopt.programme_html(hoistopt.replay_programme(problem, wrong))


def test_names_of_the_user_stay_text_on_page_and_in_notebook() -> None:
    problem = crowded(HOSTILE)
    orders = [Order(HOSTILE["A"], order="<b>=1+1"), Order(HOSTILE["B"], order="@x")]
    plan = hoistopt.plan(problem, orders, workers=1, time_limit=20)
    assert plan.replay is not None
    for page in (hoistopt.programme_html(plan.replay, plan), plan._repr_html_()):
        assert "<b>=1+1" not in page and "<x>" not in page
        assert "&lt;b&gt;=1+1" in page
    text = PlannedAnswer(problem, plan).csv()
    assert text is not None
    for row in csv.reader(io.StringIO(text)):
        assert not any(cell[:1] in "=+-@" and cell[:1] and not _number(cell) for cell in row), row


def _number(cell: str) -> bool:
    return re.fullmatch(r"-?[0-9.]+", cell) is not None


def test_the_command_writes_the_report_of_a_programme(run: Run) -> None:
    problem = hoistopt.load_problem("line.toml")
    plan = hoistopt.plan(problem, [Order("Cases", count=2)], workers=1, time_limit=20)
    text = PlannedAnswer(problem, plan).csv()
    assert text is not None
    Path("day.csv").write_text(text)
    code, out, err = run("report", "line.toml", "day.csv", "day.html")
    assert (code, err) == (0, "") and "Wrote day.html" in out
    assert played(Path("day.html").read_text())["once"]
    for typed, told in (
        (("report", "line.toml", "o.html", "--state", "s.toml"), "--state"),
        (("report", "line.toml", "day.csv", "o.html", "--degree", "2"), "--degree"),
        (("report", "line.toml", "day.csv", "o.html", "--lost", "3"), "--lost"),
        (("report", "line.toml", "day.csv", "o.txt"), ".html"),
    ):
        code, _, err = run(*typed)
        assert code == 2 and told in err and not Path("o.html").exists(), typed


# -- orders --------------------------------------------------------------------------------


def test_orders_tell_when_in_when_out_and_how_late() -> None:
    plan = day()
    assert plan.replay is not None
    starts = {run.load: run.start for run in plan.replay.runs if run.stage == 0}
    rows = {row.order: row for row in order_rows(plan)}
    assert list(rows) == ["K-101", "K-102", "K-103"]
    for name, count, due in (("K-101", 3, 600), ("K-102", 2, None), ("K-103", 1, 1900)):
        row = rows[name]
        assert len(row.loads) == count
        assert row.lifted is not None and row.out is not None
        assert Fraction(row.lifted) == min(starts[load] for load in row.loads)
        last = max(plan.replay.out[load] for load in row.loads)
        assert Fraction(row.out) == last
        assert row.due == due
        assert (row.late is None) == (due is None)
        if due is not None:
            assert row.late is not None and Fraction(row.late) == max(0, last - due)
    assert rows["K-101"].late and rows["K-103"].late == 0


def test_orders_stand_in_json_and_beside_each_move_in_csv(tmp_path: Path) -> None:
    plan = day()
    assert plan.problem is not None
    answer = PlannedAnswer(plan.problem, plan)
    data = answer.data()
    assert [row["order"] for row in data["orders"]] == ["K-101", "K-102", "K-103"]
    assert data["orders"][1]["due"] is None and data["orders"][0]["late"] > 0
    text = answer.csv()
    assert text is not None
    table = [line for line in text.splitlines() if not line.startswith(("#", '"#'))]
    rows = list(csv.DictReader(table))
    assert {row["load"]: row["order"] for row in rows} == {
        str(load): name for load, name in plan.orders.items()
    }
    path = tmp_path / "day.csv"
    path.write_text(text)
    again = hoistopt.read_programme(path, plan.problem)
    assert plan.programme is not None and again.steps == plan.programme.steps


def test_without_orders_there_is_no_table_of_them() -> None:
    plan = stopped()
    assert order_rows(plan) == [] and plan.problem is not None
    assert "Orders" not in plan._repr_html_()
    text = PlannedAnswer(plan.problem, plan).csv()
    assert text is not None and ",order" not in text


def test_numbers_of_loads_in_short() -> None:
    assert spans((1, 2, 3, 6)) == "1-3, 6"
    assert spans((4,)) == "4" and spans((7, 5)) == "5, 7"


# -- the notebook ------------------------------------------------------------------------------


def test_a_notebook_shows_a_plan_with_picture_orders_loads_and_moves() -> None:
    page = day()._repr_html_()
    text = text_of(page)
    for words in ("proved to be the earliest", "Orders", "K-103", "Loads", "Moves in order"):
        assert words in text, words
    assert "<svg" in page and "<script" not in page and 'id="step-' not in page
    assert "not a safety function" in text


def test_a_notebook_says_why_there_is_no_plan() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    state = LineState(
        (Standing("Wash", 1, Between.of(400), "Cases"),), HoistAt("Rinse", Between.of(0))
    )
    plan = hoistopt.plan(problem, (), state, workers=1, time_limit=10)
    assert plan.programme is None
    page = plan._repr_html_()
    assert "No programme exists" in text_of(page) and "<svg" not in page


def test_the_page_of_a_recovery_does_not_say_that_every_rule_is_kept() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    stood = {7: 151, 9: 130}  # in the wash, of at most 150; in the dryer
    state = LineState(
        (
            Standing("Wash", 1, Between.of(stood[7]), "Cases", load=7),
            Standing("Dryer", 4, Between.of(stood[9]), "Cases", load=9),
        ),
        HoistAt("Rinse", Between.of(0)),
    )
    plan = hoistopt.plan(problem, (), state, recover=True, workers=1, time_limit=10)
    assert plan.replay is not None and {one.load for one in plan.replay.overstays} == {7}
    assert plan.summary().endswith("LOST, above a maximum dwell: load 7.")
    text = text_of(hoistopt.programme_html(plan.replay))
    said = "rule kept but the maxima of lost loads, L7."
    assert text.count(f"Every {said}") == 1 and text.count(f"found every {said}") == 1
    assert "rule kept." not in text


def test_every_dwell_that_leaves_no_margin_is_named(tmp_path: Path) -> None:
    problem = usual_line()
    path = tmp_path / "full.csv"
    starts = ("0,Bench,A", f"{LOADED + 60},A,B", f"{2 * LOADED + 140},B,Bench")
    path.write_text("\n".join(("# programme", "start,from,to", *starts)), encoding="utf-8")
    seen = hoistopt.replay_programme(problem, hoistopt.read_programme(path, problem))
    assert seen.violations == ()
    (told,) = [text for text in cautions(seen) if text.startswith("No margin")]
    assert told.startswith("No margin: load 1 in A and B for all of the maximum")

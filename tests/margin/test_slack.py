"""How late each move may start, on lines worked out by hand; the tables; the command."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest

import hoistopt
from hoistopt import slack_limits, verify
from hoistopt.checker import Refused, accepted
from hoistopt.graph import lateness
from hoistopt.graph.from_replay import timed_plan
from hoistopt.margin.slack import MoveSlack
from hoistopt.problem import Problem
from hoistopt.show.slack import SlackAnswer, slack_data, slack_summary
from tests.helpers.command import CAUTION, Run, last_lines, put_moves
from tests.helpers.lines.checked_line import line, stage, table, usual_line, usual_table
from tests.helpers.lines.late_lines import later
from tests.helpers.lines.small_line import small_line, small_schedule
from tests.helpers.shown.csv_files import csv_table

pytestmark = pytest.mark.quick


def limits_of(problem: Problem, *moves: tuple[object, ...], cycle: int) -> tuple[MoveSlack, ...]:
    return slack_limits(problem, table(cycle, *moves)).moves


def test_one_bath_by_hand() -> None:
    """In tenths: lift In at 0, set down at 120; lift Bath at 425, out at 565; back at 605.

    The bath holds the load for 305, of 300 to 600. From set down to the planned lift
    there are 5 above the minimum, and 45 from the way back to the next lift at In.
    """
    problem = small_line()
    first, second = slack_limits(problem, small_schedule(problem)).moves
    assert (first.free, first.slips, first.for_good) == (5, 5 + 45, 5)
    assert (second.free, second.slips, second.for_good) == (45, 45 + 5, 45)
    # Late out of In, the load only comes to the bath later; it never stands too long.
    assert (first.alone, first.breaks) == (None, None)
    assert second.alone == 600 - 305
    assert second.breaks is not None
    assert (second.breaks.station, second.breaks.load, second.breaks.cycles) == ("Bath", 1, 0)
    assert first.lasts is second.lasts is None
    assert first.held_by == "minimum in Bath"
    assert second.held_by == "hoist for step 1"


def test_a_cycle_without_time_to_spare_never_recovers() -> None:
    """The usual table closed up to a cycle of 60: its hoist never waits.

    Bench to A 0-10, B out 15-25, A out 30-40 (25 plus 5 empty), back at the Bench at 45.
    """
    problem = usual_line(
        bench={"min_occupation": 0}, a={"min": 20, "max": 60}, b={"min": 0, "max": 35}
    )
    moves = limits_of(problem, (0, "Bench", "A"), (15, "B", "Bench"), (30, "A", "B"), cycle=45)
    assert [move.lasts for move in moves] == [0, 0, 0]
    assert [move.slips for move in moves] == [0, 0, 0]
    # A holds its load for 20 of 60, B for 20 of 35. Late from the Bench is late at B, too;
    # what came to B the cycle before was on time.
    assert [move.alone for move in moves] == [15, 15, 40]
    assert [move.breaks and move.breaks.station for move in moves] == ["B", "B", "A"]


def test_the_hoist_carries_lateness_from_one_tank_to_another() -> None:
    """Usual table: the hoist comes to B from A just in time, and B has 2 to its maximum."""
    problem = usual_line(bench={"min_occupation": 0}, a={"min": 0}, b={"min": 40, "max": 52})
    into_a, from_b, from_a = slack_limits(problem, usual_table()).moves
    assert [move.source for move in (into_a, from_b, from_a)] == ["Bench", "B", "A"]
    assert [move.alone for move in (into_a, from_b, from_a)] == [2, 2, 15]
    assert [m.breaks and m.breaks.station for m in (into_a, from_b, from_a)] == ["B", "B", "A"]
    # A late load leaves A late as well, 25 later: set down 10, lifted 55, the hoist from 30 on.
    assert (into_a.free, from_b.free, from_a.free) == (0, 25, 10)


def test_what_happens_only_while_the_line_fills_counts_for_good() -> None:
    """From B to In takes long; the hoist never goes there but in the first cycle.

    Then B to C, the step after, is left out, and the hoist goes from B straight to In.
    """
    stations = [{"name": "In", "kind": "load"}, {"name": "A"}, {"name": "B"}, {"name": "C"}]
    stations.append({"name": "Out", "kind": "unload"})
    recipe = {"name": "R", "stage": [stage("A"), stage("B"), stage("C")]}
    data = line(stations, recipe).to_data()
    for entry in data["times"]["empty"]:
        if (entry["from"], entry["to"]) == ("B", "In"):
            entry["time"] = 150
    problem = Problem.from_data(data)
    schedule = table(300, (0, "In", "A"), (50, "B", "C"), (100, "A", "B"), (200, "C", "Out"))
    assert verify(problem, schedule) == ()
    moves = slack_limits(problem, schedule).moves
    # To C it would be 200 - 110 - 5; to In, a cycle later, it is 300 - 110 - 150.
    assert (moves[2].free, moves[2].for_good, moves[2].held_by) == (85, 40, "hoist for step 1")
    assert verify(problem, later(schedule, 2, 40)) == ()
    assert {v.rule for v in verify(problem, later(schedule, 2, 41))} == {"hoist in two places"}


@pytest.mark.parametrize(("count", "spare"), [(2, 60 - 20), (3, 60 - 20 + 100), (None, None)])
def test_spare_carriers_wait_at_an_unlimited_bench(count: int | None, spare: int | None) -> None:
    """Out of B at 15, set down at 25; the next load leaves at 100, a carrier more one later.

    A carrier stands on the Bench for 75, 20 at least.
    """
    carriers = {} if count is None else {"carriers": {"count": count}}
    problem = usual_line(bench={"capacity": "unlimited"}, **carriers)
    plan = timed_plan(accepted(problem, usual_table()))
    waits = [wait for wait in plan.waits if wait.rule == "station"]
    if spare is None:
        assert waits == []
    else:
        assert [plan.ticks(plan.slack(wait)) for wait in waits] == [
            75 - 20 + 100 * (count or 0) - 200
        ]


def test_a_second_place_at_the_bench_is_used() -> None:
    problem = usual_line(bench={"capacity": 2})
    waits = [w for w in timed_plan(accepted(problem, usual_table())).waits if w.rule == "station"]
    assert [(w.tail, w.head, w.height) for w in waits] == [(1, 0, 2)]


def test_a_schedule_that_breaks_a_rule_has_no_slack() -> None:
    with pytest.raises(Refused, match="refuses this schedule"):
        slack_limits(usual_line(), usual_table(a=5))


def test_a_spread_without_end_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lateness, "MOST_CYCLES", 1)
    problem = small_line()
    with pytest.raises(hoistopt.HoistoptError, match="spreads"):
        slack_limits(problem, small_schedule(problem))


# -- tables ----------------------------------------------------------------------------


def test_the_table_for_the_sequencer_in_csv() -> None:
    problem = small_line()
    rows = csv_table(SlackAnswer(slack_limits(problem, small_schedule(problem))).csv() or "")
    first, second = rows
    assert (second["start_s"], second["latest_once_s"]) == ("42.5", "72")
    assert (second["latest_every_cycle_s"], second["late_once_s"]) == ("47", "29.5")
    assert second["first_over_max"] == "Bath"
    assert first["late_once_s"] == first["first_over_max"] == ""
    assert first["held_by"] == "minimum in Bath"


def test_limits_as_data_and_in_words() -> None:
    problem = small_line()
    limits = slack_limits(problem, small_schedule(problem))
    data = slack_data(limits)
    assert data["moves"][0]["late_once"] is None
    assert data["moves"][1]["latest_once"] == 72
    assert data["moves"][1]["first_over_max"]["label"] == "Bath"
    assert "step 2 (Bath to Out) may start 29.5 s late" in slack_summary(limits)
    assert limits.time(limits.least_for_good) == Fraction(1, 2)


# -- the command -----------------------------------------------------------------------


def test_the_command_shows_the_limits_and_writes_them(run: Run) -> None:
    put_moves("moves.csv")
    code, out, err = run(
        "slack", "line.toml", "moves.csv", "--json", "limits.json", "--csv", "limits.csv"
    )
    assert (code, err) == (0, "")
    assert "No knock-on until" in out
    assert "First over max. dwell" in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("limits.json").read_text())
    problem = hoistopt.load_problem("line.toml")
    limits = slack_limits(problem, hoistopt.read_moves("moves.csv", problem))
    for told, move in zip(data["moves"], limits.moves, strict=True):
        assert told["late_every_cycle"] == pytest.approx(float(limits.time(move.for_good)))
    assert len(csv_table(Path("limits.csv").read_text())) == len(limits.moves)


def test_json_on_stdout_stands_alone(run: Run) -> None:
    put_moves("moves.csv")
    code, out, err = run("slack", "line.toml", "moves.csv", "--json", "-")
    assert code == 0
    assert json.loads(out)["moves"]
    assert CAUTION in last_lines(err)


def test_moves_that_break_a_rule_are_refused_with_their_violations(run: Run) -> None:
    Path("bad.csv").write_text("start,from,to,cycle_time\n0,Bench,Wash,900\n500,Wash,Bench,900\n")
    code, out, _ = run("slack", "line.toml", "bad.csv")
    assert code == 1
    assert "Violations" in out


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("slack", "line.toml"), "MOVES"),
        (("slack", "line.toml", "none.csv"), "none.csv"),
        (("slack", "line.toml", "line.toml"), "line.toml"),
        (("slack", "line.toml", "moves.csv", "--json", "no/where.json"), "--json"),
        (("slack", "line.toml", "moves.csv", "--csv", "moves.csv"), "--csv"),
    ],
)
def test_bad_input_is_told_in_one_line(run: Run, arguments: tuple[str, ...], named: str) -> None:
    put_moves("moves.csv")
    before = Path("moves.csv").read_bytes()
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert named in err
    assert Path("moves.csv").read_bytes() == before

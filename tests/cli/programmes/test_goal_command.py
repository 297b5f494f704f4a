"""`hoistopt plan --to`: fill and changeover at the command line, their files, wrong input."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.helpers.command import CAUTION, Run, last_lines

EXAMPLES = Path(__file__).parents[3] / "problems"
LINE = "line.toml"
SEARCH = ("--workers", "1", "--quiet")
RUN = """start,from,to,recipe,load,stage
0,Bench,Rinse,Brass hinges,1,0
47.3,Rinse,Lacquer,Brass hinges,1,1
156.6,Lacquer,Dryer,Brass hinges,1,2
381.9,Dryer,Bench,Brass hinges,1,3
"""
"""One load through the line, checked by the command line itself."""


@pytest.fixture
def mixed(run: Run) -> Run:
    """The worked examples of fill and changeover, as the README has them."""
    shutil.copy(EXAMPLES / "mixed_recipes.toml", LINE)
    for name in ("brass_cycle.csv", "steel_cycle.csv"):
        shutil.copy(EXAMPLES / "days" / name, name)
    return run


def test_the_line_is_filled_into_step(mixed: Run) -> None:
    wanted = ["--to", "brass_cycle.csv", "--loads-out", "4", "--json", "f.json", "--csv", "f.csv"]
    code, out, err = mixed("plan", LINE, *wanted, "--diagram", "f.svg", *SEARCH)
    assert (code, err) == (0, "")
    data = json.loads(Path("f.json").read_text())
    assert data["status"] == "optimal" and data["in_step"] == data["lower_bound"]
    assert data["changeover_time"] is None
    found = data["repeats"]
    assert (found["every"], found["from"], found["steps"]) == (138.5, data["in_step"], 4)
    moves, first = data["moves"], found["first_step"] - 1
    assert moves[first]["start"] == data["in_step"] > moves[first - 1]["start"]
    for one, other in zip(moves[first:], moves[first + 4 :], strict=False):
        assert other["start"] == pytest.approx(one["start"] + 138.5)
        assert [one[k] for k in ("from", "to")] == [other[k] for k in ("from", "to")]
    outs = sorted(row["out"] for row in data["loads"] if row["out"] is not None)
    assert f"first load is out at {outs[0]:g} s, number 4 at {outs[3]:g} s" in out
    assert f"In step from {data['in_step']:g} s on, proved" in out and CAUTION in last_lines(out)
    for name in ("f.json", "f.csv"):
        code, out, _ = mixed("verify", LINE, name)
        assert code == 0 and "however often its cycle is made" in out


def test_one_cycle_gives_way_to_another(mixed: Run) -> None:
    given = ["--state", "brass_cycle.csv", "--at", "20", "--to", "steel_cycle.csv"]
    code, out, _ = mixed("plan", LINE, *given, "--json", "c.json", *SEARCH)
    assert code == 0 and "Changeover time" in out
    data = json.loads(Path("c.json").read_text())
    assert data["status"] == "optimal"
    assert data["changeover_time"] == data["least_changeover_time"]
    outs = {
        recipe: [row["out"] for row in data["loads"] if row["recipe"] == recipe and row["out"]]
        for recipe in ("Brass hinges", "Steel hinges")
    }
    apart = min(outs["Steel hinges"]) - max(outs["Brass hinges"])
    assert apart == pytest.approx(data["changeover_time"], abs=0.1)  # times in whole ticks
    later = [m for m in data["moves"] if m["start"] >= data["in_step"]]
    assert {move["recipe"] for move in later} == {"Steel hinges"}


def test_what_is_promised_keeps_its_times_and_orders_their_sequence(mixed: Run) -> None:
    Path("run.csv").write_text(RUN)
    due = "order,recipe,due,weight\nA7,Brass hinges,500,1\nB2,Steel hinges,350,2\n"
    Path("due.csv").write_text(due)
    beside = ["--orders", "due.csv", "--promised", "run.csv", "--json", "o.json", *SEARCH]
    entered = {}
    for name, goal in (
        ("cycle", ["--to", "steel_cycle.csv", "--sequence", "given"]),
        ("empty", ["--to", "empty"]),
    ):
        code, out, _ = mixed("plan", LINE, *beside, *goal)
        assert code == 0 and "Nothing that is promised was moved." in out
        data = json.loads(Path("o.json").read_text())
        # The cycle might serve B2 a little later: that none joins sooner is not proved.
        assert data["status"] == ("optimal" if name == "empty" else "feasible")
        assert data["promised"] == [1]
        assert data["lateness"] == data["least_lateness"] > 0
        assert f"Weighted lateness {data['lateness']:g} s." in out
        kept = [move["start"] for move in data["moves"] if move["load"] == 1]
        assert kept == [0, 47.3, 156.6, 381.9]
        assert data["in_step"] is None or data["in_step"] > 403
        entered[name] = {row["order"]: row["entered"] for row in data["loads"]}
    assert entered["cycle"]["A7"] < entered["cycle"]["B2"]
    assert entered["empty"]["B2"] < entered["empty"]["A7"]  # better, and nobody asked otherwise


def test_a_changeover_is_replayed_and_handed_over_from_the_cycle_it_leaves(
    mixed: Run,
) -> None:
    leaves = ["--state", "brass_cycle.csv", "--at", "20"]
    goes = [*leaves, "--to", "steel_cycle.csv", "--csv", "change.csv"]
    assert mixed("plan", LINE, *goes, *SEARCH)[0] == 0
    code, out, _ = mixed("verify", LINE, "change.csv", *leaves)
    assert code == 0 and "replayed from the state given, breaks no rule" in out
    for command, file in [("draw", "c.svg"), ("report", "c.html"), ("sequencer", "c.csv")]:
        assert mixed(command, LINE, "change.csv", file, *leaves)[0] == 0
        assert Path(file).stat().st_size > 1000
    # Ten seconds later the same loads have stood ten seconds longer.
    code, out, _ = mixed("verify", LINE, "change.csv", "--state", "brass_cycle.csv", "--at", "30")
    assert code == 1 and "Refused" in out
    code, _, err = mixed("draw", LINE, "change.csv", "d.svg", *leaves[:2], "--at", "138.5")
    assert code == 2 and "--at = 138.5: expected a time from 0 to below 138.5" in err
    code, _, err = mixed("report", LINE, "change.csv", "d.html", *leaves[:2])
    assert code == 2 and "--state = brass_cycle.csv: expected a state of the line" in err
    code, _, err = mixed("sequencer", LINE, "change.csv", "d.csv", "--at", "20")
    assert code == 2 and "--at = 20: expected --state" in err
    assert not list(Path().glob("d.*"))


def test_a_cycle_under_way_is_in_step_with_itself_at_its_next_move(mixed: Run) -> None:
    given = ["--state", "brass_cycle.csv", "--at", "30", "--to", "brass_cycle.csv"]
    assert mixed("plan", LINE, *given, "--json", "c.json", *SEARCH)[0] == 0
    data = json.loads(Path("c.json").read_text())
    # At 30 the hoist is free, and the next move of the cycle starts at 47.6 at the latest.
    assert data["repeats"]["first_step"] == 1 and data["in_step"] <= 17.6


def test_no_way_into_the_cycle_is_the_answer_no(run: Run) -> None:
    assert run("solve", LINE, "--degree", "1", "--csv", "moves.csv", *SEARCH)[0] == 0
    Path("state.toml").write_text(
        '[hoist]\nstation = "Bench"\nfree_in = 0\n'
        '[[standing]]\nstation = "Wash"\nrecipe = "Cases"\nstage = 1\nstood = 151\nload = 7\n'
    )
    given = ["--state", "state.toml", "--to", "moves.csv", "--json", "out.json"]
    code, out, _ = run("plan", LINE, *given, *SEARCH)
    assert code == 1 and "load 7 in Wash" in out
    data = json.loads(Path("out.json").read_text())
    assert data["status"] == "infeasible" and data["moves"] == [] and data["repeats"] is None


def test_a_cycle_that_breaks_a_rule_is_refused(mixed: Run) -> None:
    text = Path("steel_cycle.csv").read_text().replace("195.3,", "150,")
    Path("steel_cycle.csv").write_text(text)
    code, out, _ = mixed("plan", LINE, "--to", "steel_cycle.csv", *SEARCH)
    assert code == 1 and "Refused" in out and "Pickle" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--to", "none.csv"], "none.csv: expected a file"),
        (["--to", LINE], 'a column "start"'),
        (["--to", "other.csv"], 'column "to" = Basin'),
        (["--to", "steel_cycle.csv", "--at", "3"], "--at = 3: expected --state"),
        (["--to", "empty"], "nothing to do"),
        (
            ["--to", "empty", "--orders", "orders.csv", "--loads-out", "2"],
            "--loads-out = 2: expected",
        ),
        (["--to", "empty", "--promised", "run.csv"], "--promised = run.csv: expected"),
        (["--to", "steel_cycle.csv", "--promised", "none.csv"], "none.csv: expected a file"),
        (
            ["--to", "steel_cycle.csv", "--promised", "cut.csv"],
            "cut.csv: promised = load 1 is left",
        ),
        (["--to", "steel_cycle.csv", "--lost", "1"], "--lost = 1: expected --promised"),
        (
            ["--to", "steel_cycle.csv", "--orders", "orders.csv", "--sequence", "x"],
            "--sequence = x",
        ),
        (["--to", "steel_cycle.csv", "--loads-out", "0"], "--loads-out = 0"),
        (["--to", "steel_cycle.csv", "--state", "brass_cycle.csv"], "brass_cycle.csv"),
        (["--to", "steel_cycle.csv", "--state", "brass_cycle.csv", "--at", "x"], "--at = x"),
        (["--to", "steel_cycle.csv", "--state", "brass_cycle.csv", "--at", "139"], "below 138.5"),
        (["--orders", "orders.csv", "--loads-out", "2"], "--loads-out = 2: expected --to"),
        (["--to", "steel_cycle.csv", "--csv", "steel_cycle.csv"], "--csv = steel_cycle.csv"),
        (["--to", "fine.csv"], "a multiple of the tick"),
    ],
)
def test_wrong_input_is_one_line(mixed: Run, arguments: list[str], said: str) -> None:
    Path("orders.csv").write_text("recipe\nBrass hinges\n")
    Path("cut.csv").write_text(RUN.rsplit("\n", 2)[0] + "\n")
    text = Path("steel_cycle.csv").read_text()
    Path("other.csv").write_text(text.replace("Pickle", "Basin"))
    Path("fine.csv").write_text(text.replace("82.6,", "82.63,"))
    code, out, err = mixed("plan", LINE, *arguments)
    assert code == 2 and out == "" and said in err and len(err.splitlines()) == 1

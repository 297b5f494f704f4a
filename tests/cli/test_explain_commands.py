"""The commands why, levers, conflict and order, from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.helpers.command import CAUTION, Run, last_lines, put_moves
from tests.helpers.shown.csv_files import csv_table

GOOD = "from,to\nBench,Wash\nDryer,Bench\nRinse,Dryer\nWash,Passivate\nPassivate,Rinse\n"
DOUBLE = "from,to\nBench,Wash\nWash,Passivate\nDryer,Bench\nRinse,Dryer\nPassivate,Rinse\n"
TWICE = "from,to\nBench,Wash\nRinse,Dryer\nDryer,Bench\nPassivate,Rinse\nWash,Passivate\n"


def test_why_solves_and_tells_the_circuit(run: Run) -> None:
    code, out, _ = run("why", "line.toml", "--workers", "1")
    assert code == 0
    assert "What holds the cycle at 234 s" in out
    assert "minimum of Passivate 120 s" in out and "= 234 s." in out
    # The totals come first, and the chain is told once.
    assert out.index("Carrying ") < out.index("What holds the cycle")
    assert out.count("from Wash to Passivate") == 1
    assert CAUTION in last_lines(out)


def test_why_takes_a_table_and_marks_the_diagram(run: Run) -> None:
    put_moves("moves.csv")
    code, out, _ = run(
        "why", "line.toml", "moves.csv", "--json", "why.json", "--diagram", "why.svg"
    )
    assert code == 0 and "Wrote why.json" in out and "Wrote why.svg" in out
    data = json.loads(Path("why.json").read_text())
    assert data["cycle_time"] == data["total"] == 234
    assert sum(piece["time"] for piece in data["pieces"]) == pytest.approx(234)
    assert "holding-sign" in Path("why.svg").read_text()


def test_why_refuses_a_table_that_breaks_a_rule(run: Run) -> None:
    Path("moves.csv").write_text("# cycle_time = 90\nstart,from,to\n0,Bench,Wash\n")
    code, out, _ = run("why", "line.toml", "moves.csv", "--json", "why.json")
    assert code == 1 and "Refused" in out
    assert json.loads(Path("why.json").read_text())["status"] == "refused"


def test_why_calls_the_rest_of_a_schedule_that_can_be_run_its_reserve(run: Run) -> None:
    run("solve", "line.toml", "--workers", "1", "--json", "a.json", "--show", "runnable")
    assert json.loads(Path("a.json").read_text())["shown"] == "runnable"
    code, out, _ = run("why", "line.toml", "a.json")
    said = " ".join(out.split())
    assert code == 0
    assert "it is the schedule to be run, and the difference is its reserve for late hoists" in said
    assert "see `slack` and `jitter` before you shorten it" in said
    code, out, _ = run("why", "line.toml", "a.json", "--take", "least")
    assert code == 0 and "the schedule to be run" not in " ".join(out.split())


def test_why_points_on_where_there_is_no_schedule(run: Run) -> None:
    paced("max = 100")
    code, _, err = run("why", "line.toml")
    assert code == 1
    assert "No schedule of degree 1 exists" in err and "hoistopt conflict" in err


def paced(limit: str) -> None:
    text = Path("line.toml").read_text()
    Path("line.toml").write_text(text.replace("[hoist]", f"[cycle]\n{limit}\n\n[hoist]", 1))


def test_levers_are_ranked(run: Run) -> None:
    files = ("--json", "levers.json", "--csv", "levers.csv")
    code, out, _ = run("levers", "line.toml", "--workers", "1", *files)
    assert code == 0
    assert out.index("minimum of Dryer") < out.index("minimum of Passivate")
    assert "Most is gained by: minimum of Dryer from 180 to 162, 18.9 s." in out
    told = " ".join(out.split())
    assert "Proved to gain nothing alone, as far as each may go: minimum of Wash, maximum" in told
    assert "minimum of Dryer 180 162 215.1 18.9 1.35 165.9" in told
    data = json.loads(Path("levers.json").read_text())
    assert data["cycle_time"] == 234
    assert data["levers"][0]["gain_at_least"] == data["levers"][0]["gain_at_most"] == 18.9
    assert all(lever["proved"] for lever in data["levers"])
    assert data["levers"][0]["threshold"]["pays_from"] == 165.9
    assert {"move", "drip"} <= {lever["kind"] for lever in data["levers"]}
    table = csv_table(Path("levers.csv").read_text())
    assert len(table) == len(data["levers"])
    first = table[0]
    assert (first["today"], first["changed_to"], first["cycle_time"]) == ("180", "162", "215.1")
    assert (first["pays_from"], first["settled"]) == ("165.9", "yes")


def test_levers_not_settled_in_time_say_so(run: Run) -> None:
    code, out, _ = run(
        "levers", "line.toml", "--degree", "4", "--time-limit", "0.5", "--workers", "1"
    )
    assert code in (0, 3)
    if code == 0:
        assert "Not settled in" in out or "Proved to gain" in out or "lies between" in out
    else:
        assert "Stopped before the line's own cycle time was known." in out


def test_levers_of_a_line_without_a_schedule(run: Run) -> None:
    paced("max = 100")
    code, out, _ = run("levers", "line.toml", "--workers", "1")
    assert code == 1 and "has no schedule of degree 1" in out


def test_conflict_names_members_and_remedies(run: Run) -> None:
    arguments = ("conflict", "line.toml", "--at-most", "230", "--workers", "1")
    code, out, _ = run(*arguments, "--json", "conflict.json", "--csv", "conflict.csv")
    assert code == 1
    assert "the minimum of 180 s in Dryer" in out
    assert "Fewest changes" in out and "Smallest changes in sum" in out
    assert "With all limits as they are, 234 s is the least at degree 1." in out
    data = json.loads(Path("conflict.json").read_text())
    assert data["status"] == "none" and data["minimal"] is True
    assert {member["kind"] for member in data["members"]} == {
        "longest", "minimum", "loaded", "empty",
    }  # fmt: skip
    assert [remedy["status"] for remedy in data["remedies"]] == ["least", "least"]
    # 14.1 of the 36 that a fifth of 180 is; 4 of 24 and 3.1 of 36.
    assert [remedy["share"] for remedy in data["remedies"]] == pytest.approx(
        [14.1 / 36, 4 / 24 + 3.1 / 36]
    )
    assert [len(remedy["changes"]) for remedy in data["remedies"]] == [1, 2]
    parts = [row["part"] for row in csv_table(Path("conflict.csv").read_text())]
    assert parts == ["conflict"] * 4 + ["fewest changes"] + ["smallest changes"] * 2


def test_conflict_says_what_is_possible(run: Run) -> None:
    code, out, _ = run("conflict", "line.toml", "--at-most", "234", "--workers", "1")
    assert code == 0 and "There is a schedule of degree 1" in out


def test_conflict_can_go_to_standard_output(run: Run) -> None:
    code, out, err = run(
        "conflict", "line.toml", "--at-most", "230", "--workers", "1", "--json", "-"
    )
    assert code == 1 and json.loads(out)["status"] == "none"
    assert "No schedule of degree 1" in err


def test_solve_says_in_short_what_conflicts(run: Run) -> None:
    paced("max = 230")
    code, out, _ = run("solve", "line.toml", "--workers", "1")
    assert code == 1
    assert "a cycle of at most 230 s and the minimum of 180 s in Dryer" in out


def test_order_gives_times_to_a_table_without_any(run: Run) -> None:
    Path("order.csv").write_text(GOOD)
    code, out, _ = run(
        "order", "line.toml", "order.csv", "--workers", "1", "--csv", "timed.csv",
        "--json", "order.json", "--diagram", "order.png",
    )  # fmt: skip
    assert code == 0
    assert "This order runs with a cycle time of 275.4 s, its least." in out
    assert "this order takes 41.4 s, or 17.7%, longer." in out
    assert run("verify", "line.toml", "timed.csv")[0] == 0
    assert run("verify", "line.toml", "order.json")[0] == 0
    assert Path("order.png").stat().st_size > 10_000


def test_order_says_why_it_cannot_run(run: Run) -> None:
    Path("order.csv").write_text(TWICE)
    code, out, _ = run("order", "line.toml", "order.csv", "--csv", "timed.csv")
    assert code == 1
    # By hand: 21.9 + 40 + 23.5 + 180 + 25.1 + 6 = 296.5.
    assert "The cycle has to be at least 296.5 s: lift, drip and carry from Passivate" in out
    assert "It may be at most 75.2 s: it, hoist empty from Wash to Rinse (2.5 s)," in out
    assert "Not written, as there is no schedule: timed.csv" in out
    assert not Path("timed.csv").exists()
    Path("order.csv").write_text(DOUBLE)
    _, out, _ = run("order", "line.toml", "order.csv")
    assert "take 166.4 s, but the Rinse maximum allows 90 s only." in out


def test_order_alone_compares_with_nothing(run: Run) -> None:
    Path("order.csv").write_text(GOOD)
    code, out, _ = run("order", "line.toml", "order.csv", "--alone")
    assert code == 0 and "of any order" not in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("why", "line.toml", "none.csv"), "none.csv"),
        (("why", "line.toml", "order.csv", "--degree", "2"), "--degree"),
        (("why", "line.toml", "--degree", "0"), "--degree"),
        (("why", "line.toml", "--diagram", "x.gif"), ".png, .svg or .pdf"),
        (("levers", "line.toml", "--by", "lots"), "--by"),
        (("levers", "line.toml", "--by", "0"), "--by"),
        (("levers", "line.toml", "--hoist-by", "95"), "--hoist-by"),
        (("levers", "line.toml", "--time-limit", "-1"), "--time-limit"),
        (("levers", "nowhere.toml"), "nowhere.toml"),
        (("conflict", "line.toml", "--at-most", "soon"), "--at-most"),
        (("conflict", "line.toml", "--at-most", "0"), "--at-most"),
        (("conflict", "line.toml", "--at-most", "1e99"), "--at-most"),
        (("conflict", "line.toml", "--degree", "x"), "--degree"),
        (("conflict", "line.toml", "--json", "no/such/place.json"), "--json"),
        (("order", "line.toml"), "MOVES"),
        (("order", "line.toml", "order.csv", "--workers", "0"), "--workers"),
        (("order", "line.toml", "wrong.csv"), "wrong.csv"),
        (("order", "line.toml", "order.csv", "--csv", "order.csv"), "place of its own"),
    ],
)
def test_what_is_typed_wrong_is_named(run: Run, arguments: tuple[str, ...], said: str) -> None:
    Path("order.csv").write_text(GOOD)
    Path("wrong.csv").write_text("from,to\nBench,Nowhere\n")
    code, out, err = run(*arguments)
    assert code == 2
    assert out == "" and said in err
    assert len(err.strip().splitlines()) == 1

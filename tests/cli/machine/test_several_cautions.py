"""Wherever several hoists appear it is said that a schedule is no anti-collision system."""

from __future__ import annotations

import json
import re
from pathlib import Path

import hoistopt
from tests.helpers.command import PROBLEMS, Run

LINE = str(PROBLEMS / "several" / "two_hoists.toml")
SAID = "no anti-collision system"


def test_every_command_says_so_on_the_screen_and_in_its_json(run: Run) -> None:
    code, out, _ = run("solve", LINE, "--degree", "1", "--json", "moves.json")
    assert code == 0
    assert SAID in " ".join(out.split())
    scatter = ("--scatter", "move times triangular 0.97 1 1.15", "--cycles", "20")
    both = ("--before", "moves.json", "--after", "moves.json")
    for words in (
        ("verify", LINE, "moves.json", "--json", "out.json"),
        ("slack", LINE, "moves.json", "--json", "out.json"),
        ("jitter", LINE, "moves.json", *scatter, "--runs", "20", "--json", "out.json"),
        ("compare", LINE, *both, "--json", "out.json"),
        ("sheet", LINE, "moves.json", "door.html"),
        ("sequencer", LINE, "moves.json", "steps.csv"),
    ):
        code, out, err = run(*words)
        assert (code, err) == (0, ""), words
        assert SAID in " ".join(out.split()), words
        if "--json" in words:
            cautions = json.loads(Path("out.json").read_text(encoding="utf-8"))["cautions"]
            assert any(SAID in caution for caution in cautions), words
            Path("out.json").unlink()
    for page in ("door.html", "steps.csv"):
        assert SAID in " ".join(Path(page).read_text(encoding="utf-8").split()), page


def test_what_programmes_of_several_hoists_lack_is_named(run: Run) -> None:
    Path("orders.csv").write_text(
        f"order,recipe,count\nA,{hoistopt.load_problem(LINE).recipes[0].name},1\n"
    )
    assert run("plan", LINE, "--orders", "orders.csv", "--csv", "day.csv")[0] == 0
    code, out, _ = run("sequencer", LINE, "day.csv", "day.st")
    assert code == 0 and SAID in out
    plain = re.sub(r"\(\*|\*\)|\s", " ", Path("day.st").read_text(encoding="utf-8"))
    assert SAID in " ".join(plain.split())
    code, out, _ = run("sequencer", LINE, "day.csv", "steps.csv", "steps.json")
    assert code == 0 and SAID in out
    for page in ("steps.csv", "steps.json"):
        assert SAID in Path(page).read_text(encoding="utf-8")
    code, out, _ = run("report", LINE, "day.csv", "day.html")
    assert code == 0 and SAID in out and SAID in Path("day.html").read_text(encoding="utf-8")


def test_a_hoist_of_a_state_stands_where_it_can_reach(run: Run) -> None:
    names = [hoist.name for hoist in hoistopt.load_problem(LINE).hoists]
    state = "".join(
        f'[[hoist]]\nname = "{name}"\nposition = {at}\nfree_in = 0\n'
        for name, at in zip(names, (-40, 3), strict=True)
    )
    Path("state.toml").write_text('unit = "s"\n' + state)
    code, _, err = run("plan", LINE, "--state", "state.toml")
    assert code == 2
    assert f"hoist {names[0]}, position = -40: expected a place that {names[0]} can reach" in err

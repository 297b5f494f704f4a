"""Wherever several hoists appear it is said that a schedule is no anti-collision system."""

from __future__ import annotations

import json
from pathlib import Path

from tests.helpers.command import PROBLEMS, Run

LINE = str(PROBLEMS / "several" / "two_hoists.toml")
SAID = "no anti-collision system"


def test_every_command_says_so_on_the_screen_and_in_its_json(run: Run) -> None:
    code, out, _ = run("solve", LINE, "--degree", "1", "--json", "moves.json")
    assert code == 0
    assert SAID in " ".join(out.split())
    scatter = ("--scatter", "move times triangular 0.97 1 1.15", "--cycles", "20")
    for words in (
        ("verify", LINE, "moves.json", "--json", "out.json"),
        ("slack", LINE, "moves.json", "--json", "out.json"),
        ("jitter", LINE, "moves.json", *scatter, "--json", "out.json"),
        ("compare", LINE, LINE, "--degree", "1", "--json", "out.json"),
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

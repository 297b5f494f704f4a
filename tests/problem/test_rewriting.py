"""A problem file with figures changed keeps everything else, comments and layout too."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

import hoistopt
from hoistopt.problem.files.rewriting import Changes, changed_problem, changed_text
from tests.helpers.command import PROBLEMS

HOIST = {
    ("lift",): Decimal("9.4"),
    ("loaded", "speed"): Decimal("0.4568"),
    ("empty", "settling"): Decimal("1.1"),
}


@pytest.mark.quick
def test_only_what_changes_is_changed(tmp_path: Path) -> None:
    path = PROBLEMS / "quillhaven_anodising.toml"
    changes = Changes(
        hoist=HOIST,
        stations={("Etch", "lift"): Decimal("11.5")},
        scatter=("move times uniform 0.9 1.2",),
        scatter_source="A test.",
    )
    text = changed_text(path, changes, tmp_path / "new.toml")
    before, after = path.read_text().splitlines(), text.splitlines()
    assert len(before) == len(after)
    differ = [(a, b) for a, b in zip(before, after, strict=True) if a != b]
    assert [b for _, b in differ] == [
        "lift = 9.4",
        "loaded = { speed = 0.4568, acceleration = 0.3, settling = 2 }",
        "empty = { speed = 0.8, acceleration = 0.5, settling = 1.1 }",
        'times = ["move times uniform 0.9 1.2"]',
        'source = "A test."',
        "lift = 11.5             # lifted in two steps so that the foam runs off",
    ]
    (tmp_path / "new.toml").write_text(text)
    changed = changed_problem(hoistopt.load_problem(path), changes)
    assert hoistopt.load_problem(tmp_path / "new.toml") == changed
    assert changed.hoist.lift == Decimal("9.4")


def test_entries_of_tables_are_changed_or_added_and_files_still_found(tmp_path: Path) -> None:
    path = PROBLEMS / "phillips_unger_1976.toml"
    changes = Changes(
        loaded={("Tank 1", "Tank 2"): Decimal("23.5")},
        empty={("Tank 2", "Tank 5"): Decimal(9)},
    )
    new = tmp_path / "new.toml"
    new.write_text(changed_text(path, changes, new))
    problem = hoistopt.load_problem(new)
    assert problem == changed_problem(hoistopt.load_problem(path), changes) or (
        set(problem.times.empty)
        == set(changed_problem(hoistopt.load_problem(path), changes).times.empty)
    )
    assert problem.loaded_times["Tank 1", "Tank 2"] == Decimal("23.5")
    assert problem.loaded_times["Tank 2", "Tank 3"] == 22
    assert problem.empty_times["Tank 2", "Tank 5"] == 9
    assert problem.empty_times["Tank 5", "Tank 2"] == 5
    assert changed_text(path, Changes(), path) == path.read_text()


@pytest.mark.parametrize(
    "hoist",
    [
        "[[hoist]]\nlift = 6 # slow\nlower = 5\n[hoist.loaded]\nspeed = 0.5\n"
        "[hoist.empty]\nspeed = 0.8 # quick\n",
        "[hoist]\nlift = 6 # slow\nlower = 5\nloaded.speed = 0.5\nempty.speed = 0.8 # quick\n",
        "hoist = { lift = 6, lower = 5, loaded = { speed = 0.5 }, empty = { speed = 0.8 } } "
        "# slow # quick\n",
    ],
)
def test_however_the_hoist_is_written(tmp_path: Path, hoist: str) -> None:
    line = (
        'name = "Invented"\n' + hoist + '[[station]]\nname = "B"\nkind = "load-unload"\n'
        'position = 0\n[[station]]\nname = "T"\nposition = 2\n[[recipe]]\nname = "R"\n'
        '[[recipe.stage]]\nstation = "T"\nmin = 20\nmax = 60\n'
    )
    path = tmp_path / "line.toml"
    path.write_text(line)
    changes = Changes(hoist=HOIST, scatter=("empty plus uniform 0 1",), scatter_source="s")
    text = changed_text(path, changes, path)
    assert "# slow" in text and "# quick" in text
    (tmp_path / "new.toml").write_text(text)
    assert hoistopt.load_problem(tmp_path / "new.toml") == changed_problem(
        hoistopt.load_problem(path), changes
    )

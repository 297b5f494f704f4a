"""How often a command replays: an accepted replay is passed on and not made again."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.command import Run, put_moves


class Counted:
    """Counts the replays since it was last asked."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self._count = 0
        # The function of that name hides its module in the package.
        replaying = sys.modules["hoistopt.checker.replay"]
        real = replaying.simulate  # type: ignore[attr-defined]

        def simulate(*given: Any) -> Any:
            self._count += 1
            return real(*given)

        monkeypatch.setattr(replaying, "simulate", simulate)

    def replays(self) -> int:
        count, self._count = self._count, 0
        return count


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counted:
    import hoistopt.checker  # noqa: F401

    return Counted(monkeypatch)


@pytest.fixture
def moves(run: Run, counted: Counted) -> str:
    put_moves("moves.csv")
    counted.replays()
    return "moves.csv"


@pytest.fixture
def least_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """No search for a schedule that can be run: it replays each one that it tries."""
    import hoistopt.app.solve  # noqa: F401

    module = sys.modules["hoistopt.app.solve"]
    monkeypatch.setattr(module, "with_runnable", lambda result, effort, _: result)


def test_files_of_a_solve_need_no_replay(run: Run, counted: Counted) -> None:
    command = ("solve", "line.toml", "--degree", "1", "--workers", "1")
    assert run(*command)[0] == 0
    searched = counted.replays()
    assert run(*command, "--json", "a.json", "--csv", "a.csv", "--diagram", "a.svg")[0] == 0
    assert counted.replays() == searched > 1


@pytest.mark.usefixtures("least_only")
def test_a_solve_with_all_its_files_replays_its_schedule_once(run: Run, counted: Counted) -> None:
    files = ("--json", "a.json", "--csv", "a.csv", "--diagram", "a.svg")
    assert run("solve", "line.toml", "--degree", "1", *files, "--workers", "1")[0] == 0
    assert counted.replays() == 1
    assert run("solve", "line.toml", "--degree", "1-2", *files, "--workers", "1")[0] == 0
    assert counted.replays() == 2
    assert run("solve", "line.toml", *files, "--workers", "1")[0] == 0
    told = json.loads(Path("a.json").read_text())["degrees"]
    assert counted.replays() == sum(degree["cycle_time"] is not None for degree in told)


@pytest.mark.usefixtures("least_only")
@pytest.mark.parametrize(
    "command",
    [
        ("verify", "line.toml", "MOVES"),
        ("draw", "line.toml", "MOVES", "out.svg"),
        ("why", "line.toml", "MOVES"),
        ("why", "line.toml", "--degree", "1", "--workers", "1"),
        ("order", "line.toml", "MOVES", "--alone"),
        ("slack", "line.toml", "MOVES", "--json", "out.json", "--csv", "out.csv"),
        ("jitter", "line.toml", "MOVES", "--scatter", "empty plus fixed 0", "--cycles", "9"),
        ("report", "line.toml", "MOVES", "out.html"),
        ("report", "line.toml", "out.html", "--degree", "1", "--workers", "1"),
    ],
    ids=" ".join,
)
def test_a_command_about_one_schedule_replays_once(
    command: tuple[str, ...], run: Run, moves: str, counted: Counted
) -> None:
    assert run(*(moves if word == "MOVES" else word for word in command))[0] == 0
    assert counted.replays() == 1


def test_two_schedules_compared_are_two_replays(run: Run, moves: str, counted: Counted) -> None:
    given = ("--before", moves, "--after", moves)
    assert run("compare", "line.toml", *given)[0] == 0
    assert counted.replays() == 2
    assert run("compare", "line.toml", "line.toml", "--degree", "1", "--workers", "1")[0] == 0
    assert counted.replays() == 2


def test_the_shortest_and_the_robust_schedule_are_two_replays(run: Run, counted: Counted) -> None:
    assert run("robust", "line.toml", "--workers", "1")[0] == 0
    assert counted.replays() == 2


@pytest.mark.parametrize("form", ["csv", "json", "st", "xml"])
@pytest.mark.parametrize("unit", ["ms", "ds", "s", "min"])
def test_an_export_of_one_format_needs_at_most_five(
    form: str, unit: str, run: Run, moves: str, counted: Counted
) -> None:
    """The schedule; the one in whole units on the line and on the stricter one; the file on
    the line and with its own windows."""
    code, _, err = run("sequencer", "line.toml", moves, f"out.{form}", "--unit", unit)
    count = counted.replays()
    if unit == "min":  # too coarse for the windows of this line
        assert code == 2 and "finer" in err
        assert count <= 3
        return
    assert code == 0
    assert Path(f"out.{form}").exists()
    assert 4 <= count <= 5

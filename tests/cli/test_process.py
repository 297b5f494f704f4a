"""The command as a process of its own: imports, pipes, terminals, Ctrl-C."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from hoistopt.cli import main

ROOT = Path(__file__).parents[2]
LINE = str(ROOT / "problems" / "three_tanks_dryer.toml")
DEMO = str(ROOT / "problems" / "quillhaven_anodising.toml")
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}
COMMAND = [sys.executable, "-m", "hoistopt"]


def run(*arguments: str, **more: Any) -> subprocess.CompletedProcess[str]:
    more.setdefault("env", ENVIRONMENT)
    return subprocess.run(
        [*COMMAND, *arguments], capture_output=True, text=True, timeout=120, **more
    )


def loaded_after(statement: str) -> set[str]:
    """Top-level modules in memory after a statement in a fresh interpreter."""
    code = f"import sys, io\n{statement}\nprint(*{{m.split('.')[0] for m in sys.modules}})"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=ENVIRONMENT, timeout=120
    )
    assert done.returncode == 0, done.stderr
    return set(done.stdout.splitlines()[-1].split())


def test_help_loads_nothing_heavy() -> None:
    loaded = loaded_after("from hoistopt.cli import main\nassert main(['solve', '--help']) == 0")
    assert "argparse" in loaded
    assert not loaded & {"pydantic", "rich", "ortools", "numpy", "matplotlib", "networkx"}


def test_solve_loads_matplotlib_only_for_a_diagram(tmp_path: Path) -> None:
    solve = f"main(['solve', '--quiet', '--workers', '1', {LINE!r}"
    drawing = str(tmp_path / "out.svg")
    assert "matplotlib" in loaded_after(
        f"from hoistopt.cli import main\nassert {solve}]) == 0"
        f"\nassert 'matplotlib' not in sys.modules"
        f"\nassert {solve}, '--diagram', {drawing!r}]) == 0"
    )


def test_verify_needs_no_solver(tmp_path: Path) -> None:
    moves = str(tmp_path / "moves.csv")
    assert main(["solve", LINE, "--quiet", "--csv", moves]) == 0
    loaded = loaded_after(
        f"from hoistopt.cli import main\nassert main(['verify', {LINE!r}, {moves!r}]) == 0"
    )
    assert not loaded & {"ortools", "matplotlib"}


def test_a_reader_that_stops_reading_is_no_error() -> None:
    """Nor for `schema` and `solve`, which are asked below what they do without a reader."""
    with subprocess.Popen(
        [*COMMAND, "template"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=ENVIRONMENT
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
        assert process.wait(timeout=120) == 0


def test_the_answer_no_survives_a_closed_pipe(tmp_path: Path) -> None:
    moves = tmp_path / "moves.csv"
    moves.write_text("start,from,to,cycle_time\n0,Bench,Wash,900\n")
    with subprocess.Popen(
        [*COMMAND, "verify", LINE, str(moves)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=ENVIRONMENT,
    ) as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.wait(timeout=120) == 1


@pytest.mark.parametrize(
    "encoding", ["ascii", pytest.param("utf-8", marks=pytest.mark.long), "cp1252"]
)
def test_any_terminal_encoding_will_do(encoding: str, tmp_path: Path) -> None:
    line = tmp_path / "line.toml"
    line.write_text(Path(LINE).read_text().replace("Wash", "Wäsche 洗"), encoding="utf-8")
    environment = {**ENVIRONMENT, "PYTHONIOENCODING": encoding}
    done = run("solve", str(line), "--workers", "1", env=environment, encoding=encoding)
    assert (done.returncode, done.stderr) == (0, "")


def test_json_on_stdout_is_utf8_on_any_terminal(tmp_path: Path) -> None:
    line = tmp_path / "line.toml"
    line.write_text(Path(LINE).read_text().replace("Wash", "Wäsche"), encoding="utf-8")
    done = subprocess.run(
        [*COMMAND, "solve", str(line), "--workers", "1", "--json", "-"],
        capture_output=True,
        env={**ENVIRONMENT, "PYTHONIOENCODING": "ascii"},
        timeout=120,
    )
    assert "Wäsche".encode() in done.stdout


def test_no_progress_without_a_terminal() -> None:
    done = run("solve", DEMO, "--degree", "2", "--time-limit", "0.5", "--workers", "1")
    assert done.stderr == ""
    assert done.returncode in (0, 3)


def _hear_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.default_int_handler)


def _stopped(until: bytes, by: signal.Signals = signal.SIGINT) -> tuple[int, str, str]:
    """Solve what takes long on a terminal, press Ctrl-C once `until` is shown there."""
    controller, terminal = pty.openpty()
    process = subprocess.Popen(
        [*COMMAND, "solve", DEMO, "--degree", "4", "--workers", "1"],
        stdout=subprocess.PIPE,
        stderr=terminal,
        env={**ENVIRONMENT, "TERM": "xterm", "COLUMNS": "120"},
        # A shell that runs us in the background would have Ctrl-C ignored.
        preexec_fn=_hear_ctrl_c,
    )
    os.close(terminal)
    shown = b""
    ends = time.monotonic() + 100
    while until not in shown and time.monotonic() < ends:
        shown += os.read(controller, 4096)
    process.send_signal(by)
    out, _ = process.communicate(timeout=60)
    os.close(controller)
    return process.returncode, out.decode(), shown.decode(errors="replace")


@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGTERM])
def test_ctrl_c_and_sigterm_keep_the_best_schedule_and_say_how_good_it_is(
    by: signal.Signals,
) -> None:
    code, out, shown = _stopped(b"gap ", by)
    assert code == 0
    assert "not proved to be the least: the bound is" in out
    assert "(stopped after " in out
    assert "Dwell times" in out
    assert "not a safety function" in out.rstrip().splitlines()[-1]
    assert "best " in shown
    assert "bound " in shown


def test_sigterm_ends_other_commands_as_ctrl_c_does_and_leaves_no_file(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    code = f"""
import os, signal
from hoistopt.base import files
real = files._fill
def fill(*given, **more):
    real(*given, **more)
    os.kill(os.getpid(), signal.SIGTERM)
files._fill = fill
from hoistopt.cli import main
raise SystemExit(main(["solve", {LINE!r}, "--workers", "1", "--csv", {str(out)!r}]))
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=ENVIRONMENT, timeout=120
    )
    assert (done.returncode, done.stdout) == (3, "")
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


SOLVED, REFUSED = ["solve", LINE, "--workers", "1"], ["solve", "nowhere.toml"]


@pytest.mark.parametrize("how", ["absent", "broken"])
@pytest.mark.parametrize(
    ("arguments", "code", "closed"),
    [
        (SOLVED, 0, 1),
        (SOLVED, 0, 2),
        (REFUSED, 2, 2),
        (["schema"], 0, 1),
        # To the stream that is closed, these write nothing.
        pytest.param(REFUSED, 2, 1, marks=pytest.mark.long),
        pytest.param(["schema"], 0, 2, marks=pytest.mark.long),
    ],
)
def test_a_closed_stream_ends_quietly(
    closed: int, how: str, arguments: list[str], code: int, tmp_path: Path
) -> None:
    """Closed before the command began, or read by nobody while it runs."""
    csv = tmp_path / "out.csv"
    if arguments[0] == "solve":
        arguments = [*arguments, "--csv", str(csv)]
    streams: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(
        [*COMMAND, *arguments],
        **streams,
        env=ENVIRONMENT,
        preexec_fn=(lambda: os.close(closed)) if how == "absent" else None,
    ) as process:
        pipes = {1: process.stdout, 2: process.stderr}
        if how == "broken":
            (pipe := pipes.pop(closed)) and pipe.close()
        told = b"".join(pipe.read() for pipe in pipes.values() if pipe)
        assert process.wait(timeout=120) == code
    assert b"Traceback" not in told and b"internal error" not in told
    assert told == b"" or (code, closed, how) != (0, 1, "broken")
    if code == 0 and arguments[0] == "solve":
        # No line of the answer went into the file instead.
        assert csv.read_text().splitlines()[0].startswith('"# CAUTION. ')
        assert len(csv.read_text().splitlines()) >= 7


def test_ctrl_c_before_any_schedule_ends_with_3_or_with_a_schedule() -> None:
    """Pressed as early as the search is seen to run; a schedule may be there already."""
    code, out, _ = _stopped(b"degree 4")
    if code == 0:
        assert "not proved to be the least" in out
    else:
        assert code == 3
        assert "Stopped before a schedule of degree 4 was found" in out


@pytest.mark.parametrize("command", [["solve", LINE], ["verify", LINE, "none.csv"], ["schema"]])
def test_ctrl_c_before_a_command_has_begun_ends_with_3(
    command: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Pressed while the command line is read, and while the command's code is loaded."""

    def pressed(*_: Any) -> int:
        signal.raise_signal(signal.SIGINT)
        return 0

    monkeypatch.setattr(f"hoistopt.cli.commands.{command[0]}.run", pressed)
    assert main(command) == 3
    assert capsys.readouterr().err.startswith("error: stopped before ")
    monkeypatch.setattr(sys.modules["hoistopt.cli.main"], "build_parser", pressed)
    assert main(command) == 3
    assert capsys.readouterr().err.startswith("error: stopped before ")


@pytest.mark.parametrize(("pressed", "code"), [(True, 3), (False, 4)])
def test_an_import_that_ctrl_c_interrupts_is_no_fault(
    pressed: bool,
    code: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    def as_compiled_modules_do(*_: Any) -> int:
        try:
            if pressed:
                signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt:
            pass
        raise ImportError("initialization failed")

    monkeypatch.setattr("hoistopt.cli.commands.solve.run", as_compiled_modules_do)
    assert main(["solve", LINE]) == code
    assert ("internal error" in capsys.readouterr().err) is not pressed

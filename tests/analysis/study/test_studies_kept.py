"""Studies stopped half way: answers kept, processes gone, and the rest solved later."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest

from hoistopt import Effort, InputError, Stop, study
from tests.helpers.studying import PROBLEMS, AtOnce, line

# -- going on --------------------------------------------------------------------------


def test_kept_answers_are_not_solved_again(tmp_path: Path) -> None:
    kept = tmp_path / "kept.jsonl"
    first = study(line(), {"degree": [1, 2]}, executor=AtOnce(), keep=kept)
    text = kept.read_text()
    assert text.count("\n") == 3  # a heading, degree 1 (which is the reference), degree 2
    kept.write_text(text[:-30])  # as if the power had gone
    executor = AtOnce()
    second = study(line(), {"degree": [1, 2, 3]}, executor=executor, keep=kept)
    assert sorted(given[1] for given in executor.submitted) == [2, 3]
    for old, new in zip(first.points, second.points, strict=False):
        assert (old.status, old.cycle_time, old.schedule) == (
            new.status, new.cycle_time, new.schedule,
        )  # fmt: skip
    executor = AtOnce()
    study(line(), {"degree": [1, 2, 3]}, executor=executor, keep=kept)
    assert executor.submitted == []
    study(line(), {"degree": [1]}, executor=executor, keep=kept, seed=5)
    assert len(executor.submitted) == 1


def test_kept_answers_that_were_edited_are_solved_again(tmp_path: Path) -> None:
    kept = tmp_path / "kept.jsonl"
    study(line(), {"degree": [1]}, executor=AtOnce(), keep=kept)
    heading, entry = kept.read_text().splitlines()
    for edit in (
        {"schedule": {"cycle": 2330}}, {"schedule": None}, {"bound": "x"}, {"status": None},
    ):  # fmt: skip
        given = json.loads(entry)
        answer = given["answer"]
        for key, value in edit.items():
            answer[key] = answer[key] | value if isinstance(value, dict) else value
        kept.write_text(f"{heading}\n{json.dumps(given)}\n")
        executor = AtOnce()
        found = study(line(), {"degree": [1]}, executor=executor, keep=kept)
        assert (len(executor.submitted), found.points[0].cycle_time) == (1, 234)


HOSTILE: list[dict[str, Any]] = [
    {"bound": "1e999999999"},
    {"bound": "1/0"},
    {"bound": "9" * 5000},
    {"bound": "100000"},
    {"bound": ["1"]},
    {"status": "\x1b[31m"},
    {"status": ["optimal"]},
    {"status": "not run ever"},
    {"runtime": "nan"},
    {"runtime": float("nan")},
    {"runtime": float("inf")},
    {"runtime": 10**400},
    {"schedule": {"ticks_per_unit": "1e999999999"}},
    {"schedule": {"ticks_per_unit": "0"}},
    {"schedule": {"ticks_per_unit": "-1"}},
    {"schedule": {"cycle": 10**400}},
    {"schedule": {"cycle": "234"}},
    {"schedule": {"steps": [[0, "\x1b[2J", "Bath"]] * 3}},
    {"schedule": {"steps": [[0, "Load", "Unload"]] * 60_000}},
    {"schedule": {"steps": {"a": 1}}},
    {"schedule": {"steps": [[None, None, None]]}},
    {"schedule": {"steps": []}},
]


@pytest.mark.parametrize("edit", HOSTILE, ids=range(len(HOSTILE)))
def test_a_kept_answer_that_is_none_is_solved_again_at_once(
    tmp_path: Path, edit: dict[str, Any]
) -> None:
    kept = tmp_path / "kept.jsonl"
    study(line(), {"degree": [1]}, executor=AtOnce(), keep=kept)
    heading, entry = kept.read_text().splitlines()
    given = json.loads(entry)
    answer = given["answer"]
    for key, value in edit.items():
        answer[key] = answer[key] | value if isinstance(value, dict) else value
    kept.write_text(f"{heading}\n{json.dumps(given)}\n")
    executor = AtOnce()
    began = time.monotonic()
    found = study(line(), {"degree": [1]}, executor=executor, keep=kept)
    assert (len(executor.submitted), found.points[0].cycle_time) == (1, 234)
    assert time.monotonic() - began < 20


def test_what_a_kept_answer_says_is_printable(tmp_path: Path) -> None:
    kept = tmp_path / "kept.jsonl"
    study(line(), {"degree": [1]}, executor=AtOnce(), keep=kept)
    heading, entry = kept.read_text().splitlines()
    given = json.loads(entry)
    given["answer"] |= {"status": "infeasible", "schedule": None, "bound": None}
    given["answer"]["reason"] = "because\x1b]0;owned\x07 " + "x" * 100_000
    kept.write_text(f"{heading}\n{json.dumps(given)}\n")
    found = study(line(), {"degree": [1]}, executor=AtOnce(), keep=kept)
    reason = found.points[0].answer.reason
    assert reason is not None
    assert reason.startswith(r"because\x1b]0;owned\x07 xxx")
    assert reason.isprintable()
    assert len(reason) < 5000


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_no_file_of_answers(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="pipe"):
        study(line(), {"degree": [1]}, executor=AtOnce(), keep=tmp_path / "pipe")


def test_an_answer_cut_short_counts_only_while_no_more_time_is_given(tmp_path: Path) -> None:
    kept = tmp_path / "kept.jsonl"
    hard = line("quillhaven_anodising")
    counts = []
    for limit in (0.01, 0.01, 0.005, 0.02, None):
        executor = AtOnce() if limit else Idle()
        study(hard, {"degree": [6]}, time_limit=limit, executor=executor, keep=kept)
        counts.append(sum(given[1] == 6 for given in executor.submitted))
    assert counts == [1, 0, 0, 1, 1]


class Idle(AtOnce):
    """Never finds anything."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.submitted.append(args)
        future: Future[Any] = Future()
        future.set_result({"status": "unknown"})
        return future


@pytest.mark.parametrize("text", ["name = 1\n", "{}\n", '{"file": "other"}\n', "\xff"])
def test_a_file_of_something_else_is_not_written_to(text: str, tmp_path: Path) -> None:
    file = tmp_path / "precious"
    file.write_bytes(text.encode("latin-1"))
    with pytest.raises(InputError, match="precious"):
        study(line(), {"degree": [1]}, executor=AtOnce(), keep=file)
    assert file.read_bytes() == text.encode("latin-1")


# -- stopped ---------------------------------------------------------------------------


def test_ctrl_c_keeps_what_is_done() -> None:
    stop = Stop()
    found = study(
        line(),
        {"degree": [1, 2]},
        effort=Effort(stop=stop),
        executor=AtOnce(),
        on_point=lambda *news: stop.set(),
    )
    assert not found.complete
    assert [point.status for point in found.points] == ["optimal", "not run"]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc")
@pytest.mark.parametrize("way", ["SIGINT", "SIGKILL"])
def test_a_stopped_command_leaves_its_answers_and_no_process(way: str, tmp_path: Path) -> None:
    kept = tmp_path / "kept.jsonl"
    arguments = ["--vary", "degree = 1, 9", "--jobs", "1", "--keep", str(kept)]
    file = str(PROBLEMS / "quillhaven_anodising.toml")
    command = subprocess.Popen(
        [sys.executable, "-m", "hoistopt", "study", file, *arguments],
        cwd=Path(__file__).parents[3],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        deadline = time.monotonic() + 60
        while not (kept.exists() and kept.read_text().count("\n") >= 2):
            assert command.poll() is None, command.communicate()
            assert time.monotonic() < deadline
            time.sleep(0.05)
        time.sleep(0.3)
        if way == "SIGINT":  # as a terminal sends it: to all of them
            os.killpg(command.pid, signal.SIGINT)
        else:
            command.kill()
        out, err = command.communicate(timeout=30)
    finally:
        command.kill()
        command.wait()
    while _session(command.pid):
        assert time.monotonic() < deadline
        time.sleep(0.05)
    assert "Traceback" not in out + err
    if way == "SIGINT":
        assert command.returncode == 3, err
        assert "1 of 2 points: not run" in out
        assert "proved least" in out
    assert [json.loads(row)["answer"]["status"] for row in kept.read_text().splitlines()[1:]] == [
        "optimal"
    ]


def _session(leader: int) -> list[str]:
    """Processes that are left of a session."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            text = stat.read_text()
        except OSError:
            continue
        fields = text.rpartition(")")[2].split()
        if int(fields[3]) == leader and fields[0] != "Z":
            found.append(text)
    return found

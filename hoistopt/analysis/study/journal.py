"""Answers kept in a file as they come, so that a study can go on where it was stopped."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ...base.errors import InputError
from ...base.files import check_target
from ...base.text import read_text

_MARK = "hoistopt study answers 1"
MOST_BYTES = 200_000_000


class Journal:
    """A file of answers: one line of JSON each, appended and flushed as they come.

    An answer is used again when its problem, degree and seed are the same, and it was
    final or had at least as much time.

    Raises
    ------
    InputError
        When there is such a file and it holds something else, or it cannot be written.
    """

    def __init__(self, path: str | Path, seed: int, time_limit: float | None) -> None:
        self._path = check_target(path)
        self._seed, self._limit = seed, time_limit
        self._known: dict[str, dict[str, Any]] = {}
        if self._path.exists():
            self._read(path)

    def _read(self, given: str | Path) -> None:
        text = read_text(self._path, MOST_BYTES)
        lines = text.split("\n")
        if text and _parsed(lines[0]) != {"file": _MARK}:
            raise InputError(
                "a file that a study has kept answers in, or none yet",
                file=given,
                way_out="Choose another name.",
            )
        for line in lines[1:]:
            entry = _parsed(line)  # None where a kill has cut the last line off
            if entry is not None and entry.get("seed") == self._seed:
                self._known[str(entry.get("key"))] = entry

    def answer(self, key: str) -> dict[str, Any] | None:
        """What is known of a point; None where it is to be solved."""
        entry = self._known.get(key)
        answer = None if entry is None else entry.get("answer")
        if entry is None or not isinstance(answer, dict):
            return None
        if answer.get("status") in ("optimal", "infeasible"):
            return answer
        had = entry.get("time_limit")
        enough = self._limit is not None and isinstance(had, int | float) and had >= self._limit
        return answer if enough else None

    def keep(self, key: str, answer: dict[str, Any]) -> None:
        """Write an answer down, unless there was none."""
        if answer["status"] == "failed":
            return
        entry = {"key": key, "seed": self._seed, "time_limit": self._limit, "answer": answer}
        fresh = not self._path.exists() or self._path.stat().st_size == 0
        try:
            with self._path.open("a", encoding="utf-8") as stream:
                if fresh:
                    stream.write(json.dumps({"file": _MARK}) + "\n")
                elif not self._ends_whole():
                    stream.write("\n")
                stream.write(json.dumps(entry) + "\n")
        except OSError as error:
            raise InputError(
                f"a file that can be written ({error.strerror})", file=self._path
            ) from None

    def _ends_whole(self) -> bool:
        with self._path.open("rb") as stream:
            stream.seek(-1, 2)
            return stream.read(1) == b"\n"


def _parsed(line: str) -> dict[str, Any] | None:
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None

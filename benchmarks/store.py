"""The rows of a run in an append-only CSV file, so that a killed run can go on."""

from __future__ import annotations

import csv
import fcntl
import io
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TextIO

from .lines.cases import fingerprint
from .machine import machine, versions_of
from .methods import METHODS
from .runner import Answer, Job

_WHOLE = "."
"""In the last column of each row; a row cut off by a kill lacks it."""


@dataclass(frozen=True)
class Row:
    """One run. Times in seconds, `cycle` and `bound` in ticks, memory in MiB."""

    case: str
    group: str
    family: str
    tanks: int
    layout: str
    recipes: int
    degree: int
    seed: int
    line: str
    method: str
    repeat: int
    workers: int
    time_limit: float
    code: str
    versions: str
    machine: str
    status: str
    cycle: int | None
    bound: int | None
    seconds: float | None
    first_seconds: float | None
    best_seconds: float | None
    process_seconds: float
    peak_mb: float
    message: str
    finished: str

    @property
    def key(self) -> tuple[object, ...]:
        """What makes a run the same as another: a row with this key need not be run again."""
        return tuple(getattr(self, name) for name in KEY)

    @property
    def proven(self) -> bool:
        """Whether the answer is final and came within the limit."""
        done = self.status in ("optimal", "infeasible")
        return done and self.seconds is not None and self.seconds <= self.time_limit

    @property
    def gap(self) -> float | None:
        """How far the cycle time may be above the least, as a share of it."""
        if self.cycle is None or self.bound is None:
            return None
        return (self.cycle - self.bound) / self.cycle


KEY = (
    *("case", "line", "method", "repeat", "workers", "time_limit", "code", "versions", "machine"),
)
_COLUMNS = [field.name for field in fields(Row)]
_NUMBERS: dict[str, Any] = {
    **dict.fromkeys(("tanks", "recipes", "degree", "seed", "repeat", "workers"), int),
    **dict.fromkeys(("cycle", "bound"), int),
    **dict.fromkeys(("time_limit", "seconds", "first_seconds", "best_seconds"), float),
    **dict.fromkeys(("process_seconds", "peak_mb"), float),
}


def key_of(job: Job, code: str) -> tuple[object, ...]:
    """The key that the row of a job will have."""
    return make_row(job, code, Answer("unknown")).key


def make_row(job: Job, code: str, answer: Answer) -> Row:
    """The row of a job; `code` is the digest of what its method ran."""
    case, method = job.case, METHODS[job.method]
    return Row(
        case=case.name,
        group=case.group,
        family=case.family,
        tanks=case.tanks,
        layout=case.layout,
        recipes=case.recipes,
        degree=case.degree,
        seed=case.seed,
        line=fingerprint(case),
        method=job.method,
        repeat=job.repeat,
        workers=job.workers,
        time_limit=float(job.time_limit),
        code=code,
        versions=versions_of(method),
        machine=machine(),
        status=answer.status,
        cycle=answer.cycle,
        bound=answer.bound,
        seconds=_rounded(answer.seconds),
        first_seconds=_rounded(answer.first_seconds),
        best_seconds=_rounded(answer.best_seconds),
        process_seconds=round(answer.process_seconds, 4),
        peak_mb=round(answer.peak_mb, 1),
        message=answer.message,
        finished=datetime.now(UTC).isoformat(timespec="seconds"),
    )


def _rounded(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds, 4)


class Store:
    """Rows on disk; only one run may write to a file at a time."""

    def __init__(self, path: Path, stream: TextIO) -> None:
        self.path = path
        self._stream = stream

    def rows(self) -> list[Row]:
        """All whole rows, in the order they were written."""
        return read_rows(self.path)

    def append(self, row: Row) -> None:
        """Write a row so that it outlives a kill."""
        values = [getattr(row, name) for name in _COLUMNS]
        self._line([*("" if value is None else value for value in values), _WHOLE])

    def _line(self, values: list[object]) -> None:
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerow(values)
        self._stream.write(text.getvalue())
        self._stream.flush()
        os.fsync(self._stream.fileno())

    def begin(self) -> None:
        """The header where there is none; a line end where a kill has cut one off."""
        text = self.path.read_bytes()
        if not text:
            self._line([*_COLUMNS, "end"])
        elif not text.endswith(b"\n"):
            self._stream.write("\n")
            self._stream.flush()


@contextmanager
def open_store(path: Path) -> Iterator[Store]:
    """The store at a path, made if need be, for one process at a time.

    Raises
    ------
    BlockingIOError
        While another run writes to it.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a", encoding="utf-8", newline="") as stream:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
        store = Store(path, stream)
        store.begin()
        yield store


def read_rows(path: Path) -> list[Row]:
    """The whole rows of a file; what a kill has cut off is passed over."""
    with path.open(encoding="utf-8", newline="") as stream:
        return [
            _row(given)
            for given in csv.DictReader(stream)
            if given.get("end") == _WHOLE and None not in given
        ]


def _row(given: dict[str, str]) -> Row:
    values: dict[str, Any] = {name: given[name] for name in _COLUMNS}
    for name, kind in _NUMBERS.items():
        values[name] = None if values[name] == "" else kind(values[name])
    return Row(**values)

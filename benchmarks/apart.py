"""Suites with a module of their own: runs in processes of their own, and what is kept of them."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from hoistopt.base.files import write_atomically

from .machine import machine, memory


def unknown_method(asked: Sequence[str], methods: Mapping[str, str]) -> bool:
    """Whether one of the methods asked for is none; that is told then."""
    wrong = [name for name in asked if name not in methods]
    if wrong:
        print(f"error: --methods: {wrong[0]} is none of {', '.join(methods)}", file=sys.stderr)
    return bool(wrong)


def answer_of(module: str, arguments: Sequence[str], seconds: float) -> dict[str, Any] | None:
    """What a module says in a file that it is given the name of; None where it was killed.

    Parameters
    ----------
    arguments : sequence of str
        Before the name of the file.
    seconds : float
        After which it is killed.
    """
    with tempfile.TemporaryDirectory(prefix="hoistopt-bench-") as folder:
        answer = Path(folder) / "answer.json"
        command = [sys.executable, "-m", module, *arguments, str(answer)]
        try:
            subprocess.run(command, check=True, timeout=seconds)
        except subprocess.TimeoutExpired:
            return None
        found: dict[str, Any] = json.loads(answer.read_text(encoding="utf-8"))
        return found


def about(workers: int, note: str | None) -> dict[str, str]:
    """On what, and when, a suite was run."""
    told = {
        "machine": f"{machine()}, {memory()}",
        "workers": str(workers),
        "run": datetime.now(UTC).isoformat(timespec="minutes"),
    }
    return told | ({"note": note} if note else {})


def keep(out: Path, kind: Any, rows: Sequence[Any], report: str) -> None:
    """Write ``runs.csv`` and ``results.md`` into a folder.

    Parameters
    ----------
    kind : type
        The dataclass of the rows.
    """
    out.mkdir(parents=True, exist_ok=True)
    with (out / "runs.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, [field.name for field in fields(kind)])
        writer.writeheader()
        writer.writerows(asdict(row) for row in rows)
    write_atomically(out / "results.md", report)
    print(f"Wrote {out / 'results.md'}")

"""One run of one method, in a process of its own: job on standard input, answer in a file.

Not for people; `benchmarks.runner` starts it.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from importlib import import_module
from pathlib import Path
from typing import Any


def main() -> None:
    """Read the job, run it, write the answer whole."""
    job = json.loads(sys.stdin.readline())
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    answer = _run(job)
    part = Path(job["answer"] + ".part")
    part.write_text(json.dumps(answer))
    part.replace(job["answer"])
    # What the solvers leave behind at exit is not part of the measurement.
    os._exit(0)


def _leave_with_parent() -> None:
    """End when the other end of standard input goes, however it went."""
    sys.stdin.read()
    os._exit(1)


def _run(job: dict[str, Any]) -> dict[str, Any]:
    from hoistopt.checker import Refused, replay

    from .carry import schedule_to_json
    from .lines.cases import Case
    from .methods import METHODS
    from .methods.outcome import Clock

    problem = Case(**job["case"]).problem()
    module = METHODS[job["method"]].module
    solve = import_module(f".methods.{module}", __package__).solve
    clock = Clock(job["time_limit"])
    try:
        outcome = solve(problem, job["case"]["degree"], job["workers"], job["seed"], clock)
    except Refused as refused:
        return {"refused": str(refused)}
    # hoistopt has checked its schedule within the time; so must the others.
    if outcome.schedule is not None and module != "product":
        seen = replay(problem, outcome.schedule)
        if not seen.clean:
            return {"refused": "; ".join(map(str, seen.violations[:3]))}
    return {
        "seconds": clock.elapsed(),
        "status": outcome.status,
        "bound": outcome.bound,
        "schedule": None if outcome.schedule is None else schedule_to_json(outcome.schedule),
        "first_seconds": clock.first,
        "best_seconds": clock.best,
    }


if __name__ == "__main__":
    main()

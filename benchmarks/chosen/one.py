"""One run in a process of its own: `one FAMILY TANKS SEED DEGREE LIMIT WORKERS ANSWER`.

Not for people; the suite starts it.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, Literal

from hoistopt.planning import cycle as planning

from ..lines.cases import Case


def run(case: Case, degree: int | None, limit: float, workers: int) -> dict[str, Any]:
    """What :func:`hoistopt.solve` says at a degree, or of the best where none is given.

    Returns
    -------
    dict
        `status`, `at` (the degree), `per_load` (time per load in the unit, or None), `bound`
        (on that) and `seconds`.
    """
    asked: int | Literal["best"] = "best" if degree is None else degree
    result = planning.solve(case.problem(), asked, limit, workers)
    bound = None if result.lower_bound is None else result.lower_bound / result.loads_per_cycle
    if result.choice is not None:
        bound = result.choice.least_of_compared
    return {
        "status": result.status,
        "at": result.degree,
        "per_load": None if result.time_per_load is None else float(result.time_per_load),
        "bound": None if bound is None else float(bound),
        "seconds": round(result.runtime, 2),
    }


def main(arguments: list[str]) -> None:
    """Run, and write the answer whole."""
    family, tanks, seed, degree, limit, workers, answer = arguments
    case = Case(family, int(tanks), int(seed))
    given = None if degree == "best" else int(degree)
    found = run(case, given, float(limit), int(workers))
    Path(answer).write_text(json.dumps(found), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])

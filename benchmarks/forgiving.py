"""What the least cycle forgives, and the shortest that can be run, on many lines.

    python -m benchmarks.forgiving [--out DIR] [--time-limit S] [--only TEXT]

Every example of ``problems/`` and 20 random lines of the benchmark families: loads out of
window and good loads an hour of both schedules, under the scatter that a file states or the
assumed one. Writes ``runs.csv`` and ``results.md`` into DIR.
"""

from __future__ import annotations

import argparse
import csv
import platform
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from pathlib import Path

from hoistopt import load_problem, solve
from hoistopt.base.effort import Effort
from hoistopt.planning.forgiving import with_runnable
from hoistopt.planning.result import Result
from hoistopt.problem import Problem
from hoistopt.show.schedule.runnable import good_loads_an_hour
from hoistopt.show.tables.jsonfile import versions

from .lines.cases import PROBLEMS, Case
from .lines.families import WIDTHS
from .machine import machine

RESULTS = Path(__file__).parent / "results" / "forgiving"
DEGREES = {"quillhaven_anodising": 2, "parallel_tanks": 2, "hoist_limits": 2}
"""Degrees at which examples are solved, where that is not 1."""
TANKS, SEEDS = 8, (0, 1, 2)
SIZES = {
    "again": 8,
    "few-carriers": 8,
    "hoist-return": 8,
    "paced": 8,
    "real-flow": 8,
    "real-mix": 8,
    "roomy-dryer": 8,
    "two-groups": 3,
}
"""Lines with a real hoist's times: families, and the size of the line of each."""


@dataclass(frozen=True)
class Row:
    """One line: the least cycle, and the shortest found that can be run."""

    line: str
    degree: int
    unit: str
    status: str
    least: float | None
    out_least: float | None
    good_least: float | None
    runnable: float | None
    out_runnable: float | None
    good_runnable: float | None
    met: bool | None
    seconds: float


def lines() -> Iterator[tuple[str, Problem, int]]:
    """Examples, then 12 lines of the families of windows and 8 with a real hoist's times."""
    for path in sorted(PROBLEMS.glob("*.toml")):
        yield path.stem, load_problem(path), DEGREES.get(path.stem, 1)
    for family in WIDTHS:
        for seed in SEEDS:
            case = Case(family, TANKS, seed)
            yield case.name, case.problem(), 1
    for kind, size in SIZES.items():
        case = Case(kind, size, 0)
        yield case.name, case.problem(), 1


def measured(name: str, problem: Problem, degree: int, limit: float) -> Row:
    """Both schedules of one line."""
    begun = time.perf_counter()
    result = solve(problem, degree, time_limit=limit)
    if result.schedule is not None:
        result = with_runnable(result, Effort(time_limit=limit))
    return _row(name, problem, result, time.perf_counter() - begun)


def _row(name: str, problem: Problem, result: Result, seconds: float) -> Row:
    least, other = result.margin, result.runnable
    return Row(
        line=name,
        degree=result.degree,
        unit=problem.unit,
        status=result.status,
        least=None if result.cycle_time is None else float(result.cycle_time),
        out_least=None if least is None else round(least.out_of_window.share, 6),
        good_least=None if least is None else round(good_loads_an_hour(problem, least), 4),
        runnable=None if other is None else float(other.cycle_time),
        out_runnable=None if other is None else round(other.margin.out_of_window.share, 6),
        good_runnable=None
        if other is None
        else round(good_loads_an_hour(problem, other.margin), 4),
        met=None if other is None else other.met,
        seconds=round(seconds, 2),
    )


def table(rows: list[Row], how: str, limit: float) -> str:
    """The results for people to read, with machine and versions."""
    found = versions()
    text = [
        "# Least cycle and shortest that can be run",
        "",
        f"Machine: {machine()}. Versions: hoistopt {found['hoistopt']}, ortools "
        f"{found['ortools']}, python {platform.python_version()}. At most {limit:g} s for the "
        "least cycle of each line, and as long, at most the usual time, for the one that can be "
        "run. Times in the unit of the line. All lines but the published one are invented.",
        "",
        f"Out of window: share of loads over a maximum, simulated under {how}.",
        "",
        "| line | degree | least cycle | out of window | good loads/h | can be run | longer "
        "| out of window | good loads/h |",
        "| --- | --: | --: | --: | --: | --: | --: | --: | --: |",
    ]
    text += [_line(row) for row in rows]
    both = [row for row in rows if row.least is not None and row.runnable is not None]
    gain = [row for row in both if (row.good_runnable or 0) > (row.good_least or 0)]
    over = sum((row.out_least or 0) > 0 for row in both)
    text += [
        "",
        f"Of {len(both)} lines with both, {over} have loads out of window in the least cycle; "
        f"{sum(bool(row.met) for row in both)} have a cycle found that can be run; "
        f"{len(gain)} give more good loads an hour so.",
    ]
    return "\n".join(text) + "\n"


def _line(row: Row) -> str:
    least = "none" if row.least is None else f"{row.least:g}"
    if row.least is not None and row.status != "optimal":
        least += " (not proved)"
    longer = run = "-"
    if row.least is not None and row.runnable is not None:
        longer = f"{100 * (row.runnable / row.least - 1):.1f} %"
        run = f"{row.runnable:g}" + ("" if row.met else " (nearest)")
    cells = [
        row.line, str(row.degree), least, _share(row.out_least), _figure(row.good_least), run,
        longer, _share(row.out_runnable), _figure(row.good_runnable),
    ]  # fmt: skip
    return f"| {' | '.join(cells)} |"


def _share(value: float | None) -> str:
    return "-" if value is None else f"{100 * value:.2f} %"


def _figure(value: float | None) -> str:
    return "-" if value is None else f"{value:.2f}"


def main() -> None:
    """Measure every line and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", default=str(RESULTS), metavar="DIR")
    parser.add_argument("--time-limit", type=float, default=10.0, metavar="S")
    parser.add_argument("--only", default="", metavar="TEXT", help="lines whose name has this")
    options = parser.parse_args()
    rows: list[Row] = []
    scatters: set[str] = set()
    for name, problem, degree in lines():
        if options.only not in name:
            continue
        rows.append(measured(name, problem, degree, options.time_limit))
        scatters.add(_scatter_of(problem))
        print(_line(rows[-1]), flush=True)
    folder = Path(options.out)
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "runs.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, [field.name for field in fields(Row)])
        writer.writeheader()
        writer.writerows(asdict(row) for row in rows)
    how = " or ".join(sorted(scatters))
    text = table(rows, how, options.time_limit)
    (folder / "results.md").write_text(text, encoding="utf-8")


def _scatter_of(problem: Problem) -> str:
    from hoistopt.margin.scattering import scatter_of

    scatter, assumed = scatter_of(problem)
    whose = "assumed, invented" if assumed else "as the file states, invented"
    return f"{'; '.join(scatter.times)} ({whose})"


if __name__ == "__main__":
    main()

"""A year of a line's log, made up, and what reading and judging it takes.

python -m benchmarks.year_log [--no-carriers] [--rows N] [FOLDER]
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

import hoistopt
from hoistopt import checker

START = 1_735_689_600_000_000
"""The start of 2025, UTC, in microseconds."""


def line() -> hoistopt.Problem:
    """A line of 20 stations and one recipe, invented."""
    names = [f"Tank {number}" for number in range(1, 19)]
    windows = [(60, 180), (30, 90), (120, 200), (25, 80), (150, 330), (30, 90)]
    return hoistopt.Problem(
        "Twenty stations",
        note="Invented: there is no such line.",
        stations=[
            hoistopt.Station("In", kind="load", position=0, capacity="unlimited"),
            *(hoistopt.Station(name, position=n + 1) for n, name in enumerate(names)),
            hoistopt.Station("Out", kind="unload", position=19, capacity="unlimited"),
        ],
        hoist=hoistopt.Hoist(
            lift=6, lower=5, loaded=hoistopt.Motion("0.8"), empty=hoistopt.Motion("1.2")
        ),
        recipes=[
            hoistopt.Recipe(
                "Frames",
                [
                    hoistopt.Stage(name, min=windows[n % 6][0], max=windows[n % 6][1])
                    for n, name in enumerate(names)
                ],
            )
        ],
    )


def write_year(problem: hoistopt.Problem, path: Path, rows: int, *, carriers: bool) -> int:
    """Write a log of about so many rows; gives the number that it has.

    The steady cycle of the line's shortest schedule over and over, every cycle a little late
    at random, and a stop now and then.
    """
    result = hoistopt.solve(problem, degree=1, time_limit=10, workers=1)
    assert result.schedule is not None
    seen = checker.replay(problem, result.schedule, 40)
    period = float(seen.cycle_time)
    first, moves = seen.steady_from, len(seen.schedule.steps)
    steady = [run for run in seen.runs if run.cycle == first + 1]
    assert len(steady) == moves
    cycles = rows // (2 * moves)
    rng = np.random.default_rng(19)
    late = rng.gamma(1.5, 1.0, cycles) + (rng.random(cycles) < 0.004) * rng.gamma(2, 240, cycles)
    begin = np.arange(cycles) * period + np.cumsum(late) - late
    entered = {run.carrier: run.cycle for run in seen.runs if run.stage == 0 and run.cycle <= first}
    entered |= {run.carrier: run.cycle for run in steady if run.stage == 0}
    load = np.array([entered[run.carrier] for run in steady])
    times, names, events, who = [], [], [], []
    for number, run in enumerate(steady):
        for event, at, station in (("lift", run.start, run.source), ("lower", run.end, run.target)):
            times.append(begin + float(at) + rng.random(cycles) * 0.4)
            names.append(station)
            events.append(event)
            who.append(load[number] + np.arange(cycles))
    when = np.array(times)
    order = np.argsort(when.T.ravel(), kind="stable")
    kinds = len(names)
    stamps = (START + (when.T.ravel()[order] * 1000).astype(np.int64) * 1000).astype(
        "datetime64[us]"
    )
    text = np.datetime_as_string(stamps, unit="ms")
    carrier = np.array(who).T.ravel()[order] % 31
    with path.open("w", encoding="utf-8") as file:
        file.write("time;event;station" + (";carrier" if carriers else "") + "\n")
        for begin_row in range(0, len(order), 100_000):
            part = slice(begin_row, begin_row + 100_000)
            kind = order[part] % kinds
            file.writelines(
                f"{t};{events[k]};{names[k]};C{c:02d}\n"
                if carriers
                else f"{t};{events[k]};{names[k]}\n"
                for t, k, c in zip(text[part], kind, carrier[part], strict=True)
            )
    return len(order)


def main() -> None:
    """Make a log, judge it in a process of its own, and tell what that took."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?")
    parser.add_argument("--no-carriers", action="store_true")
    parser.add_argument("--rows", type=int, default=2_000_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(options.folder or temporary)
        problem = line()
        problem.save(folder / "line.toml")
        rows = write_year(
            problem, folder / "year.csv", options.rows, carriers=not options.no_carriers
        )
        began = time.monotonic()
        command = [sys.executable, "-m", "hoistopt", "log"]
        files = [str(folder / name) for name in ("line.toml", "year.csv")]
        subprocess.run([*command, *files], check=False)
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        print(
            f"{rows} events: {used.ru_utime + used.ru_stime:.1f} s of CPU, "
            f"{time.monotonic() - began:.1f} s in all, {used.ru_maxrss / 1e6:.2f} GB at most"
        )


if __name__ == "__main__":
    main()

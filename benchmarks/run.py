"""Run a suite: `python -m benchmarks.run SUITE [--out DIR] [--time-limit S]`.

Every run is a process of its own. Rows are appended to DIR/runs.csv as they come; started
again, a suite goes on where it was stopped, however it was stopped. Runs count as done
while the code, the versions, the machine and the limit are the same.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from .agreement import Agreement, Contradiction
from .machine import cores
from .methods import METHODS
from .runner import Job, Refused, run_job
from .snapshot import codes, compile_loops, snapshot
from .store import Row, Store, key_of, make_row, open_store
from .suites import SUITES, Batch, suite
from .tables.report import write_report

RESULTS = Path(__file__).parent / "results"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a suite; 0 when done, 1 when answers contradict, 2 for usage, 130 interrupted."""
    options = _parser().parse_args(arguments)
    methods = None if options.methods is None else tuple(options.methods.split(","))
    unknown = [name for name in methods or () if name not in METHODS]
    if unknown or (options.time_limit is not None and not options.time_limit > 0):
        wrong = f"--methods: expected some of {', '.join(METHODS)}" if unknown else "--time-limit"
        print(f"error: {wrong}", file=sys.stderr)
        return 2
    batches = suite(options.suite, options.time_limit, methods)
    if options.aims is not None:
        aims = {batch.aim for batch in batches if batch.aim}
        if not aims.issuperset(options.aims.split(",")):
            told = f"some of {', '.join(sorted(aims))}" if aims else "nothing, this suite has none"
            print(f"error: --aims: expected {told}", file=sys.stderr)
            return 2
        batches = [batch for batch in batches if batch.aim in options.aims.split(",")]
    if options.only:
        batches = [only(batch, options.only.split(",")) for batch in batches]
        if not any(batch.cases for batch in batches):
            print(f"error: --only: no line has {options.only} in its name", file=sys.stderr)
            return 2
    folder = Path(options.out) if options.out else RESULTS / options.suite
    try:
        with open_store(folder / "runs.csv") as store, snapshot() as root:
            bench = _Bench(store, root, batches, options.workers)
            return bench.run(folder, options.suite, options.report)
    except BlockingIOError:
        print(f"error: another run writes to {folder}", file=sys.stderr)
        return 2
    except (Refused, Contradiction) as error:
        print(f"error: stopped: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("stopped; run again to go on", file=sys.stderr)
        return 130


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m benchmarks.run", description=__doc__)
    parser.add_argument("suite", choices=SUITES, help="which cases")
    parser.add_argument("--out", metavar="DIR", help="folder of the results (default: by suite)")
    parser.add_argument("--time-limit", metavar="S", type=float, help="seconds, for every run")
    parser.add_argument("--methods", metavar="A,B", help=f"only these of {', '.join(METHODS)}")
    parser.add_argument("--aims", metavar="A,B", help="only the cases of these targets")
    parser.add_argument("--only", metavar="A,B", help="lines with one of these in their names")
    parser.add_argument(
        "--workers", metavar="N", type=int, default=cores(), help="search threads (default: cores)"
    )
    parser.add_argument(
        "--report", action="store_true", help="only write the report, from the latest rows"
    )
    return parser


def only(batch: Batch, texts: Sequence[str]) -> Batch:
    """Return the batch with only those lines whose names have one of some texts in them."""
    cases = tuple(case for case in batch.cases if any(text in case.name for text in texts))
    return replace(batch, cases=cases)


class _Bench:
    """The runs of a suite: those done, and those to do."""

    def __init__(self, store: Store, root: Path, batches: list[Batch], workers: int) -> None:
        self.store, self.root, self.batches = store, root, batches
        # Batches may share runs.
        self.jobs = list(dict.fromkeys(job for b in batches for job in b.jobs(workers)))
        self.codes = codes(root)
        self.keys = [key_of(job, self.codes[job.method]) for job in self.jobs]
        self.agreement = Agreement()
        self.done: dict[tuple[object, ...], Row] = {}
        for row in store.rows():
            self.agreement.add(row)
            if row.status != "error":  # the next attempt may fare better
                self.done[row.key] = row

    def run(self, folder: Path, name: str, report: bool) -> int:
        """Do what is missing, unless only the report is wanted, and write the report."""
        try:
            if not report:
                self._all()
        finally:
            rows = [self.done[key] for key in self.keys if key in self.done]
            latest = self._latest()
            if report:
                rows = [latest[key] for key in map(_which, self.jobs) if key in latest]
            missing = len(self.keys) - len(rows)
            write_report(folder, name, self.batches, rows, missing, list(latest.values()))
        print(f"Wrote {folder / 'results.md'}")
        return 0

    def _all(self) -> None:
        missing = [
            job for job, key in zip(self.jobs, self.keys, strict=True) if key not in self.done
        ]
        if any("hoistopt/solver" in METHODS[job.method].sources for job in missing):
            compile_loops(self.root)
        with _progress(len(self.jobs)) as tell:
            for job, key in zip(self.jobs, self.keys, strict=True):
                if key not in self.done:
                    tell(job, None)
                    row = make_row(job, self.codes[job.method], run_job(job, self.root))
                    self.agreement.add(row)
                    self.store.append(row)
                    self.done[key] = row
                tell(job, self.done[key])

    def _latest(self) -> dict[tuple[object, ...], Row]:
        """The last row of each job, made with whatever code; the report names them."""
        return {
            (row.case, row.method, row.repeat, row.workers, row.time_limit): row
            for row in self.done.values()
        }


def _which(job: Job) -> tuple[object, ...]:
    return job.case.name, job.method, job.repeat, job.workers, job.time_limit


@contextmanager
def _progress(total: int) -> Iterator[Callable[[Job, Row | None], None]]:
    """A bar on a terminal, a line a run elsewhere."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeElapsedColumn

    console = Console(stderr=True, highlight=False)
    with Progress(
        "{task.description}",
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        console=console,
        disable=not console.is_terminal,
    ) as bar:
        task = bar.add_task("", total=total)

        def tell(job: Job, row: Row | None) -> None:
            what = f"{job.case.name} {job.method}"
            if row is None:
                bar.update(task, description=what)
                return
            bar.advance(task)
            if not console.is_terminal:
                spent = "-" if row.seconds is None else f"{row.seconds:.2f} s"
                told = f" ({row.message})" if row.message else ""
                console.print(f"{what}: {row.status} {row.cycle or '-'} {spent}{told}")

        yield tell


if __name__ == "__main__":
    sys.exit(main())

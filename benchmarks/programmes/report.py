"""What the suite came to, as Markdown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from .next_load import Asked
from .one import METHODS
from .tasks import Task

SHORTER, FIRST_ORDERS, FIRST_PUBLISHED, ANSWER = 0.05, 5.0, 1.0, 0.2
"""Targets: share by which 60 loads are done sooner than first come first served; seconds to a
first programme of 60 loads, and of the published line; seconds of an answer."""


class Run(Protocol):
    """What the report reads of a run."""

    @property
    def task(self) -> str: ...
    @property
    def method(self) -> str: ...
    @property
    def status(self) -> str: ...
    @property
    def limit(self) -> float: ...
    @property
    def finish(self) -> float | None: ...
    @property
    def bound(self) -> float | None: ...
    @property
    def late(self) -> float | None: ...
    @property
    def cpu(self) -> float: ...
    @property
    def first(self) -> float | None: ...
    @property
    def first_cpu(self) -> float | None: ...
    @property
    def load(self) -> float: ...


def report(
    tasks: Sequence[Task], rows: Sequence[Run], answers: Sequence[Asked], about: Mapping[str, str]
) -> str:
    """The whole report."""
    parts = ["# Suite `programmes`"]
    loads = [row.load for row in rows]
    facts = [f"- {name}: {value}" for name, value in about.items()]
    if loads:
        facts.append(
            f"- load average of the machine after each run: {min(loads):g} to {max(loads):g}"
            " (where nothing else runs: at most about the number of workers)"
        )
    parts.append("\n".join(facts))
    parts.append("\n".join(f"- `{name}`: {what}" for name, what in METHODS.items()))
    if rows:
        parts.append("## Targets\n\n" + _targets(tasks, rows, answers))
        parts.append("## Runs\n\n" + _runs(tasks, rows) + "\n\n" + NOTES)
    if answers:
        parts.append("## The next load\n\n" + _answers(answers))
    return "\n\n".join(parts) + "\n"


NOTES = """\
- *finish*: when the last carrier is set down, in the line's unit; *late*: weighted lateness, which
  comes before the finish where orders have due times.
- *against fcfs*: how much sooner (-) or later (+) than first come first served in the same run.
- *gap*: (finish - bound) / finish, by the method's own bound.
- *first*: seconds from the problem to a first programme, imports left out; *first CPU*, *CPU*:
  processor seconds to the first one, and in all. The checker has accepted every programme."""


def _table(header: Sequence[str], lines: Sequence[Sequence[str]], words: int) -> str:
    rule = ["---" if n < words else "---:" for n in range(len(header))]
    return "\n".join("| " + " | ".join(line) + " |" for line in (header, rule, *lines))


def _figure(value: float | None, digits: int = 2) -> str:
    return "-" if value is None else f"{value:.{digits}f}"


def _runs(tasks: Sequence[Task], rows: Sequence[Run]) -> str:
    what = {task.name: task.what for task in tasks}
    by = {(row.task, row.method): row for row in rows}
    lines = []
    for row in rows:
        plain = by.get((row.task, "fcfs"))
        against = gap = "-"
        if plain is not None and plain.finish and row.finish is not None:
            against = f"{row.finish / plain.finish - 1:+.1%}"
            if row.late is not None and plain.late:
                against += f" (late {row.late / plain.late - 1:+.0%})"
        if row.bound is not None and row.finish:
            gap = f"{max(0.0, 1 - row.bound / row.finish):.1%}"
        lines.append(
            [
                f"{row.task}: {what.get(row.task, '')}" if row.method == "hoistopt" else row.task,
                row.method,
                f"{row.limit:g}",
                row.status,
                _figure(row.finish, 1),
                _figure(row.late, 0),
                against,
                gap,
                _figure(row.first),
                _figure(row.first_cpu),
                _figure(row.cpu, 1),
            ]
        )
    header = ["task", "method", "limit s", "answer", "finish", "late", "against fcfs", "gap"]
    return _table([*header, "first s", "first CPU s", "CPU s"], lines, 2)


def _targets(tasks: Sequence[Task], rows: Sequence[Run], answers: Sequence[Asked]) -> str:
    by = {(row.task, row.method): row for row in rows}
    lines = []
    for task in tasks:
        ours, plain = by.get((task.name, "hoistopt")), by.get((task.name, "fcfs"))
        cycle = by.get((task.name, "cycle"))
        if ours is None or not task.target:
            continue
        within = FIRST_PUBLISHED if task.target == "published" else FIRST_ORDERS
        lines.append(
            [
                f"{task.name}: a first programme within {within:g} s",
                f"{_figure(ours.first)} s ({_figure(ours.first_cpu)} s of processor time)",
                _verdict(None if ours.first is None else ours.first <= within),
            ]
        )
        if task.target == "published" and cycle is not None:
            met = None
            if ours.finish is not None and cycle.finish is not None:
                met = ours.finish <= cycle.finish
            measured = f"{_figure(ours.finish, 0)} against {_figure(cycle.finish, 0)}"
            told = f"{task.name}: within {ours.limit:g} s no longer than its best cycle run out"
            lines.append([told, f"{measured}, bound {_figure(ours.bound, 0)}", _verdict(met)])
        if task.target == "orders" and plain is not None:
            met, measured = None, "-"
            if ours.finish is not None and plain.finish is not None:
                shorter = 1 - ours.finish / plain.finish
                met, measured = shorter >= SHORTER, f"{shorter:.1%}"
            told = f"{task.name}: after {ours.limit:g} s at least {SHORTER:.0%} shorter than fcfs"
            lines.append([told, measured, _verdict(met)])
    if answers:
        longest = max(each.longest for each in answers)
        medians = max(each.median for each in answers)
        told = f"next: an answer within {ANSWER:g} s, called from Python"
        measured = f"median at most {medians:.3f} s, longest {longest:.3f} s"
        lines.append([told, measured, _verdict(longest <= ANSWER)])
    return _table(["target", "measured", "verdict"], lines, 3)


def _verdict(met: bool | None) -> str:
    return {True: "met", False: "not met", None: "no programme"}[met]


def _answers(answers: Sequence[Asked]) -> str:
    lines = [
        [
            each.line,
            str(each.stations),
            str(each.loads),
            *(f"{value:.3f}" for value in (each.median, each.longest, each.cpu)),
            f"{each.command:.2f}",
        ]
        for each in answers
    ]
    header = ["line", "stations", "loads in it", "median s", "longest s", "CPU s", "command s"]
    return (
        _table(header, lines, 1)
        + "\n\n`hoistopt.place_next` called in a running Python, 21 times; *command*: `hoistopt "
        "plan --promised` as typed, start of Python and all imports included, median of three."
    )

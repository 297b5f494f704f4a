"""What a suite came to, as Markdown with a performance profile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import median

from hoistopt.base.files import write_atomically

from ..machine import machine, memory
from ..methods import METHODS
from ..store import Row
from ..suites import Batch
from .measured import Measured, Pair, geometric, measured
from .profile import draw_profile
from .targets import Verdict, against_stock, judge

MOST_CASES = 40
"""A table case by case is written for suites of at most so many cases."""

NOTES = """\
- *proved*: cases whose cycle time was proved least (or shown to have none) within the limit.
- *schedule*: cases that ended with a schedule; the checker has accepted every one of them.
- *time*: from the problem to a checked schedule, geometric mean; the limit where not proved.
- *first*: time to the first schedule, median over the cases that have one.
- *gap*: (cycle time - lower bound) / cycle time at the end, mean over cases with a schedule.
- *process*: whole life of the process, imports included, median.
- *peak*: most memory held by a process, MiB.
- *speed-up*: time of the direct model over time, geometric mean; "≥" where the direct model
  was cut off by the limit on some cases."""


WORST = """\
Of hoistopt the longest cycle time and the lowest bound of its searches, in ticks, and the median
time to the proof where all of them end with one."""


def write_report(
    folder: Path,
    name: str,
    batches: list[Batch],
    rows: list[Row],
    missing: int,
    known: Sequence[Row] = (),
) -> None:
    """Write results.md and profile.png from the rows at hand; `known` as of :func:`judge`."""
    found = measured(_longest(rows))
    parts = [f"# Suite `{name}`", _made_on(rows)]
    if missing:
        parts.append(f"**Not finished: {missing} runs are missing.**")
    verdicts = judge(batches, rows, known)
    if verdicts:
        parts.append("## Targets\n\n" + _targets(verdicts))
    parts.append("## By group\n\n" + _groups(found) + "\n\n" + NOTES)
    stock = {case: runs for (case, method), runs in found.items() if method == "stock"}
    if stock:
        parts.append("## Against stock CP-SAT\n\n" + _against(stock, found) + "\n\n" + WORST)
    commands = {case: runs for (case, method), runs in found.items() if method == "command"}
    if commands:
        parts.append("## The whole command\n\n" + _command(commands, found))
    if len({case for case, _ in found}) <= MOST_CASES:
        parts.append("## Case by case\n\n" + _cases(found))
    picture = folder / "profile.png"
    if draw_profile(found, picture):
        parts.append(
            "## Performance profile\n\n![share of instances proved against time ratio]"
            "(profile.png)\n\nAfter Dolan and More (2002), Mathematical Programming 91, 201-213."
        )
    else:
        picture.unlink(missing_ok=True)
    write_atomically(folder / "results.md", "\n\n".join(parts) + "\n")


def _longest(rows: list[Row]) -> list[Row]:
    """Of runs of one method on one case those with the longest limit."""
    limits: dict[Pair, float] = {}
    for row in rows:
        pair = row.case, row.method
        limits[pair] = max(row.time_limit, limits.get(pair, 0.0))
    return [row for row in rows if row.time_limit == limits[row.case, row.method]]


def _made_on(rows: list[Row]) -> str:
    machines = dict.fromkeys(row.machine for row in rows) or {machine(): None}
    lines = [f"- machine: {'; '.join(machines)}, {memory()}"]
    for name, method in METHODS.items():
        mine = [row for row in rows if row.method == name]
        if mine:
            codes = ", ".join(dict.fromkeys(row.code for row in mine))
            versions = "; ".join(dict.fromkeys(row.versions for row in mine))
            lines.append(f"- {method.title} (`{name}`): {versions}; code {codes}")
    if rows:
        dates = sorted(row.finished[:10] for row in rows)
        lines.append(f"- workers: {', '.join(sorted({str(row.workers) for row in rows}))}")
        lines.append(f"- run: {dates[0]} to {dates[-1]}, {len(rows)} runs")
    return "\n".join(lines)


def _table(header: list[str], rows: list[list[str]], numbers_from: int = 2) -> str:
    rule = ["---" if n < numbers_from else "---:" for n in range(len(header))]
    return "\n".join("| " + " | ".join(row) + " |" for row in (header, rule, *rows))


def _targets(verdicts: list[Verdict]) -> str:
    words = {True: "met", False: "not met", None: "not finished"}
    return _table(
        ["target", "measured", "verdict"],
        [[v.target, v.measured, words[v.met]] for v in verdicts],
        3,
    )


def _groups(found: Mapping[Pair, Measured]) -> str:
    groups: dict[tuple[str, str], list[Measured]] = {}
    order = dict.fromkeys(runs.last.group for runs in found.values())
    for group in order:
        for method in METHODS:
            mine = [r for (_, m), r in found.items() if m == method and r.last.group == group]
            if mine and method != "command":
                groups[group, method] = mine
    header = ["group", "method", "cases", "limit s", "proved", "schedule", "time s", "first s"]
    header += ["gap", "process s", "peak", "speed-up"]
    return _table(header, [_group(*key, runs, found) for key, runs in groups.items()])


def _group(
    group: str, method: str, runs: list[Measured], found: Mapping[Pair, Measured]
) -> list[str]:
    firsts = [each.first for each in runs if each.first is not None]
    gaps = [each.gap for each in runs if each.gap is not None]
    return [
        group,
        method,
        str(len(runs)),
        f"{runs[0].last.time_limit:g}",
        str(sum(each.seconds is not None for each in runs)),
        str(sum(each.cycle is not None for each in runs)),
        _figure(geometric(each.counted for each in runs)),
        _figure(median(firsts)) if firsts else "-",
        f"{sum(gaps) / len(gaps):.1%}" if gaps else "-",
        _figure(median(each.process for each in runs)),
        f"{max(each.peak for each in runs):.0f}",
        "" if method == "direct" else _speedup(runs, found),
    ]


def _speedup(runs: list[Measured], found: Mapping[Pair, Measured]) -> str:
    pairs = [
        (each, found[each.last.case, "direct"])
        for each in runs
        if (each.last.case, "direct") in found
    ]
    pairs = [(a, b) for a, b in pairs if a.seconds is not None or b.seconds is not None]
    if not pairs:
        return "-"
    more = "≥ " if any(direct.seconds is None for _, direct in pairs) else ""
    return more + _figure(geometric(b.counted / a.counted for a, b in pairs))


def _against(stock: dict[str, Measured], found: Mapping[Pair, Measured]) -> str:
    rows = []
    for case, theirs in stock.items():
        ours = found.get((case, "hoistopt"))
        if ours is None:
            continue
        row = [case]
        for runs in (ours, theirs):
            row += ["-" if x is None else str(x) for x in (runs.longest, runs.bound)]
            row.append("-" if runs.seconds is None else _figure(runs.seconds))
        rows.append([*row, f"{ours.peak:.0f}", ", ".join(against_stock(ours, theirs)) or "no"])
    header = ["case", "cycle", "bound", "proved s", "stock cycle", "stock bound", "stock proved s"]
    return _table([*header, "peak", "worse in"], rows, 1)


def _command(commands: dict[str, Measured], found: Mapping[Pair, Measured]) -> str:
    rows = []
    for case, runs in commands.items():
        direct, ours = found.get((case, "direct")), found.get((case, "hoistopt"))
        ratio = "-" if direct is None else _figure(direct.process / runs.process)
        rows.append(
            [
                case,
                _figure(runs.process),
                "-" if ours is None else _figure(ours.process),
                "-" if direct is None else _figure(direct.process),
                ratio,
                f"{runs.peak:.0f}",
            ]
        )
    header = ["case", "`hoistopt solve` s", "hoistopt process s", "direct process s"]
    return _table([*header, "direct over command", "peak"], rows, 1)


def _cases(found: Mapping[Pair, Measured]) -> str:
    rows = []
    for case in dict.fromkeys(case for case, _ in found):
        for method in METHODS:
            runs = found.get((case, method))
            if runs is None or method == "command":
                continue
            row = runs.last
            rows.append(
                [case, method, row.status]
                + ["-" if x is None else str(x) for x in (runs.cycle, row.bound)]
                + ["-" if row.seconds is None else _figure(row.seconds)]
                + ["-" if runs.first is None else _figure(runs.first)]
            )
    header = ["case", "method", "answer", "cycle time", "lower bound", "time s", "first s"]
    return _table(header, rows, 3)


def _figure(value: float) -> str:
    return f"{value:.3g}" if value < 1000 else f"{value:.0f}"

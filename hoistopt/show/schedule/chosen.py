"""How a degree was chosen, and what stands idle at it: in words and as data."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...analysis.figures.report import Report
from ...base.decimals import as_decimal, told
from ...base.text import listed
from ...planning.idle import IdleTanks, idle_hoists
from ...problem import Problem
from ...problem.grid import ticks_per_unit

if TYPE_CHECKING:
    from ...planning.result import DegreeChoice, Result


def choice_sentences(problem: Problem, choice: DegreeChoice, best: Result | None) -> list[str]:
    """What was looked at, what is proved of it, and what ended the search."""
    degrees = [result.degree for result in choice.results]
    unit = problem.unit
    tick = 1 / ticks_per_unit(problem)
    below = f"no cycle of any degree is below {_below(choice.least_per_load, tick)} {unit} a load"
    known = choice.least_per_load > 0  # else there is no bound, and nothing is said of it
    and_below = f"; {below}" if known else ""
    said = []
    if best is not None and best.schedule is not None:
        exact = best.schedule.time(best.schedule.cycle) / best.loads_per_cycle
        mean = f"{as_decimal(exact, tick):f} {unit} a load"
        if choice.proved == "any degree":
            said.append(f"No cycle of any degree takes less than these {mean}.")
        elif choice.proved == "degrees compared":
            said.append(f"Of {_degrees(degrees)} none takes less than {mean}{and_below}.")
        else:
            least = f"{_below(choice.least_of_compared, tick)} {unit} a load"
            same = choice.least_of_compared == choice.least_per_load
            bounds = [*([] if same else [f"none of these is below {least}"]), *([below] * known)]
            said.append(
                f"Least found over {_degrees(degrees)}: {mean}. Whether less is possible "
                f"is not proved{': ' if bounds else ''}{', and '.join(bounds)}."
            )
    else:
        said.append(f"Looked at {_degrees(degrees)}{and_below}.")
    said += _left_out(choice)
    if choice.ended == "no progress":
        said.append(
            f"The search ended by itself after {told(choice.patience or 0)} s without progress. "
            "With a time limit it goes on until that is over."
        )
    return said


def _degrees(numbers: Sequence[int]) -> str:
    return f"degree{'s' * (len(numbers) != 1)} {listed(_spans(numbers))}"


def _left_out(choice: DegreeChoice) -> list[str]:
    """A sentence for each reason to leave degrees out."""
    by_reason: dict[str, list[int]] = {}
    for out in choice.left_out:
        by_reason.setdefault(out.reason, []).append(out.degree)
    return [
        f"{_degrees(each).capitalize()} {'was' if len(each) == 1 else 'were'} left out: {reason}."
        for reason, each in by_reason.items()
    ]


def _spans(numbers: Sequence[int]) -> list[str]:
    """Rising numbers in few words: more than three in a row by the first and last of them."""
    rows: list[list[int]] = []
    for number in numbers:
        if rows and rows[-1][-1] == number - 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    return [
        text
        for row in rows
        for text in ([f"{row[0]} to {row[-1]}"] if len(row) > 3 else map(str, row))
    ]


def _below(bound: float, tick: Fraction) -> str:
    return f"{as_decimal(Fraction(str(bound)), tick, 'down'):f}"


def idle_sentences(idle: Sequence[IdleTanks], report: Report, best: Result) -> list[str]:
    """Which tanks, hoists and carriers are not needed, and whether more could be had with them."""
    said = []
    hoists = idle_hoists(report.problem, report.schedule)
    for group in idle:
        words = group.words()
        if group.by_degree and best.choice is None and len(report.problem.hoists) == 1:
            words += " Without a degree given, the best one is looked for."
        said.append(words)
    if hoists:
        one = len(hoists) == 1
        said.append(
            f"Hoist{'s' * (not one)} {listed(hoists)} {'makes' if one else 'make'} no move: the "
            f"schedule does without, and holds while {'it stands' if one else 'they stand'} at "
            "the end of the track, out of the way of all others."
        )
    count = sum(len(group.spare) for group in idle) + len(hoists)
    if count:
        them = "it" if count == 1 else "them"
        if best.choice is not None and best.choice.proved == "any degree":
            said.append(f"Proved: no schedule takes less time per load with {them}.")
        elif best.status == "optimal":
            said.append(f"Proved: none of degree {best.degree} is shorter with {them}.")
        else:
            said.append(f"Whether a shorter cycle could use {them} is not proved.")
    spare = _spare_carriers(report)
    if spare:
        available = report.figures.carriers_available
        needed = report.figures.carriers_needed
        said.append(f"{spare} of {available} carriers not needed: the cycle runs with {needed}.")
    return said


def choice_data(choice: DegreeChoice) -> dict[str, Any]:
    """How the degree was chosen, as plain data; the degrees themselves come beside it."""
    return {
        "proved": choice.proved,
        "ended": choice.ended,
        "least_per_load": choice.least_per_load,
        "least_per_load_compared": choice.least_of_compared,
        "patience": choice.patience,
        "left_out": [{"degree": out.degree, "reason": out.reason} for out in choice.left_out],
    }


def idle_data(idle: Sequence[IdleTanks], report: Report) -> dict[str, Any]:
    """Tanks, carriers and hoists that the schedule does not need, as plain data."""
    hoists = idle_hoists(report.problem, report.schedule)
    return {
        "tanks": [
            {
                "stages": list(group.stages),
                "tanks": list(group.tanks),
                "idle": list(group.idle),
                "loads": group.visits,
                "by_degree": group.by_degree,
                **({"unreached": list(group.unreached)} if group.unreached else {}),
            }
            for group in idle
        ],
        "carriers": _spare_carriers(report),
        **({"hoists": list(hoists)} if len(report.problem.hoists) > 1 else {}),
    }


def _spare_carriers(report: Report) -> int:
    available = report.figures.carriers_available
    return 0 if available is None else max(0, available - report.figures.carriers_needed)

"""How a degree was chosen, and what stands idle at it: in words and as data."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from ...analysis.figures.report import Report
from ...base.numbers.decimals import as_decimal, mean_decimal, told
from ...base.text import listed, plural
from ...planning.idle import IdleTanks, idle_hoists
from .degrees import ComparedDegrees

if TYPE_CHECKING:
    from ...planning.result import DegreeChoice


def choice_sentences(compared: ComparedDegrees) -> list[str]:
    """What was looked at, what is proved of it, and what ended the search.

    None where no choice among degrees was asked for, or nothing is known of it.
    """
    choice = compared.choice
    if choice is None:
        return []
    degrees = _degrees([row.degree for row in compared.rows])
    unit, tick = compared.problem.unit, compared.tick
    below = f"no cycle of any degree is below {_below(choice.least_per_load, tick)} {unit} a load"
    known = choice.least_per_load > 0  # else there is no bound, and nothing is said of it
    and_below = f"; {below}" if known else ""
    said = []
    if compared.least is not None:
        mean = f"{compared.least:f} {unit} a load"
        if choice.proved == "any degree":
            said.append(f"No cycle of any degree takes less than these {mean}.")
        elif choice.proved == "degrees compared":
            said.append(f"Of {degrees} none takes less than {mean}{and_below}.")
        else:
            least = f"{_below(choice.least_of_compared, tick)} {unit} a load"
            same = choice.least_of_compared == choice.least_per_load
            bounds = [*([] if same else [f"none of these is below {least}"]), *([below] * known)]
            said.append(
                f"Least found over {degrees}: {mean}. Whether less is possible "
                f"is not proved{': ' if bounds else ''}{', and '.join(bounds)}."
            )
    else:
        said.append(f"Looked at {degrees}{and_below}.")
    said += _nearly_as_good(compared)
    said += _left_out(choice)
    if choice.ended == "no progress":
        said.append(
            f"The search ended by itself after {told(choice.patience or 0)} s without progress. "
            "With a time limit it goes on until that is over."
        )
    return said


def best_sentences(compared: ComparedDegrees | None, *, longer: bool = False) -> list[str]:
    """The best degree and why, for a page: which one first, or that it is not known.

    Parameters
    ----------
    compared : ComparedDegrees or None
        None where nothing states with which others the degree was compared.
    longer : bool
        Whether the schedule on the page is one that can be run, and takes longer than the least.
    """
    if compared is None:
        return [
            "How the degree was chosen is not known: the moves were given, and nothing states it."
        ]
    if compared.choice is None:
        if compared.source is not None and len(compared.rows) == 1:
            return [f"How the degree was chosen is not known: {compared.source} does not state it."]
        degrees = _degrees([row.degree for row in compared.rows])
        stated = "" if compared.source is None else f", as stated in {compared.source}"
        return [
            f"{degrees.capitalize()} {'were' if len(compared.rows) > 1 else 'was'} asked for"
            f"{stated}: whether another one takes less time per load is not known."
        ]
    of = "by its least cycle, " if longer else ""
    said = [f"Best degree: {compared.best}, {of}{compared.least:f} {compared.problem.unit} a load."]
    if longer:
        said.append("The schedule shown takes longer, for what it forgives.")
    if compared.source is not None:
        said.append(
            f"As stated in {compared.source}, and not proved again; the moves of the other "
            "degrees were not checked:"
        )
    return [*said, *choice_sentences(compared)]


def _nearly_as_good(compared: ComparedDegrees) -> list[str]:
    """The lowest degree that takes less than a tick longer per load, if lower than the best.

    The best one may owe that little to rounding, which more loads a cycle share.
    """
    best, tick = compared.best_row, compared.tick
    if best is None or best.time_per_load is None:
        return []
    for row in compared.rows:
        if row.degree >= best.degree or row.time_per_load is None:
            continue
        more = row.time_per_load - best.time_per_load
        if more < tick:
            return [
                f"Degree {row.degree} takes only {mean_decimal(more, tick):f} "
                f"{compared.problem.unit} a load more, less than a tick, and has fewer moves to "
                "program."
            ]
    return []


def _degrees(numbers: Sequence[int]) -> str:
    return f"{plural(len(numbers), 'degree')} {listed(_spans(numbers))}"


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


def idle_sentences(
    idle: Sequence[IdleTanks], report: Report, compared: ComparedDegrees | None
) -> list[str]:
    """Which tanks, hoists and carriers are not needed, and whether more could be had with them.

    Parameters
    ----------
    idle : sequence of IdleTanks
        Of the schedule shown.
    report : Report
        That schedule.
    compared : ComparedDegrees or None
        What is proved of the least cycle; it tells nothing of a longer one that is shown. None
        where no search was made.
    """
    problem = report.problem
    said = []
    hoists = idle_hoists(problem, report.schedule)
    chosen = compared is not None and compared.choice is not None
    for group in idle:
        words = group.words()
        if group.by_degree and not chosen and len(problem.hoists) == 1:
            words += " Without a degree given, the best one is looked for."
        said.append(words)
    if hoists:
        one = len(hoists) == 1
        said.append(
            f"{plural(len(hoists), 'Hoist')} {listed(hoists)} "
            f"{plural(len(hoists), 'makes', 'make')} no move: the schedule does without, and holds "
            f"while {'it stands' if one else 'they stand'} at "
            "the end of the track, out of the way of all others."
        )
    count = sum(len(group.spare) for group in idle) + len(hoists)
    if count:
        said.append(_with_them("it" if count == 1 else "them", report, compared))
    spare = _spare_carriers(report)
    if spare:
        available = report.figures.carriers_available
        needed = report.figures.carriers_needed
        said.append(f"{spare} of {available} carriers not needed: the cycle runs with {needed}.")
    return said


def _with_them(them: str, report: Report, compared: ComparedDegrees | None) -> str:
    """Whether it is proved that idle parts make nothing shorter."""
    best = None if compared is None else compared.best_row
    if compared is None or best is None:
        return f"Whether a shorter cycle could use {them} is not known."
    if report.figures.time_per_load != best.time_per_load:  # a longer schedule is shown
        return f"Whether a shorter cycle that can be run could use {them} is not proved."
    proved = "Proved" if compared.source is None else f"Proved, as stated in {compared.source}"
    if compared.choice is not None and compared.choice.proved == "any degree":
        return f"{proved}: no schedule takes less time per load with {them}."
    if best.status == "optimal":
        return f"{proved}: none of degree {best.degree} is shorter with {them}."
    return f"Whether a shorter cycle could use {them} is not proved."


def choice_data(choice: DegreeChoice) -> dict[str, Any]:
    """How the degree was chosen, as plain data; the degrees themselves come beside it.

    `least_per_load_compared` is `DegreeChoice.least_of_compared`, the bound over those degrees.
    """
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
                **({"name": group.name} if group.name else {}),
            }
            for group in idle
        ],
        "carriers": _spare_carriers(report),
        **({"hoists": list(hoists)} if len(report.problem.hoists) > 1 else {}),
    }


def _spare_carriers(report: Report) -> int:
    available = report.figures.carriers_available
    return 0 if available is None else max(0, available - report.figures.carriers_needed)

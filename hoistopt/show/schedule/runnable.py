"""The least cycle beside the shortest found that can be run: in words, as a table, as data."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Literal

from ...analysis.figures.figures import HOUR
from ...analysis.figures.steps import tick_of
from ...base.numbers.decimals import as_decimal, mean_decimal, per_cent, significant
from ...margin.scattering import WHOSE
from ...problem.grid import ticks_per_unit
from ...schedule import readable
from ..tables.data_table import DataTable
from ..tables.jsonfile import json_number
from .data import tables_data

if TYPE_CHECKING:
    from rich.console import RenderableType

    from ...analysis.figures.report import Report
    from ...margin.figures import MarginFigures, Tightest
    from ...margin.runnable import Runnable
    from ...planning.result import Result
    from ...problem import Problem

NAMES = (
    "Cycle time",
    "Achieved on average",
    "Loads out of window",
    "Loads an hour, good ones",
    "Tightest slack, once",
    "Tightest float, every cycle",
)

PER_LOAD = ("Degree", "Mean time per load")
"""Before these where the two have different degrees."""

Shown = Literal["least", "runnable"]

FEWEST = 0.01
"""Good loads an hour: fewer, one in four days, are as good as none."""

CURE = "type the same command with --show runnable"
CURE_OF_PAGE = "`hoistopt report` with --show runnable writes the page of that one"
CURE_FROM_FILE = "`hoistopt report` with --take runnable writes the page of that one"
BACK = "with --show least the same command shows the least cycle"


def usual(problem: Problem) -> Shown:
    """Whose steps are shown where nobody chose."""
    return "runnable" if problem.scatter is not None or problem.asks_margin else "least"


def good_loads_an_hour(problem: Problem, found: MarginFigures) -> float:
    """Loads an hour that keep every maximum, in runs with scattered times."""
    return HOUR * found.good_in_time / float(problem.seconds_per_unit)


def percent_out(found: MarginFigures) -> str:
    """The share of loads out of window; where none was, what the share is below."""
    share = found.out_of_window
    if not share.out:
        return f"0 % (0 of {share.loads})"
    told = per_cent(share.share)
    # Never all of them where one was not.
    return "more than 99.9 %" if told == "100" and share.out < share.loads else f"{told} %"


def good_words(problem: Problem, found: MarginFigures) -> str:
    """Loads an hour that keep every maximum, as a figure that means something."""
    good = good_loads_an_hour(problem, found)
    return f"less than {FEWEST}" if 0 < good < FEWEST else significant(good, 3)


def under(found: MarginFigures) -> str:
    """The scatter, and whose it is."""
    words = "; ".join(found.scatter.times)
    return f"{words} ({WHOSE['assumed' if found.assumed else 'stated']})"


def said_of(result: Result, show: Shown) -> list[str]:
    """In one line what can be run; none where nothing is known of it."""
    problem, least, other = result.problem, result.margin, result.runnable
    if problem is None or least is None:
        return []
    if other is None or other.schedule is result.schedule:
        if least.met and least.keeps_pace:
            return [f"It can be run: {_figures(problem, least)}, under {under(least)}."]
        return without_margin(result)
    told = _the_other(problem, least, other)
    fuller = _fuller(problem, other)
    if show == "least":
        return [f"{' '.join(without_margin(result))} {told}: {CURE}.", *fuller]
    against = f"of the least cycle {_figures(problem, least)}, under {under(least)}"
    which = "the one that can be run" if other.met else "that one"
    shown = f"Steps, dwells and files are those of {which}, which in JSON stands under `runnable`; "
    shown += f"{BACK}."
    return [f"{told}; {against}. {shown}", *fuller]


def cannot_be_run(result: Result, *, from_file: bool = False) -> list[str]:
    """What to be warned of at the head of a page of the least cycle, where it cannot be run as
    planned; with what can be run, and how to have the page of that, also where both were read
    from a file."""
    problem, least, other = result.problem, result.margin, result.runnable
    if problem is None or least is None or not without_margin(result):
        return []
    cannot = f"{CANNOT}: {_figures(problem, least)}, under {under(least)}."
    if other is None:
        return [cannot]
    if other.schedule is result.schedule:
        return [cannot, "None that can be run was found."]
    cure = CURE_FROM_FILE if from_file else CURE_OF_PAGE
    return [cannot, f"{_the_other(problem, least, other)}; {cure}."]


def _fuller(problem: Problem, other: Runnable) -> list[str]:
    """That tolerating a few loads out of window would give more good ones, where it would."""
    found = other.fuller
    if found is None:
        return []
    tick = 1 / ticks_per_unit(problem)
    cycle = f"{as_decimal(found.cycle_time, tick):f} {problem.unit}"
    return [
        f"With some loads out of window there are more good ones: {cycle}, "
        f"{_figures(problem, found)}; tolerated = {_rounded_up(found.out_of_window.share)} under "
        "[scatter] in the problem file lets it be chosen."
    ]


def _rounded_up(share: float) -> str:
    """A share to one significant figure, and no less."""
    exact = Decimal(repr(share))
    return f"{exact.quantize(Decimal(1).scaleb(exact.adjusted()), ROUND_UP):f}"


CANNOT = "This cycle cannot be run as planned"


def _the_other(problem: Problem, least: MarginFigures, other: Runnable) -> str:
    """The longer schedule in a line, beside the least cycle."""
    longer = per_cent(float(other.time_per_load / least.time_per_load - 1), 2)
    kind = (
        "Shortest cycle found that can be run"
        if other.met
        else "Nearest found to one that can be run"
    )
    cycle = f"{other.cycle_time} {problem.unit}"
    if other.margin.loads_per_cycle == least.loads_per_cycle:
        told = f"{cycle}, {longer} % longer"
    else:
        per_load = _per_load(problem, other.margin)
        told = f"{cycle} at degree {_degree(problem, other.margin)}, {per_load} a load, "
        told += f"{longer} % longer than the least mean time"
    return f"{kind}: {told}, {_figures(problem, other.margin)}"


def _per_load(problem: Problem, found: MarginFigures) -> str:
    tick = 1 / ticks_per_unit(problem)
    return f"{mean_decimal(found.time_per_load, tick):f} {problem.unit}"


def _degree(problem: Problem, found: MarginFigures) -> int:
    return found.loads_per_cycle // len(problem.load_set)


def _figures(problem: Problem, found: MarginFigures) -> str:
    good = good_words(problem, found)
    told = f"{percent_out(found)} of the loads out of window, {good} good loads an hour"
    if found.keeps_pace:
        return told
    return f"{told}, {_achieved(problem, found)} a cycle on average, behind the pace planned"


def _achieved(problem: Problem, found: MarginFigures) -> str:
    return f"{significant(found.mean_cycle, 5)} {problem.unit}"


def without_margin(result: Result) -> list[str]:
    """What to be warned of before the least cycle is run, if anything."""
    problem, found = result.problem, result.margin
    if problem is None or found is None or (found.met and found.keeps_pace):
        return []
    return [f"Planned without margin: {_figures(problem, found)}, under {under(found)}."]


def not_within(result: Result) -> list[str]:
    """What to be warned of where no schedule tried can be run."""
    problem, other = result.problem, result.runnable
    if problem is None or other is None or other.met:
        return []
    return [
        f"No schedule tried can be run: {_figures(problem, other.margin)}, under "
        f"{under(other.margin)}. Give the narrowest windows more room, or the search more time."
    ]


@dataclass(frozen=True)
class SideBySide:
    """The least cycle and the one that can be run, to be set as a table.

    Attributes
    ----------
    names : tuple of str
        What the rows are.
    titles : tuple of str
        One or two schedules: one where the least cycle itself is the other one too.
    columns : tuple of list of str
        The cells of each.
    reading : str
        Under what they hold.
    """

    names: tuple[str, ...]
    titles: tuple[str, ...]
    columns: tuple[list[str], ...]
    reading: str


def side_by_side(result: Result) -> SideBySide | None:
    """Both schedules with what they forgive; None where it was not asked for."""
    problem, least, other = result.problem, result.margin, result.runnable
    if problem is None or least is None or other is None:
        return None
    apart = other.margin.loads_per_cycle != least.loads_per_cycle
    proved = result.status == "optimal"
    title = "Least cycle time, proved" if proved else "Shortest cycle found, not proved least"
    titles, columns = [title], [_cells(problem, least, result, apart)]
    if other.schedule is not result.schedule:
        titles.append("Shortest found that can be run" if other.met else "Nearest found to it")
        columns.append(_cells(problem, other.margin, other, apart))
    runs = least.out_of_window.loads
    reading = f"Out of window under {under(least)}, {runs} loads simulated."
    return SideBySide(
        (*PER_LOAD, *NAMES) if apart else NAMES,
        tuple(titles),
        tuple(columns),
        " ".join([reading, *_what_none_out_means(problem, other)]),
    )


def _what_none_out_means(problem: Problem, other: Runnable) -> list[str]:
    """Beside 0 % out of window: that it holds for this scatter, and not for any stop."""
    slack = other.margin.slack
    if other.margin.out_of_window.out or slack is None:
        return []
    late = f"{as_decimal(slack.time, tick_of(other.schedule), 'down'):f} {problem.unit}"
    return [
        f"0 % holds for this scatter alone: one stop that makes step {slack.step} more than {late} "
        "late, its tightest slack, still costs a load."
    ]


def runnable_tables(result: Result) -> list[RenderableType | str]:
    """The least cycle and what can be run side by side, as a table for a terminal."""
    from rich.text import Text

    from ..tables.terminal import new_table

    found = side_by_side(result)
    if found is None:
        return []
    table = new_table("What can be run")
    table.add_column("")
    for title in found.titles:
        table.add_column(Text(title))
    for name, *cells in zip(found.names, *found.columns, strict=True):
        table.add_row(name, *(Text(cell) for cell in cells))
    return [table, found.reading]


def what_can_be_run(result: Result) -> list[DataTable]:
    """The least cycle and what can be run as data, a row each; none where not asked for."""
    found = side_by_side(result)
    problem, least, other = result.problem, result.margin, result.runnable
    if found is None or problem is None or least is None or other is None:
        return []
    unit = problem.unit
    timed = [f"{name}_{unit}" for name in ("cycle_time", "mean_cycle", "slack", "float")]
    header = ["schedule", *timed, "out_of_window", "good_loads_per_hour"]
    rows: list[list[object]] = []
    pairs = ((least, result.schedule), (other.margin, other.schedule))
    for title, (figures, schedule) in zip(found.titles, pairs, strict=False):
        assert schedule is not None
        tick = tick_of(schedule)
        limits = [
            None if tight is None else as_decimal(tight.time, tick, "down")
            for tight in (figures.slack, figures.late)
        ]
        rows.append(
            [
                *(title, as_decimal(figures.cycle_time, tick), round(figures.mean_cycle, 4)),
                *limits,
                round(figures.out_of_window.share, 6),
                round(good_loads_an_hour(problem, figures), 4),
            ]
        )
    return [DataTable("What can be run", header, rows, [found.reading])]


def _cells(problem: Problem, found: MarginFigures, of: Result | Runnable, apart: bool) -> list[str]:
    """The cells of a schedule, with those of :data:`PER_LOAD` where degrees lie apart."""
    assert of.schedule is not None
    tick = tick_of(of.schedule)
    cycle = f"{as_decimal(found.cycle_time, tick):f} {problem.unit}"
    degree = str(_degree(problem, found))
    return [
        *([degree, _per_load(problem, found)] if apart else []),
        cycle,
        _achieved(problem, found),
        percent_out(found),
        good_words(problem, found),
        _tightest(problem, found.slack, tick),
        _tightest(problem, found.late, tick),
    ]


def _tightest(problem: Problem, found: Tightest | None, tick: Fraction) -> str:
    if found is None:
        return "no limit"
    place = found.label if found.label == found.station else f"{found.label} ({found.station})"
    return f"{as_decimal(found.time, tick, 'down'):f} {problem.unit}: step {found.step}, {place}"


def runnable_data(result: Result, report: Report | None) -> dict[str, Any]:
    """What the least cycle forgives, and all of the schedule that can be run."""
    problem, other = result.problem, result.runnable
    assert problem is not None and result.margin is not None
    found: dict[str, Any] = {"margin": margin_data(problem, result.margin), "runnable": None}
    if other is not None:
        found["runnable"] = {
            "cycle_time": other.cycle_time,
            "degree": _degree(problem, other.margin),
            "loads_per_cycle": other.margin.loads_per_cycle,
            "met": other.met,
            "found": other.found,
            "margin": margin_data(problem, other.margin),
            "fuller": None if other.fuller is None else _fuller_data(problem, other.fuller),
            **tables_data(report, problem),
        }
    return found


def _fuller_data(problem: Problem, found: MarginFigures) -> dict[str, Any]:
    """The schedule with more good loads, of which no moves are told."""
    cycle = readable(found.cycle_time)
    return {"cycle_time": cycle, "margin": margin_data(problem, found)}


def margin_data(problem: Problem, found: MarginFigures) -> dict[str, Any]:
    """What a schedule forgives as plain data, times in the problem's unit."""
    share = found.out_of_window
    return {
        "out_of_window": {
            "share": round(share.share, 6),
            "low": round(share.low, 6),
            "high": round(share.high, 6),
            "loads": share.loads,
            "out": share.out,
        },
        "tolerated": json_number(found.scatter.tolerated),
        "good_loads_per_hour": round(good_loads_an_hour(problem, found), 4),
        "mean_cycle_time": round(found.mean_cycle, 4),
        "keeps_pace": found.keeps_pace,
        "tightest_slack": None if found.slack is None else _tightest_data(found.slack),
        "tightest_float": _tightest_data(found.late),
        "scatter": {
            "times": list(found.scatter.times),
            "source": found.scatter.source,
            "assumed": found.assumed,
        },
    }


def _tightest_data(found: Tightest) -> dict[str, Any]:
    return {
        "time": json_number(found.time),
        "step": found.step,
        "from": found.source,
        "to": found.target,
        "station": found.station,
        "stage": found.label,
        "held_by": found.held_by,
    }

"""Objects as HTML that stands in a notebook: no script, nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from fractions import Fraction
from functools import singledispatch
from importlib.resources import files
from xml.etree.ElementTree import Element, tostring

from ...analysis.figures.cautions import STANDING
from ...base.numbers.decimals import MOST_DECIMALS, as_decimal
from ...base.text import counted
from ...checker import Refused, Replay, accepted
from ...planning.idle import idle_tanks
from ...planning.plan_result import Plan
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule
from ..programme.planned import PlannedAnswer
from ..report.case import Case
from ..report.diagram import programme_picture, timeway_picture
from ..report.markup import Content, style, tag, user
from ..report.once_tables import load_table, move_table, order_table
from ..report.palette import DARK, LIGHT, variables
from ..report.tables import margin_table, step_table
from ..schedule.chosen import choice_sentences, idle_sentences
from ..schedule.degrees import ComparedDegrees
from ..schedule.runnable import said_of, usual
from ..schedule.words import outcome
from .line import line_tables
from .table import Column, table, wide

FINEST = Fraction(1, 10**MOST_DECIMALS)
UNCHECKED = (
    "Not checked: a schedule alone does not know the line. "
    "hoistopt.verify(problem, schedule) replays it."
)
# How notebooks say that they are light or dark, where they do not follow the system.
_SAID = ("[data-jp-theme-light='{}']", "body.vscode-{}", "[data-theme='{}']", "html[theme='{}']")
_WORDS = {"light": ("true", "light", "light", "light"), "dark": ("false", "dark", "dark", "dark")}


def html(value: object) -> str:
    """An object as HTML for a notebook.

    Every text is escaped, there is no script and nothing to load, and the colours follow
    a light or dark notebook. Moves are shown as a plan only where the checker has
    accepted them.

    Parameters
    ----------
    value : Problem, Result, Schedule, Replay or Plan
        What to show.

    Raises
    ------
    TypeError
        For any other object.
    """
    return tostring(
        tag("div", style(_styles()), *_parts(value), class_="hoistopt"),
        encoding="unicode",
        method="html",
    )


@singledispatch
def _parts(value: object) -> list[Element]:
    raise TypeError(f"no way to show {type(value).__name__} in a notebook")


@_parts.register
def _(problem: Problem) -> list[Element]:
    return line_tables(problem)


@_parts.register
def _(result: Result) -> list[Element]:
    problem, schedule, replay = result.problem, result.schedule, result.replay
    said = result.summary() if problem is None else outcome(problem, result)
    if schedule is None:
        return [_line(said, "head")]
    try:
        # A result put together by hand may hold any schedule and any replay.
        seen = None if problem is None else accepted(problem, schedule, replay)
    except Refused:
        seen = None
    if seen is None:
        return [_line("No schedule is shown, as the checker has accepted none.", "head over")]
    beside = [_line(sentence, "head") for sentence in said_of(result, usual(seen.problem))]
    other = result.runnable
    if other is not None and usual(seen.problem) == "runnable":
        with suppress(Refused):
            seen = accepted(seen.problem, other.schedule, other.replay)
    case = Case(seen.problem, seen.schedule, seen, result)
    compared = case.compared
    assert compared is not None
    said = " ".join([said, *choice_sentences(compared)])
    idle = idle_sentences(idle_tanks(seen.problem, seen.schedule), case.told, compared)
    further = [_line(sentence, "head") for sentence in idle]
    further += [wide(_degrees(compared))] if compared.several else []
    return [*beside, *_plan(said, case, further)]


@_parts.register
def _(plan: Plan) -> list[Element]:
    if plan.problem is None:
        return [_line(plan.summary(), "head")]
    answer = PlannedAnswer(plan.problem, plan)
    said = [_line(sentence, "head") for sentence in answer.sentences()]
    cautions = [_line(caution, "caution") for caution in answer.cautions()]
    name = tag("p", user(plan.problem.name), class_="quiet")
    if plan.replay is None:
        return [name, *said, *cautions]
    ordered = order_table(plan)
    return [
        name,
        *said,
        *cautions,
        wide(programme_picture(plan.replay)),
        *([] if ordered is None else [wide(ordered)]),
        wide(_nameless(load_table(plan.replay))),
        wide(_nameless(move_table(plan.replay))),
    ]


@_parts.register
def _(schedule: Schedule) -> list[Element]:
    steps = schedule.steps
    times = [as_decimal(schedule.time(step.start), FINEST) for step in steps]
    columns = [
        Column("Step", [str(number) for number in range(1, len(steps) + 1)], number=True),
        Column("Start", times, number=True),
        Column("From", [step.source for step in steps]),
        Column("To", [step.target for step in steps]),
        Column("Recipe", [step.recipe for step in steps]),
        Column("Load", [step.load for step in steps], number=True),
        Column("Stage left", [step.stage for step in steps], number=True),
    ]
    cycle = as_decimal(schedule.time(schedule.cycle), FINEST)
    return [
        _line(f"{len(steps)} moves every {cycle:f}, in the unit of the problem", "head"),
        _line(UNCHECKED, "caution"),
        wide(table("Moves as they are stated", columns)),
    ]


@_parts.register
def _(replay: Replay) -> list[Element]:
    cycle = f"{as_decimal(replay.cycle_time, FINEST):f} {replay.problem.unit}"
    if replay.clean:
        kept = f"No rule is broken in {replay.cycles} cycles of {cycle}."
        if not replay.steady_cycles:  # too few cycles were asked for
            return [_line(kept, "head"), _line(STANDING, "caution")]
        return _plan(kept, Case(replay.problem, replay.schedule, replay))
    found = replay.violations
    columns = [
        Column("Cycle", [violation.cycle for violation in found], number=True),
        Column("Step", [violation.step for violation in found], number=True),
        Column("Rule", [violation.rule for violation in found]),
        Column("What is wrong", [violation.message for violation in found]),
    ]
    broken = counted(len(found), "rule broken", "rules broken")
    said = f"The checker refuses this schedule: {broken} in {replay.cycles} cycles of {cycle}."
    return [_line(said, "head over"), wide(table("Violations in order of time", columns))]


def _degrees(compared: ComparedDegrees) -> Element:
    columns = [
        Column(head, cells, number=head != "Answer")
        for head, cells in zip(compared.heads(), compared.cells(), strict=True)
    ]
    return table("Degrees compared", columns)


def _nameless(made: Element) -> Element:
    """Without the identities the report's player needs: a notebook may show many tables."""
    for element in made.iter():
        element.attrib.pop("id", None)
    return made


def _plan(said: str, case: Case, further: Sequence[Element] = ()) -> list[Element]:
    """A schedule the checker has accepted."""
    return [
        tag("p", user(case.problem.name), class_="quiet"),
        _line(said, "head"),
        *further,
        *(_line(caution, "caution") for caution in case.told.cautions),
        wide(timeway_picture(case)),
        wide(_nameless(step_table(case))),
        wide(margin_table(case)),
    ]


def _line(text: Content, kind: str) -> Element:
    return tag("p", text, class_=kind)


def _styles() -> str:
    light, dark = variables(LIGHT), variables(DARK)
    rules = files(__package__).joinpath("notebook.css").read_text(encoding="utf-8")
    return (
        f".hoistopt {{ color-scheme: light; {light} }}\n"
        "@media screen and (prefers-color-scheme: dark) {\n"
        f"  .hoistopt {{ color-scheme: dark; {dark} }}\n"
        "}\n"
        f"{_within('light')} {{ color-scheme: light; {light} }}\n"
        f"@media screen {{ {_within('dark')} {{ color-scheme: dark; {dark} }} }}\n{rules}"
    )


def _within(appearance: str) -> str:
    """The output inside a notebook that says it is light or dark."""
    said = [sign.format(word) for sign, word in zip(_SAID, _WORDS[appearance], strict=True)]
    return ", ".join(f"{sign} .hoistopt" for sign in said)

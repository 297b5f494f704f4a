"""The rules that a step of a programme keeps or breaks by itself, whatever the others do."""

from __future__ import annotations

from ..moves import in_range
from .course import Run
from .findings import Findings


def moves_made(findings: Findings) -> None:
    """Every step lifts a load and takes it from one stage of its recipe to the next."""
    course = findings.course
    for number, kind, text in course.unmade:
        step, start = course.table.steps[number], course.table.starts[number]
        findings.add("impossible move", number, start, text, station=step.source, kind=kind)


def columns_agree(findings: Findings) -> None:
    """What the table says about a step is what happens."""
    course = findings.course
    for run in course.runs:
        step = course.table.steps[run.number]
        pairs = (
            ("recipe", step.recipe, run.leg.recipe),
            ("stage", step.stage, run.leg.leaves),
            ("load", step.load, run.load),
        )
        for column, stated, seen in pairs:
            if stated is not None and stated != seen:
                text = f"the table says {column} {stated}, but the load there has {seen}"
                _note(findings, run, text, column)


def within_reach(findings: Findings) -> None:
    """No hoist serves a station it cannot reach."""
    problem = findings.course.table.problem
    for run in findings.course.runs:
        hoist = problem.hoists[run.hoist]
        for name in (run.source, run.target):
            if name in hoist.unreachable or not in_range(problem, hoist, name):
                text = f"{_named(findings, run)} cannot reach {name}"
                _note(findings, run, text, f"reach {name}")


def by_the_hoist_given(findings: Findings) -> None:
    """Loads are brought to a stage that names its hoist by that hoist, or one of those."""
    problem = findings.course.table.problem
    for run in findings.course.runs:
        stages, given = problem.recipe_by_name[run.leg.recipe].stages, None
        if run.leg.reaches is not None and 1 <= run.leg.reaches <= len(stages):
            given = stages[run.leg.reaches - 1].hoist
        if given is not None and problem.hoists[run.hoist].name not in given:
            text = (
                f"{_named(findings, run)} brings a load to {run.target}, and in that stage that "
                f"is for {' or '.join(given)} to do"
            )
            _note(findings, run, text, "hoist given")


def _named(findings: Findings, run: Run) -> str:
    hoists = findings.course.table.problem.hoists
    return "the hoist" if len(hoists) == 1 else f"hoist {hoists[run.hoist].name}"


def light_enough(findings: Findings) -> None:
    """No hoist lifts a load heavier than its payload; told once a load."""
    table = findings.course.table
    told: set[int] = set()
    for run in findings.course.runs:
        payload = table.problem.hoists[run.hoist].payload
        mass = table.problem.recipe_by_name[run.leg.recipe].mass
        empty = run.leg.leaves == table.routes.last(run.leg.recipe)
        if payload is None or mass is None or mass <= payload or empty or run.load in told:
            continue
        told.add(run.load)
        exact = table.clock.exact
        findings.add(
            "impossible move",
            run.number,
            run.start,
            f"a load of {run.leg.recipe} weighs {mass:f}, {_named(findings, run)} lifts at most "
            f"{payload:f}",
            station=run.source,
            found=exact(mass),
            limit=exact(payload),
            kind="mass",
        )


def crossings_kept(findings: Findings) -> None:
    """No load is carried over a bath it must not drip into."""
    times = findings.course.table.times_of
    for run in findings.course.runs:
        for crossing, passed in times(run.number).crossed(run.source, run.target):
            if crossing.min_drip is None:
                text = f"a load from {run.source} may not be carried over {passed}"
                _note(findings, run, f"{text} to {run.target}", f"over {passed}")


def _note(findings: Findings, run: Run, text: str, kind: str) -> None:
    findings.add("impossible move", run.number, run.start, text, station=run.source, kind=kind)

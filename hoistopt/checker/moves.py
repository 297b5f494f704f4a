"""Rules that a move breaks by itself: where it goes, what it carries, whether it ever runs."""

from __future__ import annotations

from collections.abc import Callable

from ..base.numbers.decimals import discernible
from ..base.text import in_runs, plural
from ..problem import Hoist, Problem
from .findings import Findings
from .plan import Plan


def _note(
    findings: Findings,
    number: int,
    text: str,
    kind: str,
    *,
    found: int | None = None,
    limit: int | None = None,
) -> None:
    """An impossible move, at the first cycle in which it is made or was to be."""
    table = findings.plan.table
    cycle = findings.plan.firsts[number] or 0
    time = table.starts[number] + cycle * table.cycle
    findings.add("impossible move", number, cycle, time, text, found=found, limit=limit, kind=kind)


def along_the_recipe(findings: Findings) -> None:
    """Every move takes a load from one stage of its recipe to the next."""
    plan = findings.plan
    for number, step in enumerate(plan.table.steps):
        leg = plan.legs[number]
        way = f"the move from {step.source} to {step.target}"
        if step.source == step.target:
            _note(findings, number, f"{way} goes nowhere", "nowhere")
        elif leg is None:
            out = [
                f"; {name} is out of service"
                for name in (step.source, step.target)
                if plan.table.problem.station_by_name[name].out_of_service
            ]
            _note(findings, number, f"{way} is part of no recipe{''.join(out)}", "no recipe")
        elif number in plan.wrong:
            _note(findings, number, _wrong_way(plan, number), "wrong stage")
        if step.source != step.target and plan.parts[number] is None:
            _note(findings, number, f"the time of {way} is not known", "no time")


def _wrong_way(plan: Plan, number: int) -> str:
    leg, step, routes = plan.legs[number], plan.table.steps[number], plan.table.routes
    assert leg is not None
    last = routes.last(leg.recipe)
    onward = leg.leaves + 1
    if onward > last:
        expected = "its load has reached the end of its way"
    else:
        names = " or ".join(routes.stations(leg.recipe, onward))
        expected = f"after stage {leg.leaves} its load goes to {names}"
        if leg.leaves == 0:
            expected = f"a load of {leg.recipe} goes to {names} first"
    text = f"moves a carrier to {step.target}, but {expected}"
    if plan.table.problem.station_by_name[step.target].out_of_service:
        text += f"; {step.target} is out of service"
    if leg.reaches is not None and leg.reaches > onward:
        left_out = list(range(onward, leg.reaches))
        text += f" (left out: {plural(len(left_out), 'stage')} {in_runs(left_out)})"
    return text


def recipes_clear(findings: Findings) -> None:
    """Where several recipes share the way, the table says which load is which."""
    for number in sorted(findings.plan.unclear):
        _note(
            findings,
            number,
            "several recipes go this way; the table must say in a column recipe which load it is",
            "unclear",
        )


def within_reach(findings: Findings) -> None:
    """No hoist serves a station that it cannot reach."""
    table = findings.plan.table
    several = len(table.problem.hoists) > 1
    for number, step in enumerate(table.steps):
        hoist = table.problem.hoists[table.hoists[number]]
        named = f"hoist {hoist.name}" if several else "the hoist"
        for name in (step.source, step.target):
            if name in hoist.unreachable or not in_range(table.problem, hoist, name):
                _note(findings, number, f"{named} cannot reach {name}", f"reach {name}")


def in_range(problem: Problem, hoist: Hoist, name: str) -> bool:
    """Whether a station lies in the part of the track that a hoist may be in."""
    at = problem.station_by_name
    ends = [at[end].position if isinstance(end, str) else end for end in (hoist.from_, hoist.to)]
    position = at[name].position
    if position is None:
        return True
    return (ends[0] is None or position >= ends[0]) and (ends[1] is None or position <= ends[1])


def by_the_hoist_given(findings: Findings) -> None:
    """Loads are brought to a stage that names its hoist by that hoist, or one of those."""
    plan = findings.plan
    for number, leg in enumerate(plan.legs):
        if leg is None:
            continue
        stages = plan.table.problem.recipe_by_name[leg.recipe].stages
        given = None
        if leg.reaches is not None and 1 <= leg.reaches <= len(stages):
            given = stages[leg.reaches - 1].hoist
        name = plan.table.problem.hoists[plan.table.hoists[number]].name
        if given is not None and name not in given:
            target = plan.table.steps[number].target
            _note(
                findings,
                number,
                f"hoist {name} brings a load to {target}, and in that stage that is for "
                f"{' or '.join(given)} to do",
                "hoist given",
            )


def light_enough(findings: Findings) -> None:
    """No hoist lifts a load heavier than its payload; told once per recipe and hoist."""
    plan = findings.plan
    told: set[tuple[str, int]] = set()
    for number, leg in enumerate(plan.legs):
        hoist = plan.table.hoists[number]
        payload = plan.table.problem.hoists[hoist].payload
        if leg is None or payload is None or (leg.recipe, hoist) in told:
            continue
        mass = plan.table.problem.recipe_by_name[leg.recipe].mass
        if leg.leaves < plan.table.routes.last(leg.recipe) and mass is not None and mass > payload:
            told.add((leg.recipe, hoist))
            exact = plan.table.clock.exact
            _note(
                findings,
                number,
                f"a load of {leg.recipe} weighs {mass:f}, the hoist lifts at most {payload:f}",
                "mass",
                found=exact(mass),
                limit=exact(payload),
            )


def crossings_kept(findings: Findings) -> None:
    """No load is carried over a bath it must not drip into."""
    table = findings.plan.table
    for number, step in enumerate(table.steps):
        for crossing, passed in table.times_of(number).crossed(step.source, step.target):
            if crossing.min_drip is None:
                text = f"a load from {step.source} may not be carried over {passed}"
                _note(findings, number, f"{text} to {step.target}", f"over {passed}")


def runs_some_time(findings: Findings) -> None:
    """Every step finds its carrier once the line is full."""
    plan = findings.plan
    follow: list[int] = []
    for number, leg in enumerate(plan.legs):
        if leg is None or plan.firsts[number] is not None:
            continue
        if number in plan.links:
            follow.append(number)
        else:
            _note(findings, number, "there is never a carrier to lift here for this step", "empty")
    if follow:
        numbers = in_runs([number + 1 for number in follow])
        text = f"never runs, as no load ever gets this far; the same holds for steps {numbers}"
        _note(findings, follow[0], text, "follows")


def columns_agree(findings: Findings) -> None:
    """What the table says about a step is what happens."""
    plan = findings.plan
    for number, step in enumerate(plan.table.steps):
        leg = plan.legs[number]
        if leg is None or plan.firsts[number] is None:
            continue
        link = None if leg.leaves == 0 else plan.links.get(number)
        pairs = (
            ("recipe", step.recipe, leg.recipe),
            ("stage", step.stage, leg.leaves),
            ("load", step.load, plan.loads[number]),
            ("boundaries", step.boundaries, None if link is None else link.boundaries),
        )
        for column, stated, seen in pairs:
            if stated is not None and seen is not None and stated != seen:
                text = f"the table says {column} {stated}, but the carrier there has {seen}"
                _note(findings, number, text, column)


def loads_enter(findings: Findings) -> None:
    """Loads enter, in the numbers and the order that the mix asks for."""
    plan = findings.plan
    problem = plan.table.problem
    entering = [leg.recipe for leg in plan.legs if leg is not None and leg.leaves == 0]
    if not entering:
        findings.add_whole("mix", "No step lifts a carrier at a load station: no load enters.")
        return
    asked = problem.load_set
    if problem.cycle.mix is None and problem.cycle.order is None:
        asked = (entering[0],)
    sets, left = divmod(len(entering), len(asked))
    names = dict.fromkeys((*asked, *entering))
    if left or any(entering.count(name) != sets * asked.count(name) for name in names):
        findings.add_whole(
            "mix",
            f"{_loads(entering)} enter per cycle; the mix asks for {_loads(list(asked))} "
            "or a multiple of that.",
        )
    elif problem.cycle.order is not None and not _rotation(entering, list(asked) * sets):
        findings.add_whole(
            "mix",
            f"Loads enter in the order {', '.join(entering)}; asked for is "
            f"{', '.join(asked)}, over and over.",
        )


def _loads(names: list[str]) -> str:
    return ", ".join(f"{names.count(name)} of {name}" for name in dict.fromkeys(names))


def _rotation(entering: list[str], asked: list[str]) -> bool:
    return any(entering == asked[shift:] + asked[:shift] for shift in range(len(asked)))


def cycle_time_asked(findings: Findings) -> None:
    """The mean cycle time per set of loads lies where the problem wants it."""
    plan = findings.plan
    problem, clock = plan.table.problem, plan.table.clock
    entering = sum(plan.begins(number) for number in range(len(plan.legs)))
    if not entering:
        return
    # Per set: cycle time times loads per set over loads per cycle.
    mean = clock.fraction(plan.table.cycle) * len(problem.load_set) / entering
    least, most = problem.cycle.min, problem.cycle.max
    text = f"The mean cycle time per set of loads is {discernible(mean)} {problem.unit}"
    if mean < least:
        findings.add_whole("cycle time", f"{text}, at least {least:f} asked for.")
    elif most is not None and mean > most:
        findings.add_whole("cycle time", f"{text}, at most {most:f} asked for.")


ALL: tuple[Callable[[Findings], None], ...] = (
    along_the_recipe,
    recipes_clear,
    within_reach,
    by_the_hoist_given,
    light_enough,
    crossings_kept,
    runs_some_time,
    columns_agree,
    loads_enter,
    cycle_time_asked,
)

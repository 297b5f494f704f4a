"""Cycles in which loads gather at a stage that holds several."""

from __future__ import annotations

from fractions import Fraction

import pytest

from benchmarks.lines.real import real_line
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort, Stop
from hoistopt.checker import verify
from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.reinsertion import Reinsertion
from hoistopt.solver.cyclic.search import cycle_if_gathered, least_cycle
from hoistopt.solver.cyclic.starts import gathered, gathered_cycle, one_by_one
from hoistopt.solver.cyclic.starts.copies import fewer_sets
from hoistopt.solver.cyclic.starts.groups import groups_of, merged
from hoistopt.solver.cyclic.starts.sections import sections
from tests.helpers.lines.grouped import grouped


def _instance(problem: Problem, degree: int) -> Instance:
    return build_instance(problem, degree, Clock(), several=True)


def _at_once(schedule: Schedule, stations: set[str]) -> int:
    """Return the most loads that are in some stations at a time, as the steps tell."""
    takes = {}
    for step in schedule:
        takes[step.load, step.stage] = step
    spans = []
    for step in schedule:
        if step.source in stations:
            came = takes[step.load, (step.stage or 0) - 1]
            stayed = (step.start - came.start) + (step.boundaries or 0) * schedule.cycle
            spans.append((came.start, stayed))
    assert spans
    return max(
        sum((start - began) % schedule.cycle < stayed for began, stayed in spans)
        for start, _ in spans
    )


@pytest.mark.parametrize(("kind", "size"), [("zinc", 6), ("zinc-merged", 6), ("zinc", 4)])
def test_all_loads_are_at_the_stage_at_once(kind: str, size: int) -> None:
    problem = real_line(kind, size, 3)
    stations = {each.name for each in problem.stations if each.name.startswith("Zinc")}
    schedule = gathered(_instance(problem, size), Clock(Effort(workers=2)), least_cycle)
    assert schedule is not None
    assert verify(problem, schedule) == ()
    assert _at_once(schedule, stations) >= size - 1


def test_the_search_goes_below_the_best_copies() -> None:
    # Regular cycles of this line take 791.8 s a load and more, however its six tanks take turns.
    problem = real_line("zinc", 6, 1)
    instance = _instance(problem, 6)
    schedule = gathered(instance, Clock(Effort(workers=2)), least_cycle)
    assert schedule is not None
    incumbent = Incumbent(1)
    incumbent.keep(schedule, [])
    Reinsertion(instance, incumbent, Clock(Effort(workers=2))).near_given(schedule, 2)
    best = incumbent.schedule
    assert best is not None and verify(problem, best) == ()
    assert best.time(best.cycle) / 6 < 750


def test_sections_are_all_moves_and_all_dwells_but_those_at_the_place() -> None:
    problem = grouped()
    instance = _instance(problem, 3)
    line = merged(instance, groups_of(instance), careful=False)
    one = fewer_sets(line, 1)
    place = groups_of(instance)[0].places[0]
    cut = sections(one, place)
    assert cut is not None
    before, after, stays = cut
    assert sorted((*before.moves, *after.moves)) == list(range(len(one.moves)))
    assert len(stays) == one.jobs
    for part in (before, after):
        for new, old in enumerate(part.moves):
            assert part.line.moves[new].routes == one.moves[old].routes
            assert part.line.moves[new].index == new
        for stay in part.line.stays:
            same = next(each for each in one.stays if each.arrival == part.moves[stay.arrival])
            assert part.moves[stay.departure] == same.departure
            assert (stay.least, stay.most) == (same.least, same.most)
    inside = len(before.line.stays) + len(after.line.stays)
    assert inside == len(one.stays) - len(stays)


def test_a_part_is_no_slower_than_the_line() -> None:
    # A schedule of the line, without the moves of the other part, is one of the part.
    problem = grouped()
    instance = _instance(problem, 1)
    line = merged(instance, groups_of(instance), careful=False)
    cut = sections(line, groups_of(instance)[0].places[0])
    whole = least_cycle(line).schedule
    assert cut is not None and whole is not None
    for part in cut[:2]:
        found = least_cycle(part.line).schedule
        assert found is not None and found.cycle <= whole.cycle


def test_no_sections_where_a_load_may_be_elsewhere_instead() -> None:
    instance = _instance(grouped(), 3)
    assert sections(instance, groups_of(instance)[0].places[0]) is None


def test_no_gathering_where_no_stage_holds_several() -> None:
    problem = real_line("real-flow", 20, 0)
    instance = _instance(problem, 3)
    assert gathered(instance, Clock(), least_cycle) is None
    assert gathered_cycle(instance, Clock(), least_cycle) is None


def test_what_is_told_before_a_search_ranks_degrees() -> None:
    problem = real_line("zinc", 6, 3)
    about = []
    for degree in (4, 5, 6):
        cycle = cycle_if_gathered(_instance(problem, degree), Clock())
        assert cycle is not None
        about.append(Fraction(cycle, degree))
    assert about[0] > about[1] > about[2]


def test_nothing_is_told_of_few_moves() -> None:
    assert cycle_if_gathered(_instance(grouped(), 3), Clock()) is None


def test_stopped_at_once() -> None:
    stop = Stop()
    stop.set()
    clock = Clock(Effort(stop=stop))
    assert gathered(_instance(real_line("zinc", 6, 3), 6), clock, least_cycle) is None


def test_rounds_from_a_schedule_given_keep_only_what_is_better() -> None:
    instance = _instance(real_line("zinc", 4, 0), 4)
    poor = one_by_one(instance)
    assert poor is not None
    incumbent = Incumbent(1)
    incumbent.keep(poor, [])
    rounds = Reinsertion(instance, incumbent, Clock(Effort(workers=1)))
    made, found = rounds.near_given(poor, 1)
    assert (made, found) == (1, 1)
    best = incumbent.best
    assert best is not None and best < poor.cycle
    made, found = rounds.near_given(poor, 1)
    assert made == 1
    assert incumbent.best is not None and incumbent.best <= best

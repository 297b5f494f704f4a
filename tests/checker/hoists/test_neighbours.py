"""What hoists side by side leave one another in time, against the distance followed over time.

A hoist that is late by what it may be keeps its distance all the time, with all that it does
moved as a whole; a little later and it does not. The distance is that by which schedules are
accepted; the margin is worked out from pairs of ways.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import hoistopt
from hoistopt import Order, Replay, Travel
from hoistopt.base.errors import InputError
from hoistopt.checker.hoists.distance import nearest_neighbours
from hoistopt.checker.hoists.ways import Doing, all_doings
from hoistopt.checker.neighbours import neighbours, neighbours_once
from hoistopt.checker.programme.apart import nearest_once
from hoistopt.checker.programme.record import ProgrammeReplay
from hoistopt.checker.programme.ways_once import ways_of
from hoistopt.problem import load_problem
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.hoists.two_hoists import TWO
from tests.reference.several import several

HAIR = Fraction(1, 10**6)


def moved(doing: Doing, late: int) -> Doing:
    pieces = tuple(replace(p, since=p.since + late, until=p.until + late) for p in doing.pieces)
    return replace(
        doing,
        since=doing.since + late,
        until=doing.until + late,
        ready=doing.ready + late,
        pieces=pieces,
    )


def distance(seen: Replay, hoist: int, late: Fraction) -> Fraction:
    """The least distance of two hoists where one does everything later."""
    plan = seen.plan
    does = all_doings(plan.table, plan.parts)
    does[hoist] = [moved(doing, plan.table.clock.exact(late)) for doing in does[hoist]]
    (nearest,) = nearest_neighbours(plan, does)
    return nearest.distance


def check(seen: Replay) -> int:
    """Check one replay; tell how many margins it had."""
    (pair,) = neighbours(seen)
    assert seen.problem.track is not None
    clearance, told = Fraction(seen.problem.track.clearance) - HAIR**4, 0
    for hoist, late in enumerate((pair.left_late, pair.right_late)):
        if late is None:
            continue
        told += 1
        assert distance(seen, hoist, late) >= clearance
        assert distance(seen, hoist, late + HAIR) < clearance
        for part in range(1, 8):
            assert distance(seen, hoist, late * part / 8) >= clearance
    assert pair.spare == max(0, distance(seen, 0, Fraction(0)) - clearance.__round__(6))
    return told


def test_the_margins_of_a_line_worked_out_by_hand() -> None:
    # A, back on its way from T at 8, is at 2 by 10; B, from 8 at 20, gets to 4 at 24. B leaves
    # T, at 4, at 32, and A leaves In, at 0, at 62: 34 away in time, of which the clearance takes 2.
    seen = hoistopt.replay(line(), handed_over(30, Travel(Fraction(20), "B", Fraction(4))))
    (pair,) = neighbours(seen)
    assert (pair.left, pair.right) == ("A", "B")
    assert (pair.distance, pair.spare) == (4, 2)
    assert pair.left_late == 14  # A is at 2 by 24, when B is at 4
    assert pair.right_late == 32
    assert check(seen) == 2


def test_margins_of_random_lines_are_exact() -> None:
    told = 0
    for seed in range(16):
        try:
            problem = several.draw(seed).problem()
        except InputError:  # a station that no hoist reaches
            continue
        found = hoistopt.solve(problem, time_limit=10, workers=1)
        if found.replay is not None and len({s.hoist for s in found.replay.schedule.steps}) == 2:
            told += check(found.replay)
    assert told > 10


def test_margins_with_acceleration_are_exact() -> None:
    found = hoistopt.solve(load_problem(TWO), time_limit=10, workers=1)
    assert found.replay is not None
    assert check(found.replay) == 2


def test_travels_count_as_travelling_and_not_as_waiting() -> None:
    """B goes from 8 to 4 and lifts at 30: 4 of its 48 free seconds it travels."""
    seen = hoistopt.replay(line(), handed_over(30, Travel(Fraction(20), "B", Fraction(4))))
    (run,) = (run for run in seen.runs if run.hoist == "B" and run.cycle == 3)
    assert (run.empty, run.waited) == (4, 60 - 8 - 4)
    aside = Travel(Fraction(10), "B", Fraction(10)), Travel(Fraction(20), "B", Fraction(4))
    seen = hoistopt.replay(line(), handed_over(30, *aside))
    (run,) = (run for run in seen.runs if run.hoist == "B" and run.cycle == 3)
    assert (run.empty, run.waited) == (2 + 6, 60 - 8 - 8)


def distance_once(seen: ProgrammeReplay, hoist: int, late: Fraction) -> Fraction:
    """The least distance of two hoists in a programme where one does everything later."""
    ways = ways_of(seen.course)
    way = ways[hoist]
    assert way is not None
    by = seen.course.table.clock.exact(late)
    ways[hoist] = replace(way, doings=tuple(moved(doing, by) for doing in way.doings))
    (nearest,) = nearest_once(seen.course, ways)
    return nearest.there - nearest.here


def test_the_margins_of_a_programme_are_exact() -> None:
    told = 0
    lines = [load_problem(TWO)]
    for seed in range(8):
        try:
            lines.append(several.draw(seed).problem())
        except InputError:  # a station that no hoist reaches
            continue
    for problem in lines:
        found = hoistopt.plan(problem, [Order(problem.recipes[0].name, 1)], workers=1, time_limit=5)
        seen = found.replay
        assert seen is not None and problem.track is not None
        clearance = Fraction(problem.track.clearance) - HAIR**4
        for pair in neighbours_once(seen):
            assert pair.spare == max(0, pair.distance - Fraction(problem.track.clearance))
            assert pair.distance == pair.there - pair.here == distance_once(seen, 0, Fraction(0))
            for hoist, late in enumerate((pair.left_late, pair.right_late)):
                if late is None:
                    assert distance_once(seen, hoist, Fraction(10**4)) >= clearance
                    continue
                told += 1
                assert distance_once(seen, hoist, late) >= clearance
                assert distance_once(seen, hoist, late + HAIR) < clearance
    assert told >= 4

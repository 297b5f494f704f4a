"""A plan against a log that follows it but for what was put in: it is told exactly."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from itertools import pairwise

import pytest

import hoistopt
from hoistopt import InputError, Problem
from hoistopt.checker import accepted_programme
from hoistopt.plant.adherence.align import Order, align
from hoistopt.plant.adherence.answer import Adherence
from hoistopt.plant.adherence.judge import adherence
from hoistopt.plant.adherence.planned import Planned, planned_cycle, planned_once
from hoistopt.plant.moves import LoggedMoves

pl = pytest.importorskip("polars")

LINE = hoistopt.load_problem("problems/three_tanks_dryer.toml")
CYCLE = hoistopt.solve(LINE).schedule
assert CYCLE is not None
PLAN = planned_cycle(hoistopt.replay(LINE, CYCLE))
TANKS = hoistopt.load_problem("problems/parallel_tanks.toml")


@dataclass(frozen=True)
class Event:
    source: str
    target: str
    start: float
    takes: float
    hoist: str | None = None


def steady(plan: Planned, cycles: int) -> list[Event]:
    """A log of whole cycles, exactly as planned."""
    return [
        Event(
            move.source, move.target, move.start + cycle * (plan.cycle or 0), move.takes, move.hoist
        )
        for cycle in range(cycles)
        for move in plan.moves
    ]


def shifted(events: list[Event], since: int, by: float) -> list[Event]:
    """The same with all moves from one on made later."""
    return [
        replace(event, start=event.start + by) if number >= since else event
        for number, event in enumerate(events)
    ]


def judged(events: list[Event], plan: Planned = PLAN, problem: Problem = LINE) -> Adherence:
    frame = pl.DataFrame(
        {
            "start": [round(1e6 * event.start) for event in events],
            "end": [round(1e6 * (event.start + event.takes)) for event in events],
            "source": [event.source for event in events],
            "target": [event.target for event in events],
            "carrier": [None] * len(events),
            "hoist": [event.hoist for event in events],
            "line": list(range(2, len(events) + 2)),
            "file": ["log"] * len(events),
        }
    )
    return adherence(LoggedMoves(frame, frame.clear()), problem, plan)


def told(found: Adherence) -> list[tuple[str, int | None, int | None]]:
    return [(each.kind, each.made, each.position) for each in found.deviations]


@pytest.mark.quick
def test_a_log_as_planned_has_nothing_to_tell() -> None:
    found = judged(steady(PLAN, 6))
    assert found.positions.tolist() == list(range(30))
    assert abs(found.late).max() < 1e-6 and not found.deviations and not found.stopped.any()
    assert [step.made for step in found.steps] == [6] * 5
    assert max(abs(step.cost) for step in found.steps) < 1e-5
    assert [drift.cycle for drift in found.cycles] == [1, 2, 3, 4, 5, 6]


def test_a_log_may_begin_anywhere_in_the_cycle() -> None:
    found = judged(steady(PLAN, 4)[3:])
    assert found.positions.tolist() == list(range(3, 20))


def test_one_late_start_is_lost_once() -> None:
    found = judged(shifted(steady(PLAN, 8), 17, 30.0))
    assert found.late[16] == pytest.approx(0, abs=1e-6)
    assert found.late[17:].tolist() == pytest.approx([30.0] * 23)
    late = {step.number: (step.late, step.waited) for step in found.steps if step.late}
    assert late == {2: (1, pytest.approx(30.0))}
    lost = {drift.cycle: drift.gained for drift in found.cycles if drift.gained}
    assert {cycle: round(value, 6) for cycle, value in lost.items() if value > 1e-6} == {4: 30}


def test_a_slow_move_costs_what_it_takes_longer() -> None:
    """Each time it is made, 4 s more; the plan has time to spare, so the next start is on time."""
    slow = [
        replace(event, takes=event.takes + 4 * (number % 5 == 1))
        for number, event in enumerate(steady(PLAN, 10))
    ]
    found = judged(slow)
    assert abs(found.late).max() < 1e-6
    assert found.steps[1].moved == pytest.approx(40)
    assert found.steps[2].waited == pytest.approx(-40)
    assert [round(step.moved, 6) for step in found.steps if step.number != 1] == [0] * 4


def test_a_stop_is_told_apart() -> None:
    found = judged(shifted(steady(PLAN, 8), 22, 1200.0))
    assert found.stopped.nonzero()[0].tolist() == [22]
    assert max(abs(step.cost) for step in found.steps) < 1e-5
    assert [drift.cycle for drift in found.cycles if drift.stops] == [5]
    assert found.late[-1] == pytest.approx(1200)


def test_a_missing_move_leaves_a_load_and_the_next_have_nothing_to_lift() -> None:
    """Step 2, Passivate to Rinse, of cycle 4 is not made; so Rinse to Dryer has no load."""
    events = steady(PLAN, 8)
    assert (events[16].source, events[16].target) == ("Passivate", "Rinse")
    rinsed = next(n for n in range(17, 40) if events[n].source == "Rinse")
    dried = next(n for n in range(rinsed + 1, 40) if events[n].source == "Dryer")
    left = [event for n, event in enumerate(events) if n not in (16, rinsed, dried)]
    found = judged(left)
    assert told(found) == [("missing", None, n) for n in (16, rinsed, dried)]
    assert [each.why for each in found.deviations] == [
        "a load stood there",
        "nothing had been brought",
        "nothing had been brought",
    ]
    assert [each.after for each in found.deviations] == [15, rinsed - 2, dried - 3]
    assert abs(found.late).max() < 1e-6


def test_no_new_load() -> None:
    events = steady(PLAN, 8)
    enters = next(n for n in range(15, 40) if events[n].target == "Wash")
    found = judged(events[:enters] + events[enters + 1 :])
    assert told(found) == [("missing", None, enters)]
    assert found.deviations[0].why == "no new load"


def test_an_added_move() -> None:
    events = steady(PLAN, 6)
    stray = Event("Rinse", "Wash", events[12].start + 1, 10)
    found = judged([*events[:13], stray, *events[13:]])
    assert told(found) == [("added", 13, None)]
    assert found.positions.tolist() == [*range(13), -1, *range(13, 30)]


# The fifth and the first of the next cycle cannot be: a load would be set down on another.
@pytest.mark.parametrize("at", range(10, 14))
def test_two_moves_swapped(at: int) -> None:
    events = steady(PLAN, 6)
    first, second = events[at], events[at + 1]
    events[at : at + 2] = [
        replace(second, start=first.start),
        replace(first, start=second.start),
    ]
    found = judged(events)
    (each,) = found.deviations
    assert each.kind == "out of turn"
    assert (each.made, each.position, each.places) in ((at, at + 1, 1), (at + 1, at, -1))
    turned = [step for step in found.steps if step.turned]
    assert len(turned) == 1 and each.position is not None
    assert turned[0].number == each.position % 5
    between = found.late[each.made] if each.made is not None else 0
    assert abs(between) == pytest.approx(second.start - first.start)


def test_a_load_set_down_in_another_tank() -> None:
    result = hoistopt.solve(TANKS, degree=2)
    assert result.schedule is not None
    plan = planned_cycle(hoistopt.replay(TANKS, result.schedule))
    events = steady(plan, 5)
    stage = next(stage.station for stage in TANKS.recipes[0].stages if len(stage.station) > 1)
    at = next(n for n in range(len(plan.moves), len(events)) if events[n].target in stage)
    other = next(name for name in stage if name != events[at].target)
    events[at] = replace(events[at], target=other)
    found = judged(events, plan, TANKS)
    assert ("other target", at, at) in told(found)


def test_moves_of_the_same_stations_twice_in_a_cycle() -> None:
    result = hoistopt.solve(LINE, degree=2)
    assert result.schedule is not None
    plan = planned_cycle(hoistopt.replay(LINE, result.schedule))
    events = steady(plan, 8)
    assert len({(e.source, e.target) for e in events}) < len(plan.moves)
    positions = judged(events, plan).positions
    first = int(positions[0])  # two equal halves of a cycle cannot be told apart
    assert first in (0, 5) and positions.tolist() == list(range(first, first + 80))
    del events[37]
    (each,) = judged(events, plan).deviations
    assert each.kind == "missing" and each.position in (37, 42)


def test_a_line_that_fills_and_runs_out_and_fills_again() -> None:
    """Three days of it: what is missing had nothing to lift, or no new load came."""
    assert CYCLE is not None
    day = hoistopt.unroll(CYCLE, cycles=6)
    takes = {(move.source, move.target): move.takes for move in PLAN.moves}
    once = [
        Event(s.source, s.target, float(day.time(s.start)), takes[s.source, s.target]) for s in day
    ]
    events = [replace(e, start=e.start + 9000 * d) for d in range(3) for e in once]
    found = judged(events)
    assert (found.positions >= 0).all()
    assert {each.kind for each in found.deviations} == {"missing"}
    assert "a load stood there" not in {each.why for each in found.deviations}
    assert found.stopped.sum() == 2


def test_a_programme() -> None:
    assert CYCLE is not None
    programme = hoistopt.unroll(CYCLE, cycles=4)
    plan = planned_once(accepted_programme(LINE, programme))
    events = [Event(m.source, m.target, m.start + 500, m.takes) for m in plan.moves]
    found = judged(events, plan)
    assert found.positions.tolist() == list(range(20)) and not found.cycles
    assert abs(found.late).max() < 1e-6
    late = judged(shifted(events, 7, 12.5), plan)
    assert late.late[7:].tolist() == pytest.approx([12.5] * 13)
    del events[9]
    assert told(judged(events, plan)) == [("missing", None, 9)]


def test_another_plan_is_refused() -> None:
    events = [replace(e, source=e.target, target=e.source) for e in steady(PLAN, 5)]
    with pytest.raises(InputError, match="a log of this schedule"):
        judged(events)


def disturbed(seed: int) -> tuple[list[Event], set[tuple[str, int | None]]]:
    """A long log with some moves taken out, far from one another, and what must be told."""
    draw = random.Random(seed)
    events = steady(PLAN, 60)
    places = draw.sample(range(20, 280, 20), 6)
    want = {("missing", place) for place in places}
    kept = [event for n, event in enumerate(events) if n not in places]
    for _ in range(3):
        kept = shifted(kept, draw.randrange(20, 250), draw.choice((3.0, 40.0, 3000.0)))
    return kept, want  # type: ignore[return-value]


@pytest.mark.parametrize("seed", range(8))
def test_whatever_is_taken_out_is_told(seed: int) -> None:
    events, want = disturbed(seed)
    found = judged(events)
    assert {(each.kind, each.position) for each in found.deviations} == want
    total = sum(step.cost for step in found.steps) + found.waited[found.stopped].sum()
    assert total == pytest.approx(found.late[found.positions >= 0][-1], abs=1e-3)


def least_cost(made: str, planned: str) -> int:
    """Brute force: the least cost of all chains, with times that never bind."""
    best = len(made)
    for first in range(len(planned)):
        chains = {(-1, first - 1, 0)}
        for number, what in enumerate(made):
            for move, place, cost in list(chains):
                gap = 0 if move < 0 else number - move - 1
                gap = number if move < 0 else gap
                for skipped in range(len(planned)) if move >= 0 else range(1):
                    at = (place + 1 + skipped) % len(planned)
                    if planned[at] == what:
                        chains.add((number, at, cost + gap + bool(skipped)))
        best = min([best, *(cost + len(made) - 1 - move for move, _, cost in chains if move >= 0)])
    return best


@pytest.mark.parametrize("seed", range(20))
def test_no_chain_costs_less(seed: int) -> None:
    """Against brute force over all chains of short orders."""
    draw = random.Random(seed)
    planned = [draw.choice("abcd") for _ in range(5)]
    made = [draw.choice("abcd") for _ in range(7)]
    begins = [100.0 * n for n in range(7)]
    ends = {letter: (letter, letter) for letter in "abcd"}
    found = align(
        [ends[what] for what in made], begins,
        [Order([ends[what] for what in planned], [float(n) for n in range(5)], 5.0)], [0] * 7,
    )  # fmt: skip
    matched = [(n, position) for n, position in enumerate(found) if position >= 0]
    assert all(planned[position % 5] == made[n] for n, position in matched)
    cost = found.count(-1)
    cost += sum(b[1] - a[1] > 1 for a, b in pairwise(matched))
    assert cost == least_cost("".join(made), "".join(planned))


# --- several hoists ---------------------------------------------------------------------------

PAIR = hoistopt.load_problem("problems/several/two_hoists.toml")


@pytest.fixture(scope="module")
def pair() -> Planned:
    result = hoistopt.solve(PAIR, effort=hoistopt.Effort(time_limit=10, workers=1))
    assert result.schedule is not None
    return planned_cycle(hoistopt.replay(PAIR, result.schedule))


def test_each_hoist_is_held_against_its_own_moves(pair: Planned) -> None:
    """One hoist late by less than the other's next start changes the order in time only."""
    events = steady(pair, 8)
    around = len(pair.moves)
    found = judged(events, pair, PAIR)
    assert found.positions.tolist() == list(range(8 * around)) and not found.deviations
    second = pair.by_hoist[1][0]
    since = next(n for n, e in enumerate(events) if n > 3 * around and e.hoist == second)
    by = 0.4 * (pair.cycle or 0) / around
    late = [
        replace(e, start=e.start + by) if e.hoist == second and n >= since else e
        for n, e in enumerate(events)
    ]
    late.sort(key=lambda event: event.start)
    found = judged(late, pair, PAIR)
    assert (found.positions >= 0).all() and not found.deviations
    behind = {
        (e.hoist == second and found.positions[n] >= since): round(float(found.late[n]), 3)
        for n, e in enumerate(late)
    }
    assert behind == {False: 0, True: round(by, 3)}
    cost = {step.number: round(step.cost, 3) for step in found.steps if abs(step.cost) > 1e-3}
    assert cost == {since % around: round(by, 3)}


@pytest.mark.parametrize("begins", [0, 3, 5])
def test_a_missing_move_of_one_of_several_hoists(pair: Planned, begins: int) -> None:
    events = steady(pair, 8)[begins:]
    around = len(pair.moves)
    for gone in range(3 * around, 4 * around):
        found = judged(events[:gone] + events[gone + 1 :], pair, PAIR)
        (each,) = found.deviations
        assert (each.kind, (each.position or 0) % around) == ("missing", (begins + gone) % around)
        assert each.why in ("a load stood there", "no new load")


def test_a_log_must_tell_which_hoist_made_a_move(pair: Planned) -> None:
    events = [replace(event, hoist=None) for event in steady(pair, 3)]
    with pytest.raises(InputError, match="the hoist of every move"):
        judged(events, pair, PAIR)

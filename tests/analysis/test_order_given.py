"""Orders given by the user: their least cycle time, or why they cannot run."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from hoistopt import InputError, Problem, least_for_order, load_problem, read_order, verify
from hoistopt.analysis.why.holding import what_holds
from hoistopt.schedule import Schedule, Step
from tests.helpers.command import PROBLEMS
from tests.helpers.explained import bare, least_in_order, order_of, solved
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES
from tests.reference.moves import lines


def by_hand(**stage: object) -> Problem:
    """Carrying takes 10, going empty 4 per place; two tanks between the ends."""
    names = ["In", "A", "B", "Out"]
    pairs = [(i, j) for i in range(4) for j in range(4) if i != j]
    return Problem.from_data(
        {
            "name": "By hand",
            "tick": 1,
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "A", "position": 1},
                {"name": "B", "position": 2},
                {"name": "Out", "kind": "unload", "position": 3},
            ],
            "times": {
                "loaded": [{"from": names[i], "to": names[j], "time": 10} for i, j in pairs],
                "empty": [
                    {"from": names[i], "to": names[j], "time": 4 * abs(i - j)} for i, j in pairs
                ],
            },
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": "A", "min": 100}, {"station": "B", "min": 5, **stage}],
                }
            ],
        }
    )


@pytest.mark.parametrize("seeds", first(6, range(400, 412)))
@pytest.mark.parametrize("family", FAMILIES)
def test_any_order_gets_the_cycle_time_of_the_reference(family: str, seeds: range) -> None:
    # The reference tries every reading of the order; see tests/reference.
    runs = stuck = 0
    for seed in seeds:
        problem, degree = FAMILIES[family](seed)
        line = next(iter(lines(problem, degree)), None)
        if line is None:
            continue
        moves = [(move.source, move.target) for move in line.moves]
        if len(moves) > 7:
            continue
        rng = Random(f"order {family} {seed}")
        for _ in range(2):
            rng.shuffle(moves)
            try:
                found = least_for_order(
                    problem, order_of(moves), compare=False, time_limit=None, workers=1
                )
            except InputError:  # a window without a whole tick
                continue
            expected = least_in_order(problem, degree, moves)
            assert found.status == ("cannot" if expected is None else "runs"), (seed, moves)
            if expected is None:
                stuck += 1
                assert found.faults or found.deadlock or found.conflict
                continue
            runs += 1
            assert found.exact and found.cycle_time is not None and found.schedule is not None
            assert found.schedule.cycle == expected, (seed, moves)
            assert verify(problem, found.schedule) == ()
            first = found.schedule.steps[0]
            assert (first.start, first.source, first.target) == (0, *moves[0])
    assert runs + stuck > 1


@pytest.mark.parametrize("seeds", first(3, range(420, 426)))
@pytest.mark.parametrize("family", FAMILIES)
def test_the_order_of_an_optimal_schedule_runs_as_fast(family: str, seeds: range) -> None:
    for line in solved(family, seeds):
        for order in (line.schedule, bare(line.schedule)):
            found = least_for_order(line.problem, order, compare=False, workers=1)
            assert found.cycle_time == line.schedule.time(line.schedule.cycle), line.name
            assert found.exact


@pytest.mark.parametrize(
    ("seed", "moves"),
    [
        (4, [("Dock", "A"), ("Dock", "A"), ("A", "Dock"), ("A", "Dock")]),
        (14, [("B", "Out"), ("In", "A"), ("A", "B"), ("A", "Out"), ("In", "A")]),
        (42, [("Dock", "A"), ("A", "Dock"), ("A", "Dock"), ("Dock", "A")]),
    ],
)
def test_circuits_over_maxima_add_up_too(seed: int, moves: list[tuple[str, str]]) -> None:
    # Two recipes in a tank of two places: one's maximum ties its lift to its set down,
    # which the circuit goes along backwards in time.
    problem, _ = FAMILIES["turns"](seed)
    found = least_for_order(problem, order_of(moves), compare=False, workers=1)
    assert found.schedule is not None
    held = what_holds(problem, found.schedule)
    assert sum(piece.time for piece in held.pieces) == held.exact * held.cycles
    assert held.least == found.cycle_time
    assert any(piece.what == "maximum" and piece.time < 0 for piece in held.pieces)
    assert ", less A maximum (load 1 of R1) " in held.sentence()


def test_times_by_hand() -> None:
    # In-A, A-B, B-Out in one go: 10 + 100 + 10 + 5 + 10, then 12 back to In.
    found = least_for_order(by_hand(), order_of([("In", "A"), ("A", "B"), ("B", "Out")]))
    assert found.cycle_time == 147
    assert found.best == 128 and found.best_bound == 128 and found.behind == 19
    assert found.sentences() == [
        "This order runs with a cycle time of 147 s, its least.",
        "The least of any order of degree 1 is 128 s: this order takes 19 s, or 14.8%, longer.",
    ]
    best = least_for_order(by_hand(), order_of([("In", "A"), ("B", "Out"), ("A", "B")]))
    assert best.cycle_time == 128
    assert best.sentences()[1] == "No order of degree 1 is quicker: proved."


def test_a_maximum_that_leaves_too_little_time_is_told_as_a_sum() -> None:
    # After A-B the hoist goes 8 to In, carries 10 to A and goes 4 to B: 22, not 20.
    order = order_of([("A", "B"), ("In", "A"), ("B", "Out")])
    found = least_for_order(by_hand(max=20), order)
    assert found.status == "cannot" and found.deadlock is not None
    assert found.sentences() == [
        "This order cannot run.",
        "Whatever the cycle time, hoist empty from B to In (8 s), lift and carry from In to A "
        "(10 s) and hoist empty from A to B (4 s) take 22 s, but the B maximum allows 20 s only.",
    ]
    assert least_for_order(by_hand(max=22), order, compare=False).status == "runs"


def test_a_maximum_loses_what_rounding_adds_to_a_move() -> None:
    # Moves of 9.5 planned as 10: after A-B has truly ended the load stands 22.5 in B.
    order = order_of([("A", "B"), ("In", "A"), ("B", "Out")])
    data = by_hand(max=22).to_data()
    for entry in data["times"]["loaded"]:
        entry["time"] = Decimal("9.5")
    found = least_for_order(Problem.from_data(data), order, compare=False)
    assert found.status == "cannot"
    assert "rounding of the move from A to B (1 s)" in found.sentences()[1]
    data["recipe"][0]["stage"][1]["max"] = 23
    assert least_for_order(Problem.from_data(data), order, compare=False).status == "runs"


def test_a_cycle_too_long_and_too_short_at_once_is_told_by_both_sums() -> None:
    # B-Out comes before A-B in the cycle, so a load in B waits for In-A, and A's 100: at
    # least 110 + 8 in the cycle, and B allows 30. With 100 in A every cycle is too long.
    order = order_of([("In", "A"), ("B", "Out"), ("A", "B")])
    found = least_for_order(by_hand(max=30), order)
    assert found.status == "runs"  # the cycle begins anew at once: 128
    data = by_hand().to_data()
    data["cycle"] = {"max": 120}
    found = least_for_order(Problem.from_data(data), order)
    assert found.status == "cannot" and found.deadlock is not None
    first, second = found.sentences()[1:]
    assert first.startswith("The cycle has to be at least 128 s:")
    assert second == "It may be at most 120 s, the maximum cycle time."


@pytest.mark.parametrize(
    ("moves", "said"),
    [
        (
            [("In", "A"), ("A", "B"), ("B", "A")],
            "Step 3, B to A, is no move that any recipe of the line makes.",
        ),
        ([("In", "A"), ("A", "B"), ("A", "B")], "A step is missing: B to Out."),
        ([("A", "B"), ("B", "Out")], "No step brings a load in from a load station."),
        (
            [("In", "A"), ("In", "A"), ("A", "B"), ("A", "B"), ("B", "Out"), ("B", "Out")],
            "Step 2 sets a carrier down in A, where the one that step 1 set down still stands.",
        ),
    ],
)
def test_what_is_wrong_with_an_order_is_named(moves: list[tuple[str, str]], said: str) -> None:
    found = least_for_order(by_hand(), order_of(moves))
    assert found.status == "cannot"
    assert said in found.sentences()


def test_a_carrier_lifted_for_the_wrong_stage_is_named() -> None:
    data = by_hand().to_data()
    stages = [{"station": name, "min": 5} for name in ("A", "B", "A")]
    data["recipe"] = [{"name": "R", "stage": stages}]
    problem = Problem.from_data(data)
    order = order_of([("In", "A"), ("A", "Out"), ("B", "A"), ("A", "B")])
    found = least_for_order(problem, order)
    assert (
        "Step 2 lifts a carrier at A, but the one there, set down by step 1, has to go on to B."
        in found.sentences()
    )


def test_a_carrier_lifted_where_it_does_not_stand_is_named() -> None:
    data = by_hand().to_data()
    data["recipe"] = [{"name": "R", "stage": [{"station": ["A", "B"], "min": 5}]}]
    found = least_for_order(Problem.from_data(data), order_of([("In", "A"), ("B", "Out")]))
    assert found.faults == ("Step 1 sets a carrier down in A, but step 2 lifts it in B.",)


def test_loads_entering_in_the_wrong_order_are_named() -> None:
    data = by_hand().to_data()
    data["recipe"] = [
        {"name": name, "stage": [{"station": tank, "min": 5}]}
        for name, tank in (("R", "A"), ("S", "B"))
    ]
    data["cycle"] = {"order": ["R", "R", "S"]}
    problem = Problem.from_data(data)
    moves = [("In", "A"), ("A", "Out"), ("In", "B"), ("B", "Out"), ("In", "A"), ("A", "Out")]
    assert least_for_order(problem, order_of(moves)).status == "runs"
    data["cycle"] = {"order": ["R", "R", "S", "S"]}
    moves = [*moves, ("In", "B"), ("B", "Out")]
    found = least_for_order(Problem.from_data(data), order_of(moves))
    assert found.faults == (
        "Loads enter in the order R, S, R and S, but the line asks for R, R, S and S.",
    )


def test_restarts_that_the_table_states_are_kept() -> None:
    problem = load_problem(PROBLEMS / "roomy_dryer.toml")
    order = [("Bench", "Wash"), ("Dryer", "Bench"), ("Rinse", "Dryer"), ("Wash", "Rinse")]
    free = least_for_order(problem, order_of(order), compare=False)
    assert free.schedule is not None and free.cycle_time is not None
    stays = {step.source: step.boundaries for step in free.schedule}
    assert stays["Dryer"] == 3
    steps = [
        Step(number, *move, boundaries=2 if move[0] == "Dryer" else None)
        for number, move in enumerate(order)
    ]
    slower = least_for_order(problem, Schedule(4, Fraction(1), tuple(steps)), compare=False)
    assert slower.schedule is not None and slower.cycle_time is not None
    assert {s.source: s.boundaries for s in slower.schedule}["Dryer"] == 2
    assert slower.cycle_time > free.cycle_time


def test_loads_that_the_table_names_are_kept() -> None:
    # Two loads in a tank of two places, which they may leave in any order.
    data = by_hand().to_data()
    data["station"][1].update(capacity=2, order="any")
    data["recipe"] = [{"name": "R", "stage": [{"station": "A", "min": 5}]}]
    problem = Problem.from_data(data)
    for loads in ((1, 2, 1, 2), (1, 2, 2, 1)):
        moves = [("In", "A"), ("In", "A"), ("A", "Out"), ("A", "Out")]
        steps = [
            Step(number, *move, load=load)
            for number, (move, load) in enumerate(zip(moves, loads, strict=True))
        ]
        found = least_for_order(problem, Schedule(4, Fraction(1), tuple(steps)), compare=False)
        assert found.schedule is not None
        assert tuple(step.load for step in found.schedule) == loads


def test_loads_cannot_be_lifted_where_none_was_set_down() -> None:
    data = by_hand().to_data()
    data["recipe"] = [{"name": "R", "stage": [{"station": ["A", "B"], "min": 5}]}]
    problem = Problem.from_data(data)
    both = order_of([("In", "A"), ("In", "B"), ("A", "Out"), ("B", "Out")])
    assert least_for_order(problem, both, compare=False).status == "runs"
    swapped = order_of([("In", "A"), ("B", "Out"), ("In", "A"), ("B", "Out")])
    found = least_for_order(problem, swapped, compare=False)
    assert found.status == "cannot" and found.faults


def test_an_order_can_be_read_without_times(tmp_path: Path) -> None:
    problem = by_hand()
    table = tmp_path / "order.csv"
    table.write_text("from,to\nIn,A\nB,Out\nA,B\n")
    plain = read_order(table, problem)
    assert [(s.start, s.source) for s in plain] == [(0, "In"), (1, "B"), (2, "A")]
    table.write_text("# cycle_time = 900\nstart,from,to\n300,A,B\n20,B,Out\n0,In,A\n")
    assert read_order(table, problem) == plain
    file = tmp_path / "order.json"
    file.write_text('{"moves": [{"from": "In", "to": "A"}, {"from": "B", "to": "Out"}, '
                    '{"from": "A", "to": "B", "recipe": "R"}]}')  # fmt: skip
    assert [(s.start, s.source) for s in read_order(file, problem)] == [
        (0, "In"),
        (1, "B"),
        (2, "A"),
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("from,to\n", "at least one move"),
        ("from\nIn\n", 'a column "to"'),
        ("start,from,to\n0,In,A\n,A,B\n", "the cell is empty"),
        ("from,to\nIn,Q\n", "the name of a station"),
        ("start,from,to\nsoon,In,A\n", "a number"),
    ],
)
def test_an_order_that_cannot_be_read_is_refused(tmp_path: Path, text: str, said: str) -> None:
    table = tmp_path / "order.csv"
    table.write_text(text)
    with pytest.raises(InputError, match=said):
        read_order(table, by_hand())

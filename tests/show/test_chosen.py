"""What is said of the degrees that were compared, and of tanks that stand idle."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from hoistopt import Problem, Result, load_problem, solve
from hoistopt.conflict import Conflict
from hoistopt.conflict.answer import OtherDegrees
from hoistopt.planning.best_degree.candidates import degrees_not_tried, held_to_degree
from hoistopt.planning.idle import groups_all_used, idle_at_degree, idle_tanks
from hoistopt.planning.result import DegreeChoice
from hoistopt.show.conflict.answer import ConflictAnswer
from hoistopt.show.schedule.chosen import choice_data, choice_sentences
from hoistopt.show.schedule.degrees import ComparedDegrees, DegreeRow, degree_row
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.grouped import grouped

pytestmark = pytest.mark.quick


@pytest.fixture(scope="module")
def best() -> Result:
    """Of two tanks for one stage."""
    return solve(grouped(2), "best", workers=1)


def choice_of(best: Result) -> DegreeChoice:
    assert best.choice is not None
    return best.choice


def said_of(choice: DegreeChoice, best: Result | None) -> list[str]:
    return choice_sentences(ComparedDegrees.of(grouped(2), choice.results, best, choice))


def test_degrees_left_out_are_told_by_reason(best: Result) -> None:
    few = replace(choice_of(best), left_out=degrees_not_tried(grouped(12)))
    said = said_of(few, best)
    assert "Degrees 10, 11 and 24 were left out: at most 10 degrees are tried." in said
    many = replace(choice_of(best), left_out=degrees_not_tried(grouped(50)))
    said = said_of(many, best)
    assert "Degrees 10 to 49 and 100 were left out: at most 10 degrees are tried." in said
    assert len(choice_data(many)["left_out"]) == 41


@pytest.mark.parametrize("proved", ["open", "degrees compared"])
def test_nothing_is_said_of_a_bound_that_there_is_not(proved: str, best: Result) -> None:
    known = choice_of(best)
    choice = replace(known, proved=proved, least_of_compared=best.time_per_load or 0)
    (with_bound, *_) = said_of(choice, best)
    assert f"no cycle of any degree is below {known.least_per_load:g} s a load" in with_bound
    none = replace(choice, least_per_load=0)
    for result in (best, None):
        text = " ".join(said_of(none, result))
        assert "any degree" not in text and "below 0" not in text and " ." not in text


def test_a_tank_that_no_hoist_serves_is_idle_for_that_reason() -> None:
    data = grouped(3).to_data()
    data["hoist"]["unreachable"] = ["Plate 3"]
    problem = Problem.from_data(data)
    found = solve(problem, 2, workers=1)
    assert found.schedule is not None
    (group,) = idle_tanks(problem, found.schedule)
    assert (group.idle, group.unreached, group.by_degree) == (("Plate 3",), ("Plate 3",), False)
    assert group.words().endswith(
        "1 of 3 for Plate 1 to 3: no hoist takes loads to Plate 3 and on."
    )
    assert "does without" not in group.words()
    assert idle_at_degree(problem, 2) == () and idle_at_degree(problem, 1) != ()
    alone = solve(problem, 1, workers=1)
    assert alone.schedule is not None
    (group,) = idle_tanks(problem, alone.schedule)
    assert group.by_degree and len(group.spare) == 1
    assert "no hoist takes loads to Plate 3 and on; a cycle has 1 load" in group.words()


def test_loads_that_have_only_some_of_the_tanks_come_to_the_group_too() -> None:
    """Five tanks, of which one recipe has three: with a load of each, two tanks can be in use."""
    data = grouped(5).to_data()
    (parts,) = data["recipe"]
    some = {**parts["stage"][0], "station": ["Plate 1", "Plate 2", "Plate 3"]}
    others = {"name": "Others", "stage": [some, parts["stage"][1]]}
    data["recipe"] = [parts, others]
    data["cycle"] = {"mix": {"Parts": 1, "Others": 1}}
    problem = Problem.from_data(data)
    found = solve(problem, 1, workers=1)
    assert found.schedule is not None
    used = {step.target for step in found.schedule if step.target.startswith("Plate")}
    five, three = idle_tanks(problem, found.schedule)
    assert (five.visits, three.visits) == (2, 2)
    assert len(used) == 2 and len(five.idle) == 3
    assert five.words().endswith("a cycle has 2 loads for these 5 tanks, and a tank gets the "
                                 "same loads in every cycle.")  # fmt: skip
    one = replace(five, idle=(*five.idle, "Plate 1"))
    assert one.words().endswith("in every cycle; the schedule does without 1 more.")


def test_a_tank_that_loads_do_not_get_on_from_is_idle_for_that_reason() -> None:
    """The second hoist does not reach the rinse, and the first not Plate 3."""
    data = grouped(3).to_data()
    hoist = data["hoist"]
    data["station"][-1]["position"] = -2
    data["hoist"] = [{**hoist, "name": "A", "to": 2}, {**hoist, "name": "B", "from": 0}]
    data["track"] = {"clearance": 1, "from": -4, "to": 8}
    problem = Problem.from_data(data)
    found = solve(problem, 1, workers=1)
    assert found.schedule is not None
    (group,) = idle_tanks(problem, found.schedule)
    assert "Plate 3" in group.unreached and "Plate 1" not in group.unreached


def test_what_none_takes_less_than_is_never_more_than_what_is_shown_to_take_it() -> None:
    problem = load_problem(PROBLEMS / "parallel_tanks.toml")
    found = solve(problem, degree="best")
    assert found.choice is not None
    compared = ComparedDegrees.of(problem, found.choice.results, found, found.choice)
    assert compared.least == Decimal("221.633")  # 664.9 s for three loads
    assert any("none takes less than 221.633 s" in said for said in choice_sentences(compared))


def test_a_lower_degree_that_takes_less_than_a_tick_more_is_named() -> None:
    problem = load_problem(PROBLEMS / "hoist_limits.toml")
    found = solve(problem, degree="best")
    assert found.choice is not None
    compared = ComparedDegrees.of(problem, found.choice.results, found, found.choice)
    told = [said for said in choice_sentences(compared) if "fewer moves" in said]
    assert told == [
        "Degree 2 takes only 0.025 s a load more, less than a tick, and has fewer moves to program."
    ]
    assert "-0.0" not in {gain for _, _, _, _, _, gain, _ in zip(*compared.cells(), strict=True)}
    coarse = replace(compared, rows=tuple(row for row in compared.rows if row.degree != 2))
    assert not [said for said in choice_sentences(coarse) if "fewer moves" in said]


def rows_of(*given: tuple[int, str, int | None, int, bool]) -> ComparedDegrees:
    """Degrees with status, cycle time, bound and whether they were searched; 2 is the best."""
    rows = [
        DegreeRow(
            degree,
            degree,
            status,
            None if cycle is None else Decimal(cycle),
            Decimal(bound),
            None if cycle is None else Fraction(cycle, degree),
            searched,
        )
        for degree, status, cycle, bound, searched in given
    ]
    return ComparedDegrees(grouped(2), tuple(rows), 2)  # type: ignore[arg-type]


def test_gains_are_shown_against_the_lowest_degree_with_a_schedule() -> None:
    compared = rows_of(
        (1, "optimal", 100, 100, True),
        (2, "optimal", 100, 100, True),
        (3, "feasible", 300, 200, False),
        (4, "feasible", 220, 190, True),
    )
    assert compared.heads()[5] == "Gain on degree 1, %"
    assert compared.cells()[5] == ["-", "50.0", "0.0", "45.0"]
    # In files it keeps its meaning, and says which: over the row above.
    table = compared.data_table()
    assert [row[5] for row in table.rows] == [
        None, Decimal("0.5"), Decimal(-1), Decimal("0.45"),
    ]  # fmt: skip
    assert any("row above" in note for note in table.notes)
    later = rows_of(
        (1, "infeasible", None, 0, True), *((n, "optimal", 60, 60, True) for n in (2, 3))
    )
    assert later.heads()[5] == "Gain on degree 2, %"
    assert later.cells()[5] == ["-", "-", "33.3"]


def test_a_degree_that_was_not_searched_is_not_shown_as_a_result() -> None:
    compared = rows_of(
        (1, "optimal", 100, 100, True),
        (2, "optimal", 100, 100, True),
        (3, "feasible", 300, 200, False),
        (4, "feasible", 200, 190, False),
        (5, "feasible", 400, 260, True),
        (6, "feasible", 299, 290, False),
        (7, "unknown", None, 100, False),
    )
    assert compared.cells()[6] == [
        "proved least",
        "proved least, best",
        "not searched, cannot be below the best; cycle of degree 1, 3 times over",
        "not searched, not proved least; cycle of degree 2, 2 times over",
        "cannot be below the best",
        "not searched, not proved least",
        "none found in time",
    ]
    assert [row[-1] for row in compared.data_table().rows] == compared.cells()[6]


def test_a_degree_that_took_no_time_is_one_not_searched(best: Result) -> None:
    assert degree_row(best).searched
    assert not degree_row(replace(best, runtime=0.0)).searched


def test_a_mix_or_parallel_tanks_are_why_another_degree_may_be_quicker() -> None:
    plain = load_problem(PROBLEMS / "three_tanks_dryer.toml")
    assert held_to_degree(plain, 1, usual=True) == ()
    data = plain.to_data()
    (recipe,) = data["recipe"]
    data["recipe"] = [recipe, {**recipe, "name": "Others"}]
    data["cycle"] = {"mix": {recipe["name"]: 1, "Others": 1}}
    (mixed,) = held_to_degree(Problem.from_data(data), 1, usual=True)
    assert "a mix of loads" in mixed and "`hoistopt solve`" in mixed
    idle, tanks = held_to_degree(grouped(2), 1, usual=True)
    assert "uses 1 of the 2 tanks" in idle and "parallel tanks" in tanks
    assert held_to_degree(grouped(2), 1, usual=False) == (idle,)


@pytest.mark.parametrize(
    ("others", "said"),
    [
        (OtherDegrees((2, 3), True), "No other degree looked at (2 and 3) reaches this pace: prov"),
        (OtherDegrees((2,)), "In the time given no other degree looked at (2) was found to reach"),
        (OtherDegrees(), "There was no time to look at other degrees"),
    ],
)
def test_other_degrees_that_do_not_keep_a_wish_are_told(others: OtherDegrees, said: str) -> None:
    for status in ("none", "unknown"):
        found = Conflict(status, 1, Fraction(100), "s", others=others)  # type: ignore[arg-type]
        told = ConflictAnswer(grouped(2), found, usual_degree=True).sentences()
        assert told[1].startswith(said)
        assert ("proved" in told[1]) == others.proved


def test_degrees_that_had_no_turn_are_told() -> None:
    others = OtherDegrees((2, 4), True, not_reached=(3,))
    found = Conflict("none", 1, Fraction(100), "s", others=others)
    told = ConflictAnswer(grouped(2), found, usual_degree=True)
    assert told.sentences()[1:3] == [
        "No other degree looked at (2 and 4) reaches this pace: proved.",
        "Degree 3 had no turn in the time given, and may reach it.",
    ]
    assert told.data()["other_degrees"]["not_reached_in_time"] == [3]


def test_of_two_tanks_both_are_used() -> None:
    problem = load_problem(PROBLEMS / "quillhaven_anodising.toml")
    schedule = solve(problem, degree=2, time_limit=2).schedule  # the proof takes longer
    assert schedule is not None
    assert groups_all_used(problem, schedule) == ("Both tanks of Anodise are used.",)


def of_two_groups() -> Problem:
    """Two recipes with a stage of one name, for which one of them has a tank less."""
    data = grouped(3).to_data()
    (parts,) = data["recipe"]
    some = {**parts["stage"][0], "name": "Plate", "station": ["Plate 1", "Plate 2"]}
    all_of_them = {**parts["stage"][0], "name": "Plate"}
    data["recipe"] = [
        {"name": "Long", "stage": [all_of_them, parts["stage"][1]]},
        {"name": "Short", "stage": [some, parts["stage"][1]]},
    ]
    data["cycle"] = {"mix": {"Long": 1, "Short": 1}}
    return Problem.from_data(data)


def test_groups_of_tanks_with_one_label_are_told_apart_by_recipe() -> None:
    problem = of_two_groups()
    (idle,) = idle_at_degree(problem, 1)
    assert "uses 2 of the 3 tanks for Plate of Long, as" in idle
    found = solve(problem, 1, workers=1)
    assert found.schedule is not None
    groups = idle_tanks(problem, found.schedule)
    assert "1 of 3 for Plate of Long: a cycle has 2 loads" in groups[0].words()
    assert {group.name for group in groups} <= {"Plate of Long", "Plate of Short"}
    full = solve(problem, 2, workers=1).schedule
    assert full is not None
    assert set(groups_all_used(problem, full)) == {
        "All 3 tanks of Plate of Long are used.",
        "Both tanks of Plate of Short are used.",
    }
    alone = grouped(3)
    found = solve(alone, 1, workers=1)
    assert found.schedule is not None
    (group,) = idle_tanks(alone, found.schedule)
    assert group.name == "" and " of 3 for Plate 1 to 3: " in group.words()


def test_groups_of_one_recipe_with_one_label_are_told_apart_by_their_tanks() -> None:
    data = grouped(4).to_data()
    (parts,) = data["recipe"]
    first, rinse = parts["stage"]
    parts["stage"] = [
        {**first, "name": "Plate", "station": ["Plate 1", "Plate 2"]},
        rinse,
        {**first, "name": "Plate", "station": ["Plate 3", "Plate 4"]},
    ]
    one, other = idle_at_degree(Problem.from_data(data), 1)
    assert "tanks for Plate of Parts in Plate 1 or 2, as" in one
    assert "tanks for Plate of Parts in Plate 3 or 4, as" in other

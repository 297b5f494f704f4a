"""What holds the cycle time: the circuit adds up, is tight, and is told in plain words."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import matplotlib
import pytest

from hoistopt import Problem, Schedule, Step, load_problem, solve, verify, what_holds
from hoistopt.checker import Refused
from hoistopt.show.drawing.saving import save_figure
from hoistopt.show.why.data import why_data
from hoistopt.show.why.figure import draw_holding
from tests.helpers.command import PROBLEMS
from tests.helpers.explained import solved
from tests.reference.lines import FAMILIES

pytestmark = pytest.mark.quick


def line_by_hand(**stage: Any) -> Problem:
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


def test_a_tank_turn_worked_out_by_hand() -> None:
    # Between two loads in A: 100 of dwell, 10 to B, empty from B to In 8, 10 into A.
    problem = line_by_hand()
    found = what_holds(problem, scheduled(problem))
    assert found.sentence() == (
        "A minimum 100 s, lift and carry from A to B 10 s, hoist empty from B to In 8 s, "
        "lift and carry from In to A 10 s = 128 s."
    )
    assert found.least == found.exact == found.cycle_time == 128
    assert found.alone and found.cycles == 1
    assert [piece.what for piece in found.pieces] == ["minimum", "loaded", "empty", "loaded"]
    assert found.turn_floor == 128
    assert "be below 128 s, because of the turn of the busiest tank" in found.remarks()[-1]


def scheduled(problem: Problem, degree: int = 1) -> Schedule:
    result = solve(problem, degree, workers=1)
    assert result.status == "optimal" and result.schedule is not None
    return result.schedule


def test_a_schedule_with_time_to_spare_is_drawn_together() -> None:
    # By hand, In-A, A-B, B-Out in one go: 10 + 100 + 10 + 5 + 10, and 12 back to In.
    problem = line_by_hand(max=40)
    steps = (Step(0, "In", "A"), Step(118, "A", "B"), Step(133, "B", "Out"))
    found = what_holds(problem, Schedule(400, Fraction(1), steps))
    assert found.cycle_time == 400
    assert found.least == 147
    (remark,) = [remark for remark in found.remarks() if "400 s" in remark]
    assert "can run in 147 s. The difference may be a reserve for late hoists" in remark
    assert "see `slack` and `jitter` before" in remark
    assert not any("nothing in the line asks" in remark for remark in found.remarks())
    assert found.schedule.cycle == 147 and verify(problem, found.schedule) == ()


@pytest.mark.parametrize("turn", range(5))
def test_where_the_cycle_is_cut_open_does_not_matter(turn: int) -> None:
    checked = 0
    for family in ("plain", "slots", "everything"):
        for line in solved(family, range(270, 276)):
            schedule = turned(line.schedule, turn)
            assert verify(line.problem, schedule) == ()
            assert what_holds(line.problem, schedule).least == schedule.time(schedule.cycle)
            checked += 1
    assert checked > 8


def turned(schedule: Schedule, turn: int) -> Schedule:
    """The same cycle counted from another of its moves; nothing said of loads."""
    zero = schedule.steps[turn % len(schedule)].start
    steps = [
        Step((step.start - zero) % schedule.cycle, step.source, step.target, step.recipe)
        for step in schedule
    ]
    return Schedule(schedule.cycle, schedule.ticks_per_unit, tuple(steps))


@pytest.mark.parametrize("family", FAMILIES)
def test_the_circuit_adds_up_and_has_no_slack(family: str) -> None:
    checked = 0
    for line in solved(family, range(200, 210)):
        found = what_holds(line.problem, line.schedule)
        assert found.least == found.cycle_time, line.name
        assert sum(piece.time for piece in found.pieces) == found.total
        assert found.total == found.exact * found.cycles
        assert 0 <= found.least - found.exact < 1 / line.instance.ticks_per_unit
        if found.exact == found.least:
            for piece, following in zip(
                found.pieces, [*found.pieces[1:], found.pieces[0]], strict=True
            ):
                gap = following.begins - piece.begins - piece.time
                assert gap % found.least == 0, line.name
        checked += 1
    assert checked > 3


def test_phillips_and_unger_is_held_by_a_circuit_of_521_seconds() -> None:
    # 521 s: Phillips and Unger (1976), AIIE Transactions 8(2), 219-225.
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    found = what_holds(problem, scheduled(problem))
    assert found.least == found.total == 521
    assert found.sentence().endswith("= 521 s.")


def test_a_stage_with_a_tank_to_spare_is_named() -> None:
    data = line_by_hand().to_data()
    data["station"] = [*data["station"], {"name": "A2", "position": 1}]
    data["hoist"] = {
        "lift": 4, "lower": 4, "loaded": {"speed": 1}, "empty": {"speed": 1},
    }  # fmt: skip
    data["recipe"][0]["stage"][0]["station"] = ["A", "A2"]
    problem = Problem.from_data(data)
    one = what_holds(problem, scheduled(problem))
    assert one.spare_tanks == ("A or A2",)
    (remark,) = [remark for remark in one.remarks() if "higher degree" in remark]
    assert "uses more of them, which need not be quicker: `solve` without --degree" in remark
    two = what_holds(problem, scheduled(problem, 2))
    assert two.spare_tanks == ()
    assert two.least < 2 * one.least


def test_loads_are_told_apart_where_there_are_several() -> None:
    problem = line_by_hand()
    found = what_holds(problem, scheduled(problem, 2))
    assert "A minimum (load" in found.sentence()
    data = why_data(found)
    assert {piece["load"] for piece in data["pieces"] if piece["what"] == "minimum"} == {1, 2}
    assert data["total"] == 256 and data["sentence"] == found.sentence()


def test_a_schedule_that_breaks_a_rule_is_not_explained() -> None:
    problem = line_by_hand(max=40)
    steps = (Step(0, "In", "A"), Step(118, "A", "B"), Step(190, "B", "Out"))
    with pytest.raises(Refused, match="refuses this schedule"):
        what_holds(problem, Schedule(400, Fraction(1), steps))


def test_the_drawing_marks_every_piece_in_every_cycle() -> None:
    matplotlib.use("agg")
    problem = line_by_hand()
    found = what_holds(problem, scheduled(problem))
    ax = draw_holding(problem, found)
    frames = [patch for patch in ax.patches if patch.get_gid() == "holding"]
    paths = [path for path in ax.lines if path.get_gid() == "holding"]
    # Two cycles: each mark once in each, once more where it runs over the left edge.
    assert 2 <= len(frames) <= 3
    assert 6 <= len(paths) <= 8
    shown = {round(float(frame.get_width()), 6) for frame in frames}
    assert shown == {100.0}
    signs = [text for text in ax.texts if text.get_gid() == "holding-sign"]
    assert [sign.get_text() for sign in signs] == ["broad: holds the cycle at 128 s"]


@pytest.mark.parametrize("family", ["slots", "carriers", "mixed", "everything"])
def test_every_kind_of_line_can_be_drawn(family: str, tmp_path: Path) -> None:
    line = next(solved(family, range(240, 260)))
    found = what_holds(line.problem, line.schedule)
    ax = draw_holding(line.problem, found)
    save_figure(ax.figure, line.problem, tmp_path / "line.svg")
    assert "holding-sign" in (tmp_path / "line.svg").read_text()


def test_the_totals_add_up_to_the_cycle() -> None:
    """By hand, from the chain of the line above: 100 in A, two moves of 10, empty 8."""
    problem = line_by_hand()
    found = what_holds(problem, scheduled(problem))
    assert found.summary() == (
        "Carrying 20 s (2 times), travelling empty 8 s, minimum of A 100 s = 128 s."
    )
    data = why_data(found)
    assert [(t["what"], t["count"], t["time"]) for t in data["totals"]] == [
        ("carrying", 2, 20), ("travelling empty", 1, 8), ("minimum of A", 1, 100)
    ]  # fmt: skip


def test_totals_keep_every_piece_at_any_degree() -> None:
    for family in ("plain", "everything"):
        for line in solved(family, range(270, 274)):
            found = what_holds(line.problem, line.schedule)
            assert sum(total.time for total in found.totals()) == found.total
            assert sum(total.count for total in found.totals()) == len(found.pieces)
            assert len({total.words for total in found.totals()}) == len(found.totals())

"""Very long times and very fine ticks: planned exactly, or refused in one clear line."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError, verify
from hoistopt.problem import Problem
from hoistopt.schedule import read_moves, schedule_to_data
from tests.helpers.answers import answer


def far_line(position: str, speed: str, **more: Any) -> Problem:
    """Two baths, the first of them very far away."""
    motion = {"speed": Decimal(speed)}
    return Problem.from_data(
        {
            "name": "Far",
            "hoist": {"lift": 5, "lower": 5, "loaded": motion, "empty": motion},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "Far", "position": Decimal(position)},
                {"name": "Near", "position": 4},
                {"name": "Out", "kind": "unload", "position": 6},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": "Far", "min": 30}, {"station": "Near", "min": 40}],
                }
            ],
            **more,
        }
    )


@pytest.mark.parametrize("degree", [1, 3])
def test_a_cycle_longer_than_any_time_of_a_problem_is_verified_from_its_file(
    tmp_path: Path, degree: int
) -> None:
    problem = far_line("9000000", "0.5")
    result = answer(problem, degree)
    assert result.schedule is not None
    # Out to the far bath and back, empty out again and back loaded: four times 18 000 000.
    assert result.cycle_time is not None
    assert result.cycle_time > 36_000_000 * degree - 100
    data = {"cycle_time": result.cycle_time, "moves": schedule_to_data(result.schedule)}
    (tmp_path / "far.json").write_text(json.dumps(data))
    moves = read_moves(tmp_path / "far.json", problem)
    assert moves.time(moves.cycle) == result.schedule.time(result.schedule.cycle)
    assert verify(problem, moves) == ()


@pytest.mark.parametrize(
    ("position", "speed", "more", "told"),
    [
        ("9000000", "0.000001", {}, "the move from In to Far to take at most 100000000 s"),
        ("9000000", "0.5", {"tick": Decimal("0.000001")}, "tick = 0.000001 s: expected a tick"),
        (
            "9000000",
            "0.5",
            {"times": {"loaded": [{"from": "In", "to": "Far", "time": 9}]}},
            None,
        ),
        ("0.000001", "0.5", {"tick": Decimal("0.000001")}, None),
    ],
)
def test_times_beyond_all_lines_are_one_line(
    position: str, speed: str, more: dict[str, Any], told: str | None
) -> None:
    if told is None:
        assert answer(far_line(position, speed, **more)).status == "optimal"
        return
    with pytest.raises(InputError) as refusal:
        answer(far_line(position, speed, **more))
    assert told in str(refusal.value)

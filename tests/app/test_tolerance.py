"""Verification with a tolerance: what is forgiven, to the millionth, and nothing besides."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Refused, Schedule
from hoistopt.app.verify import verify
from hoistopt.cli import main
from hoistopt.show.schedule.within import WithinAnswer
from tests.helpers.lines.small_line import small_line, small_schedule

PROBLEMS = Path(__file__).parents[2] / "problems"
TICK = Decimal("0.000001")


def table(second: str, cycle: str) -> Schedule:
    """The schedule worked out by hand, with another second start and cycle time."""
    first, then = small_schedule(small_line()).steps
    moved = (first, replace(then, start=int(Decimal(second) * 10**6)))
    return Schedule(int(Decimal(cycle) * 10**6), Fraction(10**6), moved)


@pytest.mark.parametrize(
    ("second", "cycle", "least"),
    [
        # By hand, see small_line: the bath's minimum ends at 42, so 41.5 is half too early.
        ("41.5", "65", "0.5"),
        # It stands 61, one too long: the first start half later, the second half earlier.
        ("73", "95", "0.5"),
        # The hoist is back at 60.5: the second start earlier, the first and the cycle later,
        # each by a third of 0.5, in whole millionths.
        ("42.5", "60", "0.166667"),
        # Only the cycle can give, as the start is at its minimum: 60 is needed.
        ("42", "59.25", "0.75"),
    ],
)
def test_a_table_is_forgiven_what_it_needs_and_no_millionth_less(
    second: str, cycle: str, least: str
) -> None:
    line, stated, needed = small_line(), table(second, cycle), Decimal(least)
    with pytest.raises(Refused):
        verify(line, stated)
    with pytest.raises(Refused) as refused:
        verify(line, stated, tolerance=needed - TICK)
    assert "No times within" in refused.value.__notes__[0]
    for tolerance in (needed, needed + 3):
        answer = verify(line, stated, tolerance=tolerance)
        assert isinstance(answer, WithinAnswer)
        assert answer.moved == Fraction(needed)
        assert hoistopt.verify(line, answer.schedule) == ()


def test_a_clean_table_is_judged_as_without_a_tolerance() -> None:
    line = small_line()
    answer = verify(line, small_schedule(line), tolerance=Decimal(1))
    assert not isinstance(answer, WithinAnswer)
    assert answer.data()["status"] == "verified"


def test_another_order_is_not_forgiven() -> None:
    line = small_line()
    first, then = small_schedule(line).steps
    swapped = Schedule(650, Fraction(10), (replace(then, start=0), replace(first, start=5)))
    with pytest.raises(Refused):
        verify(line, swapped, tolerance=Decimal(2))


def test_whatever_is_off_by_no_more_than_the_tolerance_is_forgiven() -> None:
    """Tables made by moving each time of a good schedule; the checker judges what is found."""
    problem = hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")
    good = hoistopt.solve(problem).schedule
    assert good is not None
    drawn, forgiven = random.Random(19), 0
    for _ in range(25):
        steps = tuple(
            replace(step, start=max(0, step.start + drawn.randint(-9, 9))) for step in good
        )
        cycle = good.cycle + drawn.randint(-9, 9)
        stated = Schedule(cycle, good.ticks_per_unit, steps)
        answer = verify(problem, stated, tolerance=Decimal("0.9"))
        if not isinstance(answer, WithinAnswer):
            continue
        forgiven += 1
        found = answer.schedule
        assert hoistopt.verify(problem, found) == ()
        off = [
            abs(found.time(a.start) - stated.time(b.start))
            for a, b in zip(found, stated, strict=True)
        ]
        off.append(abs(found.time(found.cycle) - stated.time(stated.cycle)))
        assert max(off) == answer.moved <= Fraction(9, 10)
    assert forgiven > 15


def test_the_command_tells_what_is_broken_as_stated(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    small_line().save("line.toml")
    Path("m.csv").write_text("start,from,to,cycle_time\n0,In,Bath,65\n41.5,Bath,Out,65\n")
    assert main(["verify", "line.toml", "m.csv"]) == 1
    assert main(["verify", "line.toml", "m.csv", "--tolerance", "0.4"]) == 1
    capsys.readouterr()
    assert main(["verify", "line.toml", "m.csv", "--tolerance", "T#500ms", "--json", "o.json"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "As stated the table is refused: 1 violation." in out
    assert "The times judged clean are not those of the table" in out
    told = json.loads(Path("o.json").read_text())
    assert told["status"] == "verified within a tolerance"
    assert (told["tolerance"], told["moved"]) == (0.5, 0.5)
    assert [one["rule"] for one in told["stated"]["violations"]] == ["window"]
    assert [move["start"] for move in told["moves"]] == [0, 42]
    assert main(["verify", "line.toml", "o.json"]) == 0

"""Lines that nothing can run on: bad input ends with 2, a proven no with 1 and the cause."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.command import PROBLEMS, Run

pytestmark = pytest.mark.quick

NICKEL = "parallel_tanks"
LIMITS = "hoist_limits"
MIXED = "mixed_recipes"
RACKS = "few_carriers"
PACED = "paced_line"
DRYER = "roomy_dryer"


def edited(name: str, *edits: tuple[str, str]) -> None:
    """Write an example to wrong.toml, each text in it replaced once."""
    text = (PROBLEMS / f"{name}.toml").read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    Path("wrong.toml").write_text(text, encoding="utf-8")


# Example, edits, and what the one line of error must name.
BAD_INPUT = {
    "unknown tank among alternatives": (
        NICKEL,
        [('"Nickel 2", "Nickel 3"]', '"Nickel 2", "Nickel 4"]')],
        ('recipe "Bolts", stage 2 ("Nickel"), station = Nickel 4', 'Did you mean "Nickel 3"?'),
    ),
    "the same tank twice among alternatives": (
        NICKEL,
        [('"Nickel 2", "Nickel 3"]', '"Nickel 2", "Nickel 2"]')],
        ("each alternative station once", "set capacity"),
    ),
    "no tank at all for a stage": (
        NICKEL,
        [('["Nickel 1", "Nickel 2", "Nickel 3"]', "[]")],
        ('stage 2 ("Nickel"), station = []', "1 or more", "Name at least one, such as station"),
    ),
    "capacity 0": (
        DRYER,
        [("capacity = 3", "capacity = 0")],
        ('station 4 ("Dryer"), capacity = 0', "a whole number from 1 to"),
    ),
    "capacity below 0": (DRYER, [("capacity = 3", "capacity = -1")], ("capacity = -1",)),
    "unknown order of leaving": (
        DRYER,
        [('order = "fifo"', 'order = "lifo"')],
        ('station 4 ("Dryer"), order = "lifo"', "fifo"),
    ),
    "a mix of an unknown recipe": (
        MIXED,
        [('"Steel hinges" = 1 }', '"Tin hinges" = 1 }')],
        ("cycle, mix = Tin hinges", 'Did you mean "Steel hinges"?'),
    ),
    "a mix that names no recipe": (
        MIXED,
        [('{ "Brass hinges" = 2, "Steel hinges" = 1 }', "{}")],
        ("cycle, mix: expected at least one recipe",),
    ),
    "a mix of no loads": (MIXED, [('"Steel hinges" = 1', '"Steel hinges" = 0')], ("mix", "= 0")),
    "a mix of half a load": (
        MIXED,
        [('"Steel hinges" = 1', '"Steel hinges" = 0.5')],
        ("mix", "a whole number"),
    ),
    "an order that is not the mix": (
        MIXED,
        [("#order = [", "order = ["), ('"Brass hinges"]', '"Steel hinges"]')],
        ("cycle, order", "exactly the loads of the mix"),
    ),
    "no carriers": (RACKS, [("count = 3", "count = 0")], ("carriers, count = 0",)),
    "a crossing over an unknown bath": (
        LIMITS,
        [('over = ["Acid"]', 'over = ["Lye"]')],
        ("crossing 2, over = Lye",),
    ),
    "a payload of nothing": (
        LIMITS,
        [("payload = 200", "payload = 0")],
        ("hoist, payload = 0", "above 0"),
    ),
    "a pace against itself": (PACED, [("max = 340", "max = 299")], ("cycle, max = 299", "300")),
}


@pytest.mark.parametrize("case", BAD_INPUT)
def test_bad_input_is_one_clear_error(case: str, run: Run) -> None:
    name, edits, named = BAD_INPUT[case]
    edited(name, *edits)
    code, out, err = run("solve", "wrong.toml", "--json", "out.json")
    assert (code, out) == (2, "")
    assert err.startswith("error: wrong.toml: ")
    assert err.count("\n") == 1
    for part in named:
        assert part in err
    assert not Path("out.json").exists()


# The same for lines that are well put but cannot run.
NO_SCHEDULE = {
    "a load heavier than the hoist can lift": (
        LIMITS,
        [("payload = 200", "payload = 184")],
        ('recipe "Elbows": a load of mass 185 is heavier than the hoist\'s payload of 184',),
    ),
    "every tank of a stage out of reach": (
        LIMITS,
        [('["Copper 3"]\n', '["Copper 1", "Copper 2", "Copper 3"]\n')],
        ('recipe "Elbows": no way to move a load out of stage 1', "cannot serve Copper 1"),
    ),
    "an end of the line out of reach": (
        LIMITS,
        [('unreachable = ["Copper 3"]', 'unreachable = ["Unload"]')],
        ("the hoist cannot serve Unload",),
    ),
    "no way but over a forbidden bath": (
        LIMITS,
        [('["Rinse 1", "Rinse 2"]', '["Rinse 1"]')],
        ('recipe "Elbows"', "a load from Copper 1 may not cross Acid"),
    ),
    "too few carriers for the pace": (
        RACKS,
        [("[carriers]", "[cycle]\nmax = 220\n[carriers]")],
        ("no more than 3 carriers", "a cycle of at most 220 s"),
    ),
    "a pace faster than the tanks allow": (
        PACED,
        [("min = 300", "min = 100"), ("max = 340", "max = 120")],
        ("a cycle of at most 120 s",),
    ),
    "a pace in a hole between the windows": (
        PACED,
        [("max = 340", "max = 330")],
        ("a cycle of at most 330 s", "a cycle of at least 300 s", "the maximum of "),
    ),
}


@pytest.mark.parametrize("case", NO_SCHEDULE)
def test_a_line_that_cannot_run_ends_with_1_and_the_cause(case: str, run: Run) -> None:
    name, edits, named = NO_SCHEDULE[case]
    edited(name, *edits)
    code, out, err = run("solve", "wrong.toml", "--degree", "1", "--workers", "1")
    assert (code, err) == (1, "")
    text = " ".join(out.split())  # wherever the lines were broken
    assert "No schedule of degree 1 exists." in text
    for part in named:
        assert part in text


def test_a_carrier_more_and_the_pace_is_kept(run: Run) -> None:
    """It is the carriers that the answer above names: with four there is a schedule."""
    edited(RACKS, ("[carriers]", "[cycle]\nmax = 220\n[carriers]"), ("count = 3", "count = 4"))
    assert run("solve", "wrong.toml", "--workers", "1", "--quiet")[0] == 0

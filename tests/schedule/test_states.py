"""States of the line in files: what is read is what was written, and every slip has one error."""

from __future__ import annotations

import json
from fractions import Fraction as F
from pathlib import Path
from random import Random
from typing import Any

import pytest

import hoistopt
from hoistopt import Between, Carried, HoistAt, LineState, Standing
from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from hoistopt.schedule.state_checks import overstays
from hoistopt.schedule.state_files import state_from_data, state_to_data
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.small_line import small_line

pytestmark = [pytest.mark.quick, pytest.mark.usefixtures("in_folder")]


def line(change: Any = None) -> Problem:
    data = small_line().to_data()
    data["station"] = [dict(entry) for entry in data["station"]]
    data["station"].append({"name": "Rack", "position": 3, "capacity": 2})
    data["recipe"] = [json.loads(json.dumps(one, default=float)) for one in data["recipe"]]
    data["recipe"][0]["stage"].append({"station": "Rack", "min": 5, "max": 100})
    if change is not None:
        change(data)
    return Problem.from_data(data)


STATE = """
[hoist]
station = "Rack"
free_in = 3
carries = { recipe = "A", stage = 1, load = 5 }

[[standing]]
station = "Rack"
recipe = "A"
stage = 2
stood = [40, 70.5]
carrier = "C7"
weight = 2.5

[[returning]]
ready_in = 12.25
"""


def test_a_state_typed_by_hand_is_what_it_says() -> None:
    Path("state.toml").write_text(STATE)
    state = hoistopt.read_state("state.toml", line())
    assert state == LineState(
        (Standing("Rack", 2, Between(F(40), F(141, 2)), "A", 1, "C7", F(5, 2)),),
        HoistAt("Rack", Between(F(3), F(3)), Carried("A", 1, 5)),
        (Between(F(49, 4), F(49, 4)),),
    )
    assert not state.empty and state.loads == (1, 5)


@pytest.mark.parametrize("name", ["state.toml", "state.json"])
def test_what_is_written_is_read_back(name: str) -> None:
    problem = line()
    Path("first.toml").write_text(STATE)
    state = hoistopt.read_state("first.toml", problem)
    hoistopt.save_state(state, name, problem)
    assert hoistopt.read_state(name, problem) == state


def test_times_of_more_decimals_are_written_as_doubt_that_holds_them() -> None:
    problem, rng = line(), Random(4)
    for _ in range(200):
        time = F(rng.randint(0, 10**9), rng.randint(1, 10**6))
        state = LineState(
            (Standing("Bath", 1, Between(time, time), "A", 1),), HoistAt("Out", Between.of(0))
        )
        back = state_from_data(state_to_data(state, problem), problem).standing[0].stood
        assert back.least <= time <= back.most
        assert back.most - back.least <= F(1, 10**6)
        assert back.exact == ((time * 10**6).denominator == 1)


def changed(**changes: object) -> dict[str, Any]:
    """The state above with one entry of `standing`, the hoist or the top replaced."""
    data: dict[str, Any] = {
        "hoist": {"station": "Rack", "free_in": 3},
        "standing": [{"station": "Bath", "recipe": "A", "stage": 1, "stood": 40}],
    }
    for key, value in changes.items():
        place, _, field = key.partition("__")
        table = data["standing"][0] if place == "standing" and field else data.get(place)
        if field and isinstance(table, dict):
            table[field] = value
        else:
            data[key] = value
    return data


WRONG: list[tuple[dict[str, Any], list[str]]] = [
    (changed(standing__stage=3), ["standing, entry 1, station = Bath", "Out", "stage 3"]),
    (changed(standing__stage=4), ["standing, entry 1, stage = 4", "1 to 3"]),
    (changed(standing__stage=0), ["standing, entry 1, stage = 0", "leave the recipe out"]),
    (changed(standing__stage=1.5), ["stage = 1.5", "whole number"]),
    (changed(standing__stage=None), ["standing, entry 1, stage", "present"]),
    (changed(standing__recipe=None), ["standing, entry 1, recipe", "holds a load"]),
    (changed(standing__recipe="B"), ["recipe = B", "name of a recipe"]),
    (changed(standing__station="Bth"), ["station = Bth", 'Did you mean "Bath"?']),
    (changed(standing__station="Rack"), ["standing, entry 1, station = Rack", "Bath"]),
    (changed(standing__stood=-1), ["stood = -1", "at least 0"]),
    (changed(standing__stood=[70, 40]), ["stood = 70, 40", "shorter time first"]),
    (changed(standing__stood=[1, 2, 3]), ["stood = 3 values", "two times"]),
    (changed(standing__stood="40 to 70"), ["stood = 40 to 70", "a number", "[least, most]"]),
    (changed(standing__stood=1.2345678), ["at most 6 decimals"]),
    (changed(standing__lod=3), ["standing, entry 1, lod", "one of the keys"]),
    (changed(standing__load=0), ["load = 0", "whole number from 1"]),
    (changed(standing__weight=0), ["standing, entry 1, weight = 0", "above 0"]),
    (changed(standing__weight="much"), ["standing, entry 1, weight = much", "a number"]),
    (changed(standing__weight=10**7), ["weight = 10000000", "at most"]),
    (changed(standing={}), ["standing", "a list"]),
    (changed(standing=[7]), ["standing, entry 1", "a table"]),
    (
        changed(standing=[{"station": "Bath", "recipe": "A", "stage": 1, "stood": 4}] * 2),
        ["2 carriers in Bath", "at most 1 carrier"],
    ),
    (
        changed(
            standing=[
                {"station": "Rack", "recipe": "A", "stage": 2, "stood": time} for time in (4, 5)
            ]
        ),
        ["standing, entry 2", "order in which they came"],
    ),
    (
        changed(
            standing=[
                {"station": name, "recipe": "A", "stage": stage, "stood": 4, "load": 2}
                for name, stage in (("Bath", 1), ("Rack", 2))
            ]
        ),
        ["load = 2", "each load once"],
    ),
    (changed(standing=[{"station": "Bath", "stage": 0, "stood": 4}]), ["a load station"]),
    (changed(hoist=None), ["hoist", "where the hoist is"]),
    (changed(hoist__station="Moon"), ["hoist, station = Moon"]),
    (changed(hoist__free_in=None), ["hoist, free_in", "present"]),
    (changed(hoist__carries={"recipe": "A", "stage": 3}), ["hoist, carries, stage = 3", "0 to 2"]),
    (changed(hoist__carries={"recipe": "A", "stage": 0}), ["hoist, station = Rack", "Bath"]),
    (changed(hoist__carries={"recipe": "B", "stage": 0}), ["hoist, carries, recipe = B"]),
    (changed(hoist__carries=1), ["hoist, carries", "a table"]),
    (
        changed(hoist={"station": "Rack", "free_in": -1, "carries": {"recipe": "A", "stage": 1}}),
        ["hoist, free_in = -1"],
    ),
    (
        changed(hoist={"station": "Bath", "free_in": 3, "carries": {"recipe": "A", "stage": 0}}),
        ["hoist, station = Bath", "a free place", "1 carrier stands", "share a place"],
    ),
    (
        changed(hoist__carries={"recipe": "A", "stage": 1, "weight": -1}),
        ["hoist, carries, weight = -1"],
    ),
    (changed(returning=[{"ready_in": 1}] * 3), ["4 carriers", "at most 3 carriers"]),
    (changed(unit="min"), ["unit = min", '"s"']),
    (changed(pumps=[]), ["pumps", "one of the keys"]),
]


@pytest.mark.parametrize(("data", "said"), WRONG)
def test_every_slip_has_one_error_that_names_it(data: dict[str, Any], said: list[str]) -> None:
    Path("state.json").write_text(json.dumps(data))
    with pytest.raises(InputError) as raised:
        hoistopt.read_state("state.json", line())
    text = str(raised.value)
    assert text.startswith("state.json: ") and "\n" not in text
    for part in said:
        assert part in text


@pytest.mark.parametrize("text", ["[hoist", "{", "[]", "hoist = 3", "stood = 1,5"])
def test_a_file_that_is_no_state_is_refused(text: str) -> None:
    Path("state.toml").write_text(text)
    with pytest.raises(InputError, match=r"state\.toml"):
        hoistopt.read_state("state.toml", line())


def test_carriers_that_nobody_counts_do_not_return() -> None:
    def uncounted(data: dict[str, Any]) -> None:
        del data["carriers"]

    with pytest.raises(InputError, match="does not count carriers"):
        state_from_data(changed(returning=[{"ready_in": 1}]), line(uncounted))


def test_a_station_out_of_reach_is_no_place_for_the_hoist() -> None:
    def beyond(data: dict[str, Any]) -> None:
        data["station"].append({"name": "Far", "position": 9})
        data["hoist"] = {**data["hoist"], "unreachable": ["Far"]}

    with pytest.raises(InputError, match="can reach"):
        state_from_data(changed(hoist__station="Far"), line(beyond))


@pytest.mark.parametrize(
    ("stood", "said"),
    [(60, None), ([10, 60], None), ([50, 61], "may have stood"), ([61, 70], "has stood")],
)
def test_a_dwell_beyond_its_maximum_is_allowed_and_named(stood: Any, said: str | None) -> None:
    problem = line()
    state = state_from_data(changed(standing__stood=stood), problem)
    told = overstays(problem, state)
    assert len(told) == (said is not None)
    if said is not None:
        assert said in told[0] and "Load 1 of A in Bath" in told[0] and "60 s" in told[0]


def test_moves_are_no_state(tmp_path: Path) -> None:
    path = tmp_path / "cycle.json"
    path.write_text('{"cycle_time": 234, "moves": []}', encoding="utf-8")
    with pytest.raises(InputError, match="these are moves") as told:
        hoistopt.read_state(path, hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml"))
    assert "--at TIME" in str(told.value)

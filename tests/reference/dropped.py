"""Ways to drop one rule from the data of a line, in place; False where it has no such rule."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

from .draw import Data

Drop = Callable[[Data], bool]


def _stages(key: str, value: Any) -> Drop:
    return lambda data: _change([s for r in data["recipe"] for s in r["stage"]], key, value)


def _tanks(key: str, value: Any) -> Drop:
    return lambda data: _change([s for s in data["station"] if "kind" not in s], key, value)


def _ends(key: str, value: Any) -> Drop:
    return lambda data: _change([s for s in data["station"] if "kind" in s], key, value)


def _hoist(key: str) -> Drop:
    return lambda data: bool(data.get("hoist", {}).pop(key, False))


def _motion(key: str, value: Any) -> Drop:
    def drop(data: Data) -> bool:
        hoist = data.get("hoist", {})
        return _change([hoist[k] for k in ("loaded", "empty") if k in hoist], key, value)

    return drop


def _change(parts: list[Data], key: str, value: Any) -> bool:
    having = [part for part in parts if part.get(key) not in (None, value)]
    for part in having:
        part[key] = value
    return bool(having)


def _many_in_a_tank(data: Data) -> bool:
    for station in data["station"]:
        if "kind" not in station:
            station |= {"capacity": 2, "order": "any"}
    return True


def _out_of_turn(data: Data) -> bool:
    parts = [s for s in data["station"] if "kind" not in s and s.get("capacity", 1) > 1]
    return _change([s for s in parts if s.setdefault("order", "fifo") == "fifo"], "order", "any")


def _endless_ends(data: Data) -> bool:
    ends = [station for station in data["station"] if "kind" in station]
    for station in ends:
        station.setdefault("capacity", 1)  # left out as the default
    return _change(ends, "capacity", "unlimited")


def _first_tank_only(data: Data) -> bool:
    stages = [stage for made in data["recipe"] for stage in made["stage"]]
    many = [stage for stage in stages if len(stage["station"]) > 1]
    for stage in many:
        stage["station"] = stage["station"][:1]
    return bool(many) and all(a["station"] != b["station"] for a, b in pairwise(stages))


def _any_entering_order(data: Data) -> bool:
    order = data["cycle"].pop("order", None)
    if order is not None:
        data["cycle"]["mix"] = {name: order.count(name) for name in order}
    return order is not None


def _without_table(data: Data) -> bool:
    return data["tick"] < 1 and bool(data.pop("times", False))


def _from_outside(data: Data) -> bool:
    return data["carriers"].pop("return", None) == "hoist"


def _any_number_of_carriers(data: Data) -> bool:
    return bool(data["carriers"].pop("count", None))


def _at_once(data: Data) -> bool:
    return _change([data["carriers"]], "return_time", 0)


def _cross_freely(data: Data) -> bool:
    kept = [c for c in data.get("crossing", ()) if "min_drip" in c]
    dropped = len(kept) < len(data.get("crossing", ()))
    data["crossing"] = kept
    return dropped


def _cross_undripped(data: Data) -> bool:
    return _change(list(data.get("crossing", ())), "min_drip", 0)


DROPS: dict[str, tuple[str, Drop]] = {
    "least dwell": ("plain", _stages("min", 0)),
    "greatest dwell": ("plain", _stages("max", None)),
    "drip": ("plain", _stages("drip", 0)),
    "settling": ("plain", _motion("settling", 0)),
    "acceleration": ("plain", _motion("acceleration", None)),
    "settling of a station": ("plain", lambda data: _change(data["station"], "settling", None)),
    "lift of a station": ("plain", lambda data: _change(data["station"], "lift", None)),
    "lower of a station": ("plain", lambda data: _change(data["station"], "lower", None)),
    "table before physics": ("plain", _without_table),
    "one carrier in a tank": ("reentrant", _many_in_a_tank),
    "capacity of a roomy tank": ("slots", _tanks("capacity", 9)),
    "first in, first out": ("turns", _out_of_turn),
    "capacity at the ends": ("plain", _endless_ends),
    "occupation at the ends": ("plain", _ends("min_occupation", 0)),
    "rest": ("resting", _tanks("min_rest", 0)),
    "alternative tanks": ("parallel", _first_tank_only),
    "order of entering": ("entering", _any_entering_order),
    "number of carriers": ("carriers", _any_number_of_carriers),
    "time to return": ("carriers", _at_once),
    "return by the hoist": ("carriers", _from_outside),
    "payload": ("limits", _hoist("payload")),
    "reach": ("limits", _hoist("unreachable")),
    "crossing": ("limits", _cross_freely),
    "drip before crossing": ("limits", _cross_undripped),
}

"""Random parts of small lines: times, windows, ends. Whole ticks unless said otherwise."""

from __future__ import annotations

from decimal import Decimal
from random import Random
from typing import Any, NamedTuple

from hoistopt.problem import Problem

Data = dict[str, Any]

STYLES = ("additive", "wild", "physics", "decimals")
WINDOWS = ("zero", "tight", "medium", "loose", "open")


def times(rng: Random, data: Data, style: str | None = None) -> Data:
    """Give a problem with stations its times, in place.

    ``additive``: tables from distances on a line. ``wild``: tables without any order,
    not even the triangle inequality. ``physics``: whole speeds and positions.
    ``decimals``: acceleration, settling, overrides, a tick of 0.1; roots that never end.
    """
    style = style or rng.choice(STYLES)
    stations = data["station"]
    data["tick"] = 1
    scattered = rng.random() < 0.3
    for number, station in enumerate(stations):
        station["position"] = rng.randint(0, 6) if scattered else number + rng.choice((0, 0, 0, 1))
    names = [station["name"] for station in stations]
    where = {station["name"]: station["position"] for station in stations}
    if style in ("additive", "wild"):
        grip = rng.randint(1, 6)

        def entry(a: str, b: str, extra: int) -> Data:
            time = rng.randint(max(extra, 0), 9) if style == "wild" else abs(where[a] - where[b])
            return {"from": a, "to": b, "time": time + extra}

        pairs = [(a, b) for a in names for b in names if a != b]
        data["times"] = {
            "loaded": [entry(a, b, grip) for a, b in pairs],
            "empty": [entry(a, b, 0) for a, b in pairs],
        }
    elif style == "physics":
        data["hoist"] = {
            "lift": rng.randint(1, 3),
            "lower": rng.randint(0, 3),
            "loaded": {"speed": 1, "settling": rng.choice((0, 0, 1))},
            "empty": {"speed": rng.choice((1, Decimal("0.5"), 2))},
        }
    else:
        _decimals(rng, data)
    return data


def _decimals(rng: Random, data: Data) -> None:
    def tenths(low: int, high: int) -> Decimal:
        return Decimal(rng.randint(low, high)) / 10

    def motion() -> Data:
        made: Data = {"speed": tenths(3, 15), "settling": rng.choice((0, tenths(0, 20)))}
        if rng.random() < 0.8:
            made["acceleration"] = tenths(2, 9)
        return made

    data["tick"] = Decimal("0.1")
    data["hoist"] = {
        "lift": tenths(5, 40),
        "lower": tenths(5, 40),
        "loaded": motion(),
        "empty": motion(),
    }
    for station in data["station"]:
        station["position"] = Decimal(station["position"]) + tenths(0, 9)
        for key in ("lift", "lower", "settling"):
            if rng.random() < 0.15:
                station[key] = tenths(0, 40)
    names = [station["name"] for station in data["station"]]
    for key in ("loaded", "empty"):
        pairs = [(a, b) for a in names for b in names if a != b and rng.random() < 0.1]
        entries = [{"from": a, "to": b, "time": tenths(10, 60)} for a, b in pairs]
        if entries:
            data.setdefault("times", {})[key] = entries


def window(rng: Random, style: str | None = None, longest: int = 40) -> Data:
    """Least and greatest dwell, now and then between ticks; perhaps a drip."""
    style = style or rng.choice(WINDOWS)
    least = Decimal(rng.randint(0, longest))
    width = {"zero": (0, 0), "tight": (0, 3), "medium": (3, 15), "loose": (15, 60)}
    made: Data = {"min": least}
    if rng.random() < 0.1:
        made["min"] = least + Decimal("0.05")
    if style != "open":
        made["max"] = made["min"] + rng.randint(*width[style])
        if rng.random() < 0.1:
            made["max"] += Decimal("0.13")
    if rng.random() < 0.2:
        made["drip"] = rng.randint(1, 4)
    return made


def ends(rng: Random, kind: str | None = None) -> tuple[list[Data], list[Data]]:
    """Stations before and after the tanks: one for both ends, or one each."""
    kind = kind or rng.choice(("shared", "shared", "unlimited", "separate", "separate"))
    if kind == "unlimited":
        return [{"name": "Dock", "kind": "load-unload", "capacity": "unlimited"}], []
    if kind == "shared":
        return [{"name": "Dock", "kind": "load-unload", **_places(rng)}], []
    return (
        [{"name": "In", "kind": "load", **_places(rng)}],
        [{"name": "Out", "kind": "unload", **_places(rng)}],
    )


def _places(rng: Random) -> Data:
    made: Data = {"capacity": rng.choice((1, 1, 1, 2, "unlimited"))}
    if rng.random() < 0.6:
        made["min_occupation"] = rng.randint(1, 50)
    return made


def tanks(count: int) -> list[Data]:
    """Plain tanks A, B, C, ..."""
    return [{"name": "ABCDEFG"[number]} for number in range(count)]


def line(stations: tuple[list[Data], list[Data]], between: list[Data], **parts: Any) -> Data:
    """Stations in track order and whatever else is given."""
    before, after = stations
    return {"name": "random line", "station": before + between + after, **parts}


class SmallLine(NamedTuple):
    """A problem and the degree to solve it at."""

    problem: Problem
    degree: int


def finish(rng: Random, data: Data, degree: int, style: str | None = None) -> SmallLine:
    """Give the line its times and check it as a user's file is checked."""
    return SmallLine(Problem.from_data(times(rng, data, style)), degree)


def recipe(
    rng: Random, route: list[Any], style: str | None = None, longest: int = 0, name: str = "R"
) -> Data:
    """A recipe through the given tanks; `route` holds names or lists of names."""
    longest = longest or rng.choice((15, 40, 80))
    stages = [{"station": tank, **window(rng, style, longest)} for tank in route]
    return {"name": name, "stage": stages}

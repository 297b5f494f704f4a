"""Random small lines, one family a feature: ``FAMILIES[name](seed)``."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from itertools import pairwise
from random import Random
from typing import Any

from hoistopt.problem import Problem

from . import draw
from .draw import SmallLine, finish, recipe
from .mixes import entering, mix, mixed, turns

TIGHT = ("zero", "tight", "medium", None)


def plain(seed: int) -> SmallLine:
    """One recipe through one to six tanks, one load to three a cycle."""
    rng = Random(f"plain {seed}")
    count, degree = rng.choice(
        ((1, 1), (1, 2), (1, 3), (2, 1), (2, 2), (2, 3), (3, 1), (3, 2), (4, 1), (5, 1), (6, 1))
    )
    route = [tank["name"] for tank in draw.tanks(count)]
    if rng.random() < 0.2:
        rng.shuffle(route)
    made = recipe(rng, route, rng.choice((None, *draw.WINDOWS)))
    return finish(rng, draw.line(draw.ends(rng), draw.tanks(count), recipe=[made]), degree)


def tight(seed: int) -> SmallLine:
    """Plain lines with hardly any freedom in the windows; many have no schedule."""
    rng = Random(f"tight {seed}")
    count, degree = rng.choice(((1, 3), (2, 2), (3, 1), (3, 2), (4, 1), (5, 1), (6, 1)))
    route = [tank["name"] for tank in draw.tanks(count)]
    made = recipe(rng, route, rng.choice(("zero", "tight")), rng.choice((10, 25, 60)))
    data = draw.line(draw.ends(rng), draw.tanks(count), recipe=[made])
    return finish(rng, data, degree)


def parallel(seed: int) -> SmallLine:
    """Stages with alternative tanks, sometimes sharing one of them."""
    rng = Random(f"parallel {seed}")
    count, degree = rng.choice(((1, 2), (1, 3), (2, 1), (2, 2), (2, 2), (3, 1), (3, 2)))
    tanks = draw.tanks(count + rng.randint(1, 2))
    names = [tank["name"] for tank in tanks]
    route: list[Any] = [[name] for name in names[:count]]
    for name in names[count:]:
        rng.choice(route).append(name)
    if rng.random() < 0.2:  # a tank that two stages may use
        rng.choice(route).append(rng.choice(names))
    route = [list(dict.fromkeys(stage)) for stage in route]
    if any(a == b and len(a) == 1 for a, b in pairwise(route)):
        route[0] = route[0] + [name for name in names if name not in route[0]][:1]
    made = recipe(rng, route, rng.choice(TIGHT), rng.choice((15, 60, 100)))
    return finish(rng, draw.line(draw.ends(rng), tanks, recipe=[made]), degree)


def slots(seed: int) -> SmallLine:
    """A station for two or three carriers, where a dwell may outlast the cycle."""
    rng = Random(f"slots {seed}")
    count, degree = rng.choice(((1, 1), (1, 2), (2, 1), (2, 1), (2, 2), (3, 1), (3, 2), (4, 1)))
    tanks = draw.tanks(count)
    route = [tank["name"] for tank in tanks]
    roomy = rng.sample(range(count), rng.choice((1, 1, min(2, count))))
    if count > 1 and rng.random() < 0.3:  # two stages in one roomy station
        route.insert(rng.choice((0, count)), route[roomy[0]])
        if any(a == b for a, b in pairwise(route)):
            route = [tank["name"] for tank in tanks]
        elif degree == 2:
            degree = 1 + (len(route) < 4)
    made = recipe(rng, route, rng.choice(draw.WINDOWS), 15)
    for number in roomy:
        tanks[number]["capacity"] = rng.choice((2, 2, 3))
        tanks[number]["order"] = rng.choice(("fifo", "any"))
        for stage in made["stage"]:
            if stage["station"] == tanks[number]["name"]:
                style = rng.choice(draw.WINDOWS)
                stage |= draw.window(rng, style, rng.choice((40, 120, 120)))
                if "max" in stage and stage["max"] < stage["min"]:
                    del stage["max"]
    return finish(rng, draw.line(draw.ends(rng), tanks, recipe=[made]), degree)


def reentrant(seed: int) -> SmallLine:
    """A tank visited twice in one recipe."""
    rng = Random(f"reentrant {seed}")
    routes = ("ABA", "ABAB", "ABAC", "ABCA", "ABCB", "ABACA", "ABCBA", "ABCAB")
    route = rng.choice(routes)
    degree = 2 if len(route) == 3 and rng.random() < 0.5 else 1
    tanks = draw.tanks(len(set(route)))
    made = recipe(rng, list(route), rng.choice((*draw.WINDOWS, None)), rng.choice((10, 30, 60)))
    return finish(rng, draw.line(draw.ends(rng), tanks, recipe=[made]), degree)


def carriers(seed: int) -> SmallLine:
    """Few carriers; empty ones come back outside, over one station, or by the hoist."""
    rng = Random(f"carriers {seed}")
    way = rng.choice(("shared", "unlimited", "separate", "separate", "hoist", "hoist"))
    sizes = ((1, 1), (1, 2), (2, 1), (3, 1)) if way == "hoist" else ((1, 2), (2, 1), (2, 2), (3, 1))
    count, degree = rng.choice((*sizes, (4, 1), (2, 2)))
    route = [tank["name"] for tank in draw.tanks(count)]
    made = recipe(rng, route, rng.choice(draw.WINDOWS))
    data = draw.line(
        draw.ends(rng, "separate" if way == "hoist" else way), draw.tanks(count), recipe=[made]
    )
    add_carriers(rng, data, way)
    return finish(rng, data, degree)


def add_carriers(rng: Random, data: draw.Data, way: str) -> None:
    """Limit the carriers or let the hoist return them, in place."""
    if way == "hoist":
        data["carriers"] = {"return": "hoist"}
        if rng.random() < 0.5:
            data["carriers"]["count"] = rng.randint(1, 4)
        for station in data["station"]:
            if "kind" in station and rng.random() < 0.5:
                station["min_occupation"] = rng.randint(0, 20)
    else:
        data["carriers"] = {"count": rng.randint(1, 4)}
        if way == "separate":
            data["carriers"]["return_time"] = rng.choice((0, 5, 20, 60))


def limits(seed: int) -> SmallLine:
    """What the hoist cannot do: too heavy, out of reach, over a bath it must not cross."""
    rng = Random(f"limits {seed}")
    count, degree = rng.choice(((2, 1), (3, 1), (3, 1), (4, 1), (2, 2), (3, 2)))
    tanks = draw.tanks(count + rng.choice((0, 1, 1)))
    names = [tank["name"] for tank in tanks]
    route: list[Any] = [[name] for name in names[:count]]
    for name in names[count:]:
        rng.choice(route).append(name)
    if rng.random() < 0.5:
        rng.shuffle(route)
    made = recipe(rng, route, rng.choice((None, "medium", "loose", "open")))
    data = draw.line(draw.ends(rng), tanks, recipe=[made])
    line = draw.times(rng, data)
    add_limits(rng, line)
    return SmallLine(Problem.from_data(line), degree)


def add_limits(rng: Random, data: draw.Data) -> None:
    """One to two limits on what the hoist may do, in place; the line has its times."""
    hoist = data.setdefault("hoist", {})
    names = [station["name"] for station in data["station"]]
    within = [station["name"] for station in data["station"] if "kind" not in station]
    for limit in rng.sample(("payload", "reach", "cross", "cross", "drip", "drip"), 2):
        if limit == "payload":
            hoist["payload"] = 50
            for made in data["recipe"]:
                made["mass"] = rng.choice((20, 50, 50, 50, 50, 51))
        elif limit == "reach":
            twin = [s["station"] for r in data["recipe"] for s in r["stage"]]
            spare = [n for names in twin if len(names) > 1 for n in names] or names
            hoist["unreachable"] = [rng.choice(spare)]
        else:
            crossing: draw.Data = {
                "from": rng.sample(names if rng.random() < 0.3 else within, rng.choice((1, 1, 2))),
                "over": rng.sample(names, rng.choice((1, 2))),
            }
            if limit == "drip":
                crossing["min_drip"] = rng.randint(1, 12)
            data.setdefault("crossing", []).append(crossing)


def resting(seed: int) -> SmallLine:
    """Tanks that stay empty for a while after each carrier: of one place, of several, shared."""
    rng = Random(f"resting {seed}")
    kind = rng.choice(("plain", "plain", "parallel", "slots", "reentrant"))
    count, degree = rng.choice(((1, 1), (1, 2), (2, 1), (2, 2), (3, 1), (3, 1), (4, 1), (3, 2)))
    tanks = draw.tanks(count)
    names: list[Any] = [tank["name"] for tank in tanks]
    if kind == "reentrant" and count > 1:
        names.append(names[0])
    if kind == "parallel" and count < 4:
        tanks = draw.tanks(count + 1)
        shared = rng.randrange(count)
        names[shared] = [names[shared], tanks[-1]["name"]]
    if len(names) * degree > 5:
        degree = 1
    made = recipe(rng, names, rng.choice(draw.WINDOWS), rng.choice((15, 40)))
    if kind == "slots":
        tanks[0] |= {"capacity": 2, "order": rng.choice(("fifo", "any"))}
        made["stage"][0] |= draw.window(rng, "loose", rng.choice((40, 90)))
    for tank in rng.sample(tanks, rng.choice((1, 1, 2, len(tanks))) if len(tanks) > 1 else 1):
        tank["min_rest"] = Decimal(rng.choice((5, 15, 30, 60, 120))) + rng.choice(
            (0, 0, Decimal("0.05"))
        )
    return finish(rng, draw.line(draw.ends(rng), tanks, recipe=[made]), degree)


def everything(seed: int) -> SmallLine:
    """Several features at once."""
    rng = Random(f"everything {seed}")
    data, degree = mix(rng, rng.choice((None, "medium", "loose", "open")), most=7)
    for tank in data["station"]:
        if "kind" not in tank and rng.random() < 0.3:
            tank |= {"capacity": 2, "order": rng.choice(("fifo", "any"))}
    spare = [tank["name"] for tank in data["station"] if "kind" not in tank]
    for made in data["recipe"]:
        stages = made["stage"]
        if rng.random() < 0.3:
            stage = rng.choice(stages)
            stage["station"] = list(dict.fromkeys([stage["station"], rng.choice(spare)]))
    kinds = {station.get("kind") for station in data["station"]}
    set_of_loads = data["cycle"].get("order") or [
        name for name, count in data["cycle"]["mix"].items() for _ in range(count)
    ]
    lengths = {made["name"]: len(made["stage"]) for made in data["recipe"]}
    with_returns = degree * sum(lengths[name] + 2 for name in set_of_loads)
    if rng.random() < 0.5:
        way = "shared" if "load-unload" in kinds else "separate"
        add_carriers(rng, data, "hoist" if way == "separate" and with_returns <= 8 else way)
    draw.times(rng, data)
    if rng.random() < 0.3:
        add_limits(rng, data)
    return SmallLine(Problem.from_data(data), degree)


FAMILIES: dict[str, Callable[[int], SmallLine]] = {
    "plain": plain,
    "tight": tight,
    "parallel": parallel,
    "slots": slots,
    "turns": turns,
    "reentrant": reentrant,
    "mixed": mixed,
    "entering": entering,
    "carriers": carriers,
    "limits": limits,
    "resting": resting,
    "everything": everything,
}

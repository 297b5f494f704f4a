"""Seeded lines with the times of a real hoist. Invented data: no such lines exist.

Every line is possible by construction: each load can pass it alone with its minimum dwells,
and no cycle time asked for is shorter than a set of loads takes one after another.
"""

from __future__ import annotations

from random import Random
from typing import Any

from hoistopt.problem import Problem

HOIST = {
    "lift": 6.5,
    "lower": 6.5,
    "loaded": {"speed": 0.5, "acceleration": 0.4, "settling": 1.5},
    "empty": {"speed": 0.7, "acceleration": 0.6, "settling": 0.5},
}
"""Invented: metres and seconds, planned in tenths of a second."""


def real_line(kind: str, size: int, seed: int) -> Problem:
    """A line of one of the kinds in :data:`KINDS`.

    Parameters
    ----------
    size : int
        Tanks of the group; for lines without a group, stages; for a mix, tanks.

    Raises
    ------
    KeyError
        For a kind that is not there.
    """
    return Problem.from_data(KINDS[kind](DrawnLine(f"{kind} {size} {seed}"), size))


class DrawnLine:
    """A line in the making: stations in track order, and the stages of its recipes."""

    def __init__(self, title: str) -> None:
        self.rng = Random(title)
        self.title = title
        self.stations: list[dict[str, Any]] = []
        self.stages: list[dict[str, Any]] = []
        self._at = 0.0
        self.station("Load", kind="load")

    def station(self, name: str, **keys: Any) -> None:
        """The next station along the track."""
        self.stations.append({"name": name, "position": round(self._at, 1), **keys})
        self._at += round(self.rng.uniform(0.9, 1.6), 1)

    def stage(self, station: str | list[str], least: int, most: int | None, drip: int = 0) -> None:
        """The next stage of the recipe."""
        window = {"station": station, "min": least}
        if most is not None:
            window["max"] = most
        self.stages.append(window | ({"drip": drip} if drip else {}))

    def bath(self, name: str, least: int, most: int | None, drip: int = 0) -> None:
        """A station of its own for the next stage."""
        self.station(name)
        self.stage(name, least, most, drip)

    def rinse(self, name: str) -> None:
        """20 s to 40 s at the least, 60 s to 100 s at the most."""
        least = self.rng.choice((20, 25, 30, 40))
        self.bath(name, least, least + self.rng.choice((40, 50, 60)), self.rng.choice((0, 3, 5)))

    def dip(self, name: str) -> None:
        """A short acid dip: 10 s to 20 s, and at most 8 s or 10 s longer."""
        least = self.rng.choice((10, 12, 15, 20))
        self.bath(name, least, least + self.rng.choice((8, 10)), self.rng.choice((3, 5)))

    def group(self, name: str, tanks: int, least: int, spread: int, *, merged: bool) -> None:
        """So many tanks that serve the same stage; merged, one station of so many places."""
        if merged:
            middle = self._at + 1.2 * (tanks - 1) / 2
            place = {"name": name, "position": round(middle, 1), "capacity": tanks}
            self.stations.append(place)
            names: str | list[str] = name
        else:
            names = [f"{name} {number + 1}" for number in range(tanks)]
            for number, each in enumerate(names):
                at = round(self._at + 1.2 * number, 1)
                self.stations.append({"name": each, "position": at})
        self._at = round(self._at + 1.2 * tanks, 1)
        self.stage(names, least, least + spread, 5)

    def data(self, **more: Any) -> dict[str, Any]:
        """The problem as data, with its unload station at the end of the track."""
        self.station("Unload", kind="unload")
        return {
            "name": self.title,
            "note": "Invented data: a line of the benchmark families.",
            "unit": "s",
            "tick": 0.1,
            "hoist": HOIST,
            "station": self.stations,
            "recipe": [{"name": "Part", "stage": self.stages}],
            **more,
        }


def _zinc(
    line: DrawnLine,
    tanks: int,
    *,
    second: int = 0,
    dryer: int = 1,
    merged: bool = False,
    **more: Any,
) -> dict[str, Any]:
    """Clean, dip, plate in a group of tanks, passivate, dry: 16 to 18 stages."""
    rng = line.rng
    line.bath("Soak clean", rng.choice((240, 300, 360)), 900, 5)
    line.rinse("Rinse 1")
    line.bath("Electroclean", rng.choice((90, 120)), 240, 5)
    line.rinse("Rinse 2")
    line.rinse("Rinse 3")
    line.dip("Acid dip")
    line.rinse("Rinse 4")
    if second:
        line.group("Strike", second, rng.choice((500, 600)), 200, merged=merged)
        line.rinse("Rinse 5")
    line.group("Zinc", tanks, rng.choice((1200, 1500, 1800)), rng.choice((300, 600)), merged=merged)
    for name in ("Drag-out", "Rinse 6"):
        line.rinse(name)
    line.dip("Nitric dip")
    line.rinse("Rinse 7")
    line.bath("Passivate", 30, 60, 5)
    line.rinse("Rinse 8")
    line.bath("Hot rinse", 30, 90, 5)
    line.station("Dryer", kind="dryer", capacity=dryer)
    line.stage("Dryer", 240 * dryer, 600 * dryer)
    return line.data(**more)


def _mix(line: DrawnLine, tanks: int) -> dict[str, Any]:
    """Two to four recipes, two to six loads a cycle; every recipe skips some tanks."""
    rng = line.rng
    names = [f"Tank {number + 1}" for number in range(tanks)]
    for name in names:
        line.station(name)
    long = set(rng.sample(names, max(2, tanks // 5)))
    recipes = []
    for number in range(rng.randint(2, 4)):
        stages = []
        for name in sorted(rng.sample(names, round(0.7 * tanks)), key=names.index):
            least = rng.choice((180, 240, 300) if name in long else (15, 20, 30, 45, 60, 90))
            stages.append({"station": name, "min": least, "max": least + rng.choice((30, 60, 120))})
        recipes.append({"name": f"Part {number + 1}", "stage": stages})
    mix = {recipe["name"]: 1 for recipe in recipes}
    for _ in range(rng.randint(0, 6 - len(recipes))):
        mix[rng.choice(list(mix))] += 1
    return line.data() | {"recipe": recipes, "cycle": {"mix": mix}}


def _group_mix(line: DrawnLine, tanks: int, *, own: bool = False) -> dict[str, Any]:
    """Two recipes, two to six loads a cycle, that share a group of tanks.

    The second skips the dip; with `own` it is plated in one of the tanks only.
    """
    rng = line.rng
    line.bath("Soak clean", rng.choice((180, 240, 300)), 600, 5)
    line.rinse("Rinse 1")
    line.bath("Pickle", rng.choice((60, 90, 120)), 150, 5)
    line.rinse("Rinse 2")
    line.group("Zinc", tanks, rng.choice((1200, 1500, 1800)), rng.choice((300, 600)), merged=False)
    line.rinse("Rinse 3")
    line.dip("Nitric dip")
    line.bath("Passivate", rng.choice((30, 40)), 60, 5)
    line.rinse("Rinse 4")
    line.station("Dryer", kind="dryer", capacity=2)
    line.stage("Dryer", 480, 900)
    second = []
    for stage in line.stages:
        if stage["station"] == "Nitric dip":
            continue
        shorter = stage | {"min": round(stage["min"] * rng.choice((0.6, 0.8, 1)))}
        if own and isinstance(stage["station"], list):
            shorter["station"] = rng.choice(stage["station"])
        second.append(shorter)
    mix = {"Part 1": rng.randint(1, 3), "Part 2": rng.randint(1, 3)}
    recipes = [{"name": "Part 1", "stage": line.stages}, {"name": "Part 2", "stage": second}]
    return line.data() | {"recipe": recipes, "cycle": {"mix": mix}}


def _again(line: DrawnLine, stages: int) -> dict[str, Any]:
    """Rinses that loads come back to: every second bath is followed by a shared one."""
    rng = line.rng
    shared = ("Rinse A", "Rinse B")
    baths = [f"Bath {number + 1}" for number in range(stages - stages // 2)]
    for name in (*baths[: len(baths) // 2], *shared, *baths[len(baths) // 2 :]):
        line.station(name)
    for number, name in enumerate(baths):
        least = rng.choice((60, 120, 180, 300))
        line.stage(name, least, least + rng.choice((60, 120, 240)), 5)
        if len(line.stages) < stages:
            least = rng.choice((15, 20, 30))
            line.stage(shared[2 * number >= len(baths)], least, least + rng.choice((30, 60)), 3)
    return line.data()


def _flow(line: DrawnLine, stages: int) -> dict[str, Any]:
    """Baths, rinses and dips in flow order, a tank each."""
    rng = line.rng
    for number in range(stages):
        kind = rng.random()
        if number % 3 == 0:
            least = rng.choice((120, 180, 240, 300))
            line.bath(f"Bath {number + 1}", least, round(least * rng.uniform(1.3, 3)), 5)
        elif kind < 0.15:
            line.dip(f"Dip {number + 1}")
        else:
            line.rinse(f"Rinse {number + 1}")
    return line.data()


def _paced(line: DrawnLine, tanks: int) -> dict[str, Any]:
    """A pace between what the hoist needs and what a load alone takes."""
    return _zinc(line, tanks, cycle={"min": line.rng.choice((900, 1000, 1100)), "max": 6000})


def _less(line: DrawnLine, tanks: int) -> dict[str, Any]:
    """The last tank of the group out of service."""
    whole = Problem.from_data(_zinc(_same(line), tanks))
    return whole.with_out_of_service([f"Zinc {tanks}"]).to_data()


def _same(line: DrawnLine) -> DrawnLine:
    """A new line drawn as the one of kind "zinc" of the same size and seed."""
    same = DrawnLine(" ".join(("zinc", *line.title.split()[1:])))
    same.title = line.title
    return same


KINDS = {
    "zinc": _zinc,
    "zinc-merged": lambda line, tanks: _zinc(_same(line), tanks, merged=True),
    "zinc-less": _less,
    "two-groups": lambda line, tanks: _zinc(line, tanks, second=2),
    "real-mix": _mix,
    "group-mix": _group_mix,
    "own-tank": lambda line, tanks: _group_mix(line, tanks, own=True),
    "again": _again,
    "real-flow": _flow,
    "roomy-dryer": lambda line, tanks: _zinc(line, tanks, dryer=3),
    "few-carriers": lambda line, tanks: _zinc(line, tanks, carriers={"count": 3 + tanks}),
    "hoist-return": lambda line, tanks: _zinc(
        line, tanks, carriers={"count": 5 + tanks, "return": "hoist"}
    ),
    "paced": _paced,
}
"""What a line is like, by name; each takes a new line and a size."""

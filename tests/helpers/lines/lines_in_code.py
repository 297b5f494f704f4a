"""Lines built in code: the demo, a published one and a small one."""

from __future__ import annotations

from typing import Any

from hoistopt import (
    Carriers,
    Hoist,
    Motion,
    Problem,
    Recipe,
    Scattering,
    Stage,
    Station,
    Times,
    load_problem,
)
from tests.helpers.command import PROBLEMS


def demo() -> Problem:
    """The demo line of ``problems/quillhaven_anodising.toml``, its figures typed in again."""
    wet = {
        "Degrease": 1.4,
        "Rinse 1": 2.3,
        "Etch": 3.2,
        "Rinse 2": 4.1,
        "Desmut": 5,
        "Rinse 3": 5.9,
        "Anodise A": 7.1,
        "Anodise B": 8.4,
        "DI rinse": 9.5,
        "Seal": 10.5,
    }
    own: dict[str, dict[str, Any]] = {
        "Etch": {"lift": 12},
        "Anodise A": {"lower": 11},
        "Anodise B": {"lower": 11},
    }
    return Problem(
        "Quillhaven anodising line",
        note="Invented: neither Quillhaven Anodising nor its people, line or figures exist. "
        "Windows are common practice, no source.",
        source="Invented for this project.",
        hoist=Hoist(
            lift=9,
            lower=8,
            loaded=Motion(0.5, acceleration=0.3, settling=2),
            empty=Motion(0.8, acceleration=0.5, settling=0.5),
            payload=250,
        ),
        scatter=Scattering(
            "move times triangular 0.97 1 1.15", source="Invented for this project."
        ),
        carriers=Carriers(count=9, return_time=90),
        stations=[
            Station("Load", kind="load", position=0, min_occupation=60),
            *(Station(name, position=at, **own.get(name, {})) for name, at in wet.items()),
            Station("Dryer", kind="dryer", position=11.8, settling=3),
            Station("Unload", kind="unload", position=13, min_occupation=40),
        ],
        recipes=[
            Recipe(
                "Brackets, clear",
                mass=180,
                stages=[
                    Stage("Degrease", min=240, max=420, drip=5),
                    Stage("Rinse 1", min=30, max=120, drip=3),
                    Stage("Etch", min=75, max=95, drip=3),
                    Stage("Rinse 2", min=30, max=75, drip=3),
                    Stage("Desmut", min=60, max=150, drip=5),
                    Stage("Rinse 3", min=30, max=120, drip=3),
                    Stage(["Anodise A", "Anodise B"], min=720, max=780, drip=6, name="Anodise"),
                    Stage("DI rinse", min=40, max=120, drip=3, name="Rinse after anodising"),
                    Stage("Seal", min=300, max=360, drip=5),
                    Stage("DI rinse", min=20, max=60, drip=4, name="Rinse after sealing"),
                    Stage("Dryer", min=300, max=600),
                ],
            )
        ],
    )


def published() -> Problem:
    """Phillips and Unger (1976), the windows typed in again, the tables read from the file.

    The times are those of the file, whose source it names: 169 figures copied by hand into
    a test would be a second edition of them.
    """
    file = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    windows = (
        (150, 200), (90, 120), (120, 180), (90, 125), (30, 40), (60, 120),
        (60, 120), (45, 75), (130, None), (120, None), (90, 120), (30, 60),
    )  # fmt: skip
    at = (11, 14, 16, 14, 19, 22, 24, 26, 29, 6, 8, 10)
    tanks = [f"Tank {number}" for number in range(1, 13)]
    return Problem(
        file.name,
        note=file.note,
        source=file.source,
        length_unit="s of travel",
        times=Times(loaded=file.loaded_times, empty=file.empty_times),
        stations=[
            Station("Load/unload", kind="load-unload", min_occupation=120, position=0),
            *(Station(tank, position=place) for tank, place in zip(tanks, at, strict=True)),
        ],
        recipes=[
            Recipe(
                "Part",
                [
                    Stage(tank, min=least, max=most)
                    for tank, (least, most) in zip(tanks, windows, strict=True)
                ],
            )
        ],
    )


def line(**more: Any) -> Problem:
    """A small line, with some of its arguments replaced."""
    given: dict[str, Any] = {
        "hoist": Hoist(lift=5, lower=5, loaded=Motion(1), empty=Motion(1)),
        "stations": [
            Station("In", kind="load", position=0),
            Station("Bath", position=2),
            Station("Out", kind="unload", position=4),
        ],
        "recipes": [Recipe("A", [Stage("Bath", min=30, max=60)])],
    }
    return Problem("Line", **given | more)

"""Small invented lines with several tanks for one stage."""

from __future__ import annotations

from typing import Any

from hoistopt import Problem


def grouped(tanks: int = 3, least: int = 300, most: int = 420, **more: Any) -> Problem:
    """One long stage in so many tanks alike, and a rinse after it.

    Moves take 10 + 1 s a metre, the hoist's way back 1 s a metre; the rinse stands at the far
    end. One tank turns round a load in `least` and about 30 s.
    """
    names = [f"Plate {number}" for number in range(1, tanks + 1)]
    stations = [{"name": name, "position": 1 + at} for at, name in enumerate(names)]
    data: dict[str, Any] = {
        "name": "Invented: a group of tanks",
        "unit": "s",
        "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
        "station": [
            {"name": "Bench", "kind": "load-unload", "position": 0, "capacity": "unlimited"},
            *stations,
            {"name": "Rinse", "position": 1 + tanks},
        ],
        "recipe": [
            {
                "name": "Parts",
                "stage": [
                    {"station": names, "min": least, "max": most},
                    {"station": "Rinse", "min": 20, "max": 200},
                ],
            }
        ],
        **more,
    }
    return Problem.from_data(data)

"""In what unit the figures of a key of a problem file are."""

from __future__ import annotations

TIMES = frozenset(
    ("min", "max", "nominal", "may_give_min", "may_give_max", "drip", "min_drip", "lift", "lower")
) | frozenset(
    ("settling", "min_occupation", "min_rest", "return_time", "time", "tick", "slack", "float")
)
"""Keys of the problem file whose values are times."""


def unit_of(key: str, time: str, length: str) -> str | None:
    """The unit of a key of the problem file; None where it has none.

    Parameters
    ----------
    key : str
        The last of its path, such as ``speed``.
    time, length : str
        Units of time and of length of the file.
    """
    if key in TIMES:
        return time
    by_length = {
        "position": length,
        "clearance": length,
        "speed": f"{length}/{time}",
        "acceleration": f"{length}/{time}\N{SUPERSCRIPT TWO}",
    }
    return by_length.get(key) or None

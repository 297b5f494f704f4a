"""Many figures of a line in few words: so many of a kind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from ...base.text import listed

KINDS = {
    "min": ("minimum", "minima"),
    "minimum": ("minimum", "minima"),
    "max": ("maximum", "maxima"),
    "maximum": ("maximum", "maxima"),
    "drip": ("drip", "drips"),
    "occupation": ("minimum occupation of a station", "minimum occupations of stations"),
    "rest": ("rest of a tank", "rests of tanks"),
    "station": ("minimum occupation of a station", "minimum occupations of stations"),
    "carriers": ("number of carriers", "numbers of carriers"),
    "return": ("way back of carriers", "ways back of carriers"),
    "lift": ("time to lift", "times to lift"),
    "lower": ("time to lower", "times to lower"),
    "move": ("move of the hoist", "moves of the hoist"),
    "loaded": ("move of the hoist", "moves of the hoist"),
    "empty": ("empty travel of the hoist", "empty travels of the hoist"),
    "float": ("float kept after a move", "floats kept after moves"),
    "slack": ("margin kept below a maximum", "margins kept below maxima"),
    "hoist": ("quicker hoist", "quicker hoists"),
    "longest": ("max. cycle time", "max. cycle times"),
    "shortest": ("min. cycle time", "min. cycle times"),
}
"""One and several of each kind of limit or demand."""


def counted_kinds(kinds: Iterable[str]) -> str:
    """Such as "14 moves of the hoist and 6 minima", in the order in which kinds first come."""
    return listed(
        [f"{number} {KINDS[kind][number > 1]}" for kind, number in Counter(kinds).items()]
    )

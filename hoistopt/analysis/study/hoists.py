"""Another number of hoists on the track: `hoists = 2`; and figures of all of them, or of one."""

from __future__ import annotations

from typing import Any

from ...base.errors import InputError
from ...problem.statement import MOST_HOISTS
from .keypath import KeyPath, Part
from .levels import Value, written

Data = dict[str, Any]


def hoists_in(data: Data) -> list[Data]:
    """The hoists of a problem's plain data, to be changed in place."""
    given = data.setdefault("hoist", {})
    if isinstance(given, list):
        return given
    return [given]


def set_hoists(data: Data, path: KeyPath, value: Value) -> None:
    """Let so many hoists share the track.

    Fewer than there are: the first of them. More: copies of the last, to its right. Ranges of
    their own were for the number there was and go. How close two may come the file has to say
    (``[track]`` ``clearance``); loads go from any hoist to any other where stages do not name one.

    Raises
    ------
    InputError
        When the number makes no sense.
    """
    if path.parts[0].arguments or not isinstance(value, int) or not 1 <= value <= MOST_HOISTS:
        raise InputError(
            f"hoists = whole numbers from 1 to {MOST_HOISTS}",
            field=str(path),
            value=written(value),
        )
    hoists = hoists_in(data)
    if value == len(hoists):
        return
    kept = [_without_range(hoist) for hoist in hoists[:value]]
    taken = {hoist.get("name") for hoist in kept}
    if value > 1 and kept[0].get("name") is None:
        kept[0]["name"] = _free("Hoist 1", taken)
    while len(kept) < value:
        kept.append(kept[-1] | {"name": _free(f"Hoist {len(kept) + 1}", taken)})
    data["hoist"] = kept


def _without_range(hoist: Data) -> Data:
    return {key: each for key, each in hoist.items() if key not in ("from", "to")}


def _free(name: str, taken: set[str | None]) -> str:
    """A name that no hoist has yet."""
    while name in taken:
        name += "+"
    taken.add(name)
    return name


def hoists_of(data: Data, part: Part, path: KeyPath) -> list[Data]:
    """The hoists that a path names: all of them, or the one whose name it has.

    Raises
    ------
    InputError
        When there is none of that name.
    """
    hoists = hoists_in(data)
    if not part.arguments:
        return hoists
    matching = [hoist for hoist in hoists if [hoist.get("name")] == list(part.arguments)]
    if not matching:
        known = ", ".join(hoist["name"] for hoist in hoists if hoist.get("name"))
        raise InputError(
            "the name of a hoist of this line",
            field=str(path),
            value=", ".join(part.arguments),
            way_out=f"The line has: {known}." if known else "Its hoist has no name: write hoist.",
        )
    return matching

"""The heads of columns: a key and the unit of its figures, such as ``lift [s]``."""

from __future__ import annotations

import re

from ...base.errors import InputError
from ...base.numbers.duration import SECONDS
from ..units import unit_of
from .layout import Field

_UNIT = re.compile(r"(.+?)\s*[\[(]\s*([^\[\]()]*?)\s*[\])]\s*\*?", re.DOTALL)


def unit_of_field(field: Field, time: str, length: str) -> str:
    """The unit of a field's figures; "" where it has none."""
    if field.timed:
        return time
    return unit_of(field.keys[-1], time, length) or ""


def head_of(field: Field, time: str, length: str) -> str:
    """What stands in the header cell of a field."""
    unit = unit_of_field(field, time, length)
    return f"{field.head} [{unit}]" if unit else field.head


def plain_head(text: str) -> tuple[str, str]:
    """A header cell without its unit, in small letters; and the unit stated, or ""."""
    found = _UNIT.fullmatch(text.strip())
    name, unit = (found[1], found[2]) if found else (text, "")
    return " ".join(name.lower().replace("_", " ").split()), unit


def check_unit(field: Field, stated: str, place: str, time: str, length: str) -> None:
    """Refuse a header that states another unit than that of the line.

    Raises
    ------
    InputError
    """
    if time not in SECONDS:
        return  # the unit itself is refused, at its own cell
    expected = unit_of_field(field, time, length)
    if not stated or not expected or stated.replace(" ", "") == expected.replace(" ", ""):
        return
    kind = "times" if field.timed or stated in SECONDS else "figures"
    raise InputError(
        f"{kind} in the unit of the line, {expected}",
        field=place,
        value=f"[{stated}]",
        way_out="Convert the column and correct its header, or change the unit on the sheet Line.",
    )

"""Values of a problem file as cells hold them, and back: lists, empty texts, numbers as text."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from decimal import Decimal

from ...base.workbook.reading import Cell
from .layout import Field

_NUMBER = re.compile(r"[+-]?\d{1,40}(\.\d{1,40})?")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}


def cell_of(field: Field, value: object) -> object:
    """A value as its cell holds it."""
    if value is None:
        return None
    if field.many:
        several = [value] if isinstance(value, str) else [str(one) for one in _listed(value)]
        return _joined(several)
    if isinstance(value, str):
        # A cell cannot be empty and yet say so: two quotes stand for the empty text.
        return f'""{value}' if _quotes(value) or not value else value
    return value


def value_of(field: Field, cell: Cell, known: Collection[str] = ()) -> object:
    """What a cell says, for the checks of a problem file to judge.

    Parameters
    ----------
    field : Field
    cell : Cell
    known : collection of str
        Names of the line, which are taken whole where they hold a semicolon.
    """
    value = cell.value
    if field.many:
        return [cell.text] if cell.text in known else _split(str(value))
    if isinstance(value, str) and field.prose:
        return value[2:] if _quotes(value) else value
    text = cell.text
    for choice in field.choices:
        if text.lower() == choice.lower():
            return choice
    if "flag" in field.kinds:
        return _FLAGS.get(text.lower(), text)
    if not isinstance(value, str):
        return text if field.kinds == {"text"} else value
    if ("text" not in field.kinds or "whole" in field.kinds) and _NUMBER.fullmatch(text):
        number = Decimal(text)
        return int(number) if number == int(number) else number
    return text


def _listed(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else (value,)


def _quotes(text: str) -> bool:
    return len(text) >= 2 and not text.strip('"')


def _joined(texts: Sequence[str]) -> str:
    """Texts with semicolons between, or one a line where one of them holds a semicolon."""
    if any(";" in text for text in texts):
        return "".join(f"{text}\n" for text in texts)
    return "; ".join(texts)


def _split(text: str) -> list[str]:
    parts = text.split("\n") if "\n" in text else text.split(";")
    return [part.strip() for part in parts if part.strip()]

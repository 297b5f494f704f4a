"""Numbers as every answer has them in JSON, and the versions of what made it."""

from __future__ import annotations

import platform
from decimal import Decimal
from fractions import Fraction
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from ...base.numbers.decimals import MOST_DECIMALS, plain, short_decimal, told


def json_number(value: Decimal | Fraction | None) -> int | float | None:
    """A number as JSON carries it; None stays None.

    Whole numbers are ints; what has at most six decimals is the float that prints as
    them; anything else has nine significant digits, enough for any use but a proof.
    """
    if value is None:
        return None
    exact = Fraction(value)
    if exact.denominator == 1:
        return int(exact)
    short = short_decimal(exact)
    return float(short) if short is not None else float(f"{float(exact):.9g}")


def json_rounded(value: Fraction) -> int | float:
    """A number that is only drawn as JSON carries it, with at most six decimals."""
    return plain(Decimal(told(round(value, MOST_DECIMALS))))


def json_value(value: object) -> Any:
    """A cell as JSON carries it: a Decimal by `json_number`, all else as it is."""
    return json_number(value) if isinstance(value, Decimal) else value


def versions() -> dict[str, str]:
    """Versions of what made a result."""
    found = {"python": platform.python_version()}
    for name in ("hoistopt", "ortools"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:  # run from a checkout that was never installed
            found[name] = "not installed"
    return found

"""The limits every search takes, checked in one place."""

from __future__ import annotations

import math

from .errors import InputError


def check_limits(time_limit: float | None, workers: int | None, seed: int) -> None:
    """Refuse limits that make no sense.

    Raises
    ------
    InputError
        Naming the limit.
    """
    if time_limit is not None and not (
        isinstance(time_limit, int | float) and 0 < time_limit < math.inf
    ):
        raise InputError("seconds above 0", field="time_limit", value=time_limit)
    if workers is not None and (not isinstance(workers, int) or not 1 <= workers <= 256):
        raise InputError("a whole number from 1 to 256", field="workers", value=workers)
    if not isinstance(seed, int) or not 0 <= seed < 2**31:
        raise InputError("a whole number from 0 to 2147483647", field="seed", value=seed)

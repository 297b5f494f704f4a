"""The check sum of a sequencer table: whole numbers only, small enough for 32 bits.

The sum runs through the table's numbers in a fixed order. Each number, in ms where it is a
time, is taken in two parts, its quotient and its remainder by 32,768; each part p makes of
the sum s

    s := (s * 32,749 + p) mod 65,521

beginning with 0. 65,521 is prime, so a single number that is wrong, and two neighbours that
have changed places, always change the sum. No intermediate value exceeds 2,145,780,001, which
fits 32 bits with their sign. It guards against mistakes, not against intent.
"""

from __future__ import annotations

from collections.abc import Iterable

from .members import HEAD, MEMBERS, head_values, member_values
from .table import SequencerTable

MODULUS = 65_521
FACTOR = 32_749
SPLIT = 32_768


def check_sum(table: SequencerTable) -> int:
    """The check sum that structured text, PLCopen XML, CSV and JSON carry.

    Parameters
    ----------
    table : SequencerTable

    Returns
    -------
    int
        From 0 to 65,520. The same for a table in whatever unit, as times count in ms.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt.exports import check_sum
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> table = hoistopt.sequencer_table(problem, result.schedule, unit="ms")
    >>> 0 <= check_sum(table) < 65_521
    True
    """
    return sum_of(numbers(table))


def numbers(table: SequencerTable) -> list[int]:
    """The numbers of a table in the order in which they are summed."""
    head = head_values(table)
    found = [head[name] for name in HEAD]
    for step in table.rows:
        values = member_values(step, table.unit.milliseconds)
        found += [values[member.name] for member in MEMBERS]
    return found


def sum_of(values: Iterable[int]) -> int:
    """The check sum of whole numbers of at least 0."""
    found = 0
    for value in values:
        for part in divmod(value, SPLIT):
            found = (found * FACTOR + part) % MODULUS
    return found

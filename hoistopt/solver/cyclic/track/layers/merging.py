"""Keep a layer small: drop dominated states, and merge the rest where there are too many."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..times.span import Ints, Span
from .distinct import distinct_rows
from .dominance import undominated
from .states import StateTable

_STATES_PER_MERGED = 64
"""Of so many states kept of a key, one is a merged one."""


def reduce_states(parts: list[StateTable], span: Span, width: int) -> tuple[StateTable, bool]:
    """Return the states of one pattern that are kept.

    A state dominates another of the same key if its cost and all its separations are at most
    as large, at every cycle time of the span: whatever can follow the other can follow it.
    Dropping dominated states is exact.

    Parameters
    ----------
    parts : list of StateTable
        All with one pattern. Rows of merged states are written over.
    span : Span
    width : int
        States of one key kept at most. Of more, some are merged into a state with the least
        cost and the least separations of any of them. It allows whatever any of them does,
        and more: what has no completion after it is refuted for all of them, but a path
        through it need not be a schedule.

    Returns
    -------
    states : StateTable
    exact : bool
        Whether none were merged.
    """
    states = StateTable.joined(parts)
    if len(states) == 1:
        return states, True
    ends = span.ends(states.separation)[: 1 if span.low == span.high else 2]
    table = np.concatenate([states.cost[:, None], *ends], axis=1, dtype=np.int32)
    _, which = distinct_rows(states.passing)
    order = np.argsort(which, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(which[order])) + 1)
    kept, exact = [], True
    for group in groups:
        rows = group[undominated(table[group])] if len(group) > 1 else group
        if len(rows) > width:
            exact = False
            rows = _merge(states, rows, width, span, ends)
        kept.append(rows)
    return states.take(np.concatenate(kept)), exact


def _merge(states: StateTable, rows: Ints, width: int, span: Span, ends: Sequence[Ints]) -> Ints:
    """Keep the cheapest states as they are, and merge the others into a few."""
    rows = rows[np.argsort(states.cost[rows], kind="stable")]
    count = max(1, width // _STATES_PER_MERGED)
    merged = []
    # Neighbours by cost are merged, as they are most alike. The merged state takes the row of the
    # cheapest, whose parent it keeps: a path through it is one of that state up to here. Times are
    # linear over the span, so what is at most all of theirs at both ends is so in between.
    for some in np.array_split(rows[width - count :], count):
        head = some[0]
        low, high = ends[0][some].min(axis=0), ends[-1][some].min(axis=0)
        states.separation[head] = span.packed_below(low, high)
        states.cost[head] = states.cost[some].min()
        merged.append(head)
    return np.concatenate([rows[: width - count], merged])

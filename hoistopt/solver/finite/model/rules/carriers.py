"""No more carriers are in use than the line has."""

from __future__ import annotations

from typing import Any

from ..variables import FiniteVariables


def carriers_enough(variables: FiniteVariables) -> None:
    """No more loads are on their way than there are carriers, those coming back included."""
    stock = variables.instance.carriers
    if stock is None:
        return
    model, moves = variables.model, variables.instance.moves
    long_ago = -3 * variables.horizon - max([0, *stock.ready, *stock.ahead.values()])
    intervals = []
    for load in variables.instance.loads:
        last = moves[load.moves[-1]]
        back = variables.end[last.index] + stock.behind[last.routes[0].target]
        source = moves[load.moves[0]].routes[0].source
        taken: Any = (
            variables.start[load.moves[0]] - stock.ahead[source] if load.enters else long_ago
        )
        size = model.new_int_var(0, 10 * variables.horizon + 10 * abs(long_ago), "")
        intervals.append(model.new_interval_var(taken, size, back, ""))
    for ready in stock.ready:
        if ready > long_ago:
            intervals.append(model.new_fixed_size_interval_var(long_ago, ready - long_ago, ""))
    inside = sum(not load.enters for load in variables.instance.loads)
    count = len(stock.ready) + inside
    model.add_cumulative(intervals, [1] * len(intervals), count)

"""How far dwell times are from what is aimed at."""

from __future__ import annotations

from ... import bounds
from ..variables import Linear, Variables


def off_nominal(variables: Variables) -> Linear:
    """Ticks by which dwells miss the nominal ones, over all stages that name one."""
    model = variables.model
    instance = variables.instance
    longest = max(variables.lowest, bounds.horizon(instance), instance.longest or 0)
    total: list[Linear] = []
    for stay in instance.stays:
        if stay.nominal is None:
            continue
        most = longest * (1 + max(variables.wrap_literals(stay))) + abs(stay.nominal)
        off = model.new_int_var(0, most, f"o{stay.index}")
        for boundaries, literal in variables.wrap_literals(stay).items():
            dwell = variables.at_lifting(stay.departure) + boundaries * variables.cycle
            dwell -= variables.at_setting_down(stay.arrival)
            model.add(off >= dwell - stay.nominal).only_enforce_if(literal)
            model.add(off >= stay.nominal - dwell).only_enforce_if(literal)
        total.append(off)
    return sum(total)

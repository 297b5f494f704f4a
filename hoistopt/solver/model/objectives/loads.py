"""How many loads are in process."""

from __future__ import annotations

from ..variables import Linear, Variables


def loads_in_process(variables: Variables) -> Linear:
    """The most loads in process at once: lifted at the load station, not yet unloaded.

    It is reached whenever a load has just been lifted. A load's number of cycle
    boundaries counts those of its kind in process at the start of the cycle. One hoist has
    nothing in the air then; of several a load counts until it is set down.
    """
    instance, model = variables.instance, variables.model
    stays = instance.stay_after
    ways = []
    for first, last in zip(instance.first_moves, instance.unloading, strict=True):
        # A job's moves follow one another by their numbers.
        boundaries = [variables.wraps(stays[move]) for move in range(first, last)]
        boundaries += [variables.in_the_air(move) for move in range(first, last + 1)]
        ways.append((first, last, sum(boundaries)))
    most = model.new_int_var(1, _most(variables), "loads")
    for entering in instance.first_moves:
        count: Linear = 0
        for first, last, boundaries in ways:
            entered = 1 if first == entering else variables.before(first, entering)
            count += boundaries + entered - variables.before(variables.set_down(last), entering)
        model.add(count <= most)
    return most


def _most(variables: Variables) -> int:
    stays = sum(1 + max(variables.wrap_literals(stay)) for stay in variables.instance.stays)
    return stays + len(variables.instance.moves)

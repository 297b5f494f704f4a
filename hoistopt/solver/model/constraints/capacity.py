"""A station never holds more carriers than it has places for."""

from __future__ import annotations

from itertools import combinations, permutations

from ....instance import Stay
from ..variables import Linear, Literal, Variables


def one_carrier_in_a_tank(variables: Variables) -> None:
    """In a station of one place, going round the cycle, in and out alternate.

    From a carrier's set down to its lifting no other is set down or lifted there.
    """
    instance = variables.instance
    shared: dict[tuple[int, int], list[int]] = {}
    for place, stays in instance.stays_at.items():
        if instance.places[place].capacity != 1:
            continue
        for stay in stays:
            _dwell_below_cycle(variables, stay, place)
        for x, y in combinations(stays, 2):
            variables.clock.check()
            if not _share_a_move(x, y):
                shared.setdefault((x.index, y.index), []).append(place)
    for (first, second), places in shared.items():
        variables.clock.check()
        pair = instance.stays[first], instance.stays[second]
        given = _in_one_tank(variables, *pair, places)
        for x, y in permutations(pair):
            begins, ends = variables.set_down(x.arrival), variables.lifted(x.departure)
            variables.forbid_between(begins, variables.set_down(y.arrival), ends, given)
            variables.forbid_between(begins, variables.lifted(y.departure), ends, given)


def _in_one_tank(variables: Variables, x: Stay, y: Stay, places: list[int]) -> list[Literal]:
    """Literals that all hold where two stays are in the same one of some places.

    Of several places a literal of its own says so: the order of moves is then asked for
    once, not once a tank.
    """
    if len(places) == 1:
        return [variables.at(x, places[0]), variables.at(y, places[0])]
    same = variables.model.new_bool_var(f"same{x.index}_{y.index}")
    for place in places:
        here = (variables.at(x, place), variables.at(y, place))
        variables.model.add_bool_or(same, *(literal.negated() for literal in here))
    return [same]


def no_more_than_capacity(variables: Variables) -> None:
    """In a station of several places, count the carriers whenever one is set down.

    A stay crossing w boundaries has w carriers there at time 0, one more once it has
    arrived and one less once it has left.
    """
    instance = variables.instance
    for place, stays in instance.stays_at.items():
        capacity = instance.places[place].capacity
        if capacity is None or capacity == 1:
            continue
        for arriving in stays:
            variables.clock.check()
            counts = [
                _present(variables, stay, place, arriving.arrival)
                for stay in stays
                if not _share_a_move(stay, arriving)
            ]
            variables.model.add(sum(counts) <= capacity).only_enforce_if(
                variables.at(arriving, place)
            )
        if instance.places[place].fifo:
            for x, y in combinations(stays, 2):
                if not _share_a_move(x, y):
                    _first_in_first_out(variables, x, y, place)


def _share_a_move(x: Stay, y: Stay) -> bool:
    # One follows the other directly, so no route lets both be at the same place.
    return x.departure == y.arrival or y.departure == x.arrival


def _dwell_below_cycle(variables: Variables, stay: Stay, place: int) -> None:
    """Where only some of the alternatives hold one carrier, at most one boundary there."""
    literals = variables.wrap_literals(stay)
    here = variables.at(stay, place)
    once = variables.before(variables.lifted(stay.departure), variables.set_down(stay.arrival))
    if literals.get(1) is once:
        return
    for boundaries, literal in literals.items():
        if boundaries > 1:
            variables.model.add_implication(here, literal.negated())
    variables.model.add_implication(literals[0], once.negated())
    variables.model.add_bool_or(here.negated(), literals[0], once)


def _present(variables: Variables, stay: Stay, place: int, at_move: int) -> Linear:
    """Carriers of one stay in a place just after a move has brought one there."""
    now = variables.set_down(at_move)
    arrived = (
        1 if stay.arrival == at_move else variables.before(variables.set_down(stay.arrival), now)
    )
    left = variables.before(variables.lifted(stay.departure), now)
    count = variables.wraps(stay) + arrived - left
    if len(stay.places) == 1:
        return count
    most = max(variables.wrap_literals(stay)) + 1
    here = variables.model.new_int_var(0, most, f"n{stay.index}_{place}_{at_move}")
    variables.model.add(here >= count).only_enforce_if(variables.at(stay, place))
    return here


def _first_in_first_out(variables: Variables, x: Stay, y: Stay, place: int) -> None:
    """Counted over all cycles, y leaves after x exactly when it arrived after x."""
    arrived = variables.before(variables.set_down(y.arrival), variables.set_down(x.arrival))
    left = variables.before(variables.lifted(y.departure), variables.lifted(x.departure))
    variables.model.add(variables.wraps(x) - variables.wraps(y) == arrived - left).only_enforce_if(
        variables.at(x, place), variables.at(y, place)
    )

"""A place stays empty for a while after each carrier, where its station asks for that.

Each place rests by itself: it counts as taken from set down until its rest after the lifting is
over, and never are more taken than there are. Of carriers numbered as they come, number n can come
once the one that left as number n - capacity has been gone for long enough. The lifting is at a
tick and the set down in truth a fraction of a tick before its planned end: by so much the planned
time between may have to be a tick more. With a float asked for, the lifting may be late by it.
"""

from __future__ import annotations

from collections.abc import Callable

from ....instance import Stay
from ..variables import Linear, Literal, Variables

RestGives = Callable[[Variables, int], Linear]
"""By how many ticks the rest of a place may fall: a variable, or 0 for not at all."""


def places_rest(variables: Variables, gives: RestGives | None = None) -> None:
    """From a carrier's lifting to the next one's set down at the same place, its rest passes.

    Parameters
    ----------
    gives : callable, optional
        Makes the rests soft constraints; without it they are hard.
    """
    instance = variables.instance
    for place, stays in instance.stays_at.items():
        if not instance.places[place].rest:
            continue
        given_way: Linear = 0 if gives is None else gives(variables, place)
        one = instance.places[place].capacity == 1
        for arriving in stays:
            variables.clock.check()
            if one:
                for leaving in stays:
                    _apart(variables, place, leaving, arriving, given_way)
            else:
                _free_places(variables, place, stays, arriving, given_way)


def _apart(
    variables: Variables, place: int, leaving: Stay, arriving: Stay, given_way: Linear
) -> None:
    """One place: whoever comes next after a lifting comes late enough, and so do all others."""
    if _goes_on(leaving, arriving):
        return
    model, cycle = variables.model, variables.cycle
    out, back = leaving.departure, arriving.arrival
    first = variables.before(variables.lifted(out), variables.set_down(back))
    here = [variables.at(leaving, place), variables.at(arriving, place)]
    for lag, chosen in _lags(variables, place, out, back):
        since = variables.at_setting_down(back) - variables.at_lifting(out)
        given = [literal for literal in (*here, *chosen) if literal is not variables.one]
        model.add(since >= lag - given_way).only_enforce_if(*given, first)
        model.add(since + cycle >= lag - given_way).only_enforce_if(*given, first.negated())


def _free_places(
    variables: Variables, place: int, stays: tuple[Stay, ...], arriving: Stay, given_way: Linear
) -> None:
    """Several places: whenever a carrier is set down, one of them has rested long enough.

    A place is taken from a carrier's set down until its rest after the lifting is over. Of a
    stay crossing w boundaries w + 1 carriers have come to the place by the end of its own
    next set down; as many as `gone` says have left it for long enough.
    """
    capacity = variables.instance.places[place].capacity
    assert capacity is not None
    taken: list[Linear] = []
    for stay in stays:
        if _goes_on(stay, arriving) or _goes_on(arriving, stay):
            continue
        taken.append(_taken(variables, place, stay, arriving, capacity, given_way))
    variables.model.add(sum(taken) <= capacity).only_enforce_if(variables.at(arriving, place))


def _taken(
    variables: Variables,
    place: int,
    stay: Stay,
    arriving: Stay,
    capacity: int,
    given_way: Linear,
) -> Linear:
    """Places that a stay takes, rest included, just after another move brought a carrier."""
    model = variables.model
    now = variables.set_down(arriving.arrival)
    came = variables.set_down(stay.arrival)
    arrived = 1 if stay.index == arriving.index else variables.before(came, now)
    # The latest lifting that is over for long enough: so many cycles before that of this one.
    cycles = {k: model.new_bool_var("") for k in range(capacity + 2)}
    model.add_exactly_one(cycles.values())
    here = [variables.at(stay, place), variables.at(arriving, place)]
    lifted = variables.at_lifting(stay.departure)
    since = variables.at_setting_down(arriving.arrival) - lifted
    before = variables.before(variables.lifted(stay.departure), now)
    model.add_implication(cycles[0], before)
    for lag, chosen in _lags(variables, place, stay.departure, arriving.arrival):
        given = [literal for literal in (*here, *chosen) if literal is not variables.one]
        for k, literal in cycles.items():
            ago = since + k * variables.cycle
            model.add(ago >= lag - given_way).only_enforce_if(*given, literal)
    gone = 1 - sum(k * literal for k, literal in cycles.items() if k)
    count = variables.wraps(stay) + arrived - gone
    if len(stay.places) == 1:
        return count
    most = max(variables.wrap_literals(stay)) + capacity + 2
    held = model.new_int_var(0, most, "")
    model.add(held >= count).only_enforce_if(variables.at(stay, place))
    return held


def _goes_on(leaving: Stay, arriving: Stay) -> bool:
    """Whether a load goes from the one stay to the other, which then is at another station."""
    return leaving.departure == arriving.arrival


def _lags(variables: Variables, place: int, out: int, back: int) -> list[tuple[int, list[Literal]]]:
    """Ticks from lifting to set down at a place, with the choice of routes that asks for them."""
    station, moves = variables.instance.places[place], variables.instance.moves
    found: dict[tuple[int, int], list[Literal]] = {}
    leaves = [(n, route) for n, route in enumerate(moves[out].routes) if route.source == place]
    comes = [(n, route) for n, route in enumerate(moves[back].routes) if route.target == place]
    pads = {route.pad for _, route in leaves}
    assert len(pads) <= 1, "the float of a move is that of every route"
    for number, into in comes:
        lag = station.resting(into, leaves[0][1]) if leaves else 0
        found[number, lag] = [variables.route(back, number)]
    if len({lag for _, lag in found}) == 1:
        return [(lag, []) for _, lag in list(found)[:1]]
    return [(lag, chosen) for (_, lag), chosen in found.items()]

"""Carriers turn round at the ends of the line, and there are only so many."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

from ....instance import Turnround
from ..variables import Event, Linear, Literal, Variables


@dataclass(frozen=True)
class EndsGive:
    """How the ends of the line give way, where they are soft constraints.

    Attributes
    ----------
    lag : callable
        By how many ticks the lag of a turnround from one move to another falls.
    carriers : Linear or None
        Most carriers in circulation, in place of the instance's number, which is then the
        most there may ever be.
    """

    lag: Callable[[Turnround, int, int], Linear]
    carriers: Linear | None = None


def ends_of_the_line(variables: Variables, gives: EndsGive | None = None) -> None:
    """Load and unload stations, return of carriers, and the number of carriers.

    Parameters
    ----------
    gives : EndsGive, optional
        Makes them soft constraints; without it they are hard.
    """
    instance = variables.instance
    carried: list[Linear] = []
    for number, chain in enumerate(instance.turnrounds):
        if chain.most is None and instance.carriers is None:
            continue  # a buffer of any size, and carriers enough
        counted = instance.carriers is not None and chain.carries
        if not chain.carries and chain.most == 1:
            _apart(variables, chain, gives)
            continue
        total = _turning_round(variables, chain, number, gives)
        if chain.most is not None:
            variables.model.add(total <= chain.most)
        if chain.place is not None and chain.most is not None:
            _places_held(variables, chain, total)
        if counted:
            carried.append(total)
    if instance.carriers is not None:
        carried += [variables.wraps(stay) for stay in instance.stays]
        carried += [variables.in_the_air(move.index) for move in instance.moves]
        most: Linear = instance.carriers
        if gives is not None and gives.carriers is not None:
            most = gives.carriers
        variables.model.add(sum(carried) <= most)


def _apart(variables: Variables, chain: Turnround, gives: EndsGive | None) -> None:
    """One place: any two events there are at least the lag apart, around the cycle too."""
    model, cycle = variables.model, variables.cycle
    at = {move: _moment(variables, move, end=chain.to_end) for move in chain.sources}
    given_way: Linear = 0
    if gives is not None:
        given_way = gives.lag(chain, chain.sources[0], chain.targets[0])

    def apart(x: int, y: int) -> Linear:
        return chain.lags[chain.sources.index(x)][chain.targets.index(y)] - given_way

    for move in chain.sources:
        model.add(cycle >= apart(move, move))
    for a, b in combinations(chain.sources, 2):
        variables.clock.check()
        for x, y in ((a, b), (b, a)):
            lag = apart(x, y)
            first = variables.before(
                _event(variables, x, end=chain.to_end), _event(variables, y, end=chain.to_end)
            )
            model.add(at[y] - at[x] >= lag).only_enforce_if(first)
            model.add(at[y] + cycle - at[x] >= lag)
            for given in _comes_sooner(variables, chain, x, y):
                model.add(at[y] - at[x] > lag).only_enforce_if(first, *given)
                model.add(at[y] + cycle - at[x] > lag).only_enforce_if(*given)


def _turning_round(
    variables: Variables, chain: Turnround, number: int, gives: EndsGive | None
) -> Linear:
    """Match every source with a target of its own; return the carriers turning round."""
    model = variables.model
    by_source: dict[int, list[Literal]] = {}
    by_target: dict[int, list[Literal]] = {}
    literals: list[Literal] = []
    boundaries: list[int] = []
    for source, lags in zip(chain.sources, chain.lags, strict=True):
        variables.clock.check()
        leaves = _moment(variables, source, end=not chain.from_start)
        for target, lag in zip(chain.targets, lags, strict=True):
            comes = _moment(variables, target, end=chain.to_end)
            highest = _most_boundaries(variables, chain, lag)
            lowest = 1 if source == target else 0
            choice = variables.wrap_choice(
                highest,
                _event(variables, source, end=not chain.from_start),
                _event(variables, target, end=chain.to_end),
                lowest,
                f"u{number}_{source}_{target}",
            )
            given_way = 0 if gives is None else gives.lag(chain, source, target)
            for k, literal in choice.items():
                wait = comes + k * variables.cycle - leaves + given_way
                model.add(wait >= lag).only_enforce_if(literal)
                for given in _comes_sooner(variables, chain, source, target):
                    model.add(wait > lag).only_enforce_if(literal, *given)
                by_source.setdefault(source, []).append(literal)
                by_target.setdefault(target, []).append(literal)
                literals.append(literal)
                boundaries.append(k)
    for group in (*by_source.values(), *by_target.values()):
        model.add_exactly_one(group)
    return sum(k * literal for k, literal in zip(boundaries, literals, strict=True) if k)


def _places_held(variables: Variables, chain: Turnround, total: Linear) -> None:
    """Whenever a carrier is set down at the end of the line there is a place for it."""
    assert chain.most is not None
    for arriving in chain.sources:
        now = variables.set_down(arriving)
        others = (a for a in chain.sources if a != arriving)
        arrived = [variables.before(variables.set_down(a), now) for a in others]
        left = [variables.before(variables.lifted(b), now) for b in chain.targets]
        variables.model.add(total + 1 + sum(arrived) - sum(left) <= chain.most)


def _comes_sooner(
    variables: Variables, chain: Turnround, source: int, target: int
) -> Iterator[list[Literal]]:
    """Choices of routes with which the time between two ends is a fraction below plan.

    Both moves end a fraction of a tick before their planned end; where that fraction is
    greater for the later one, one tick more must be planned between them.
    """
    if chain.from_start or not chain.to_end:
        return
    moves = variables.instance.moves
    for i, before in enumerate(moves[source].routes):
        for j, after in enumerate(moves[target].routes):
            if source != target and after.excess > before.excess:
                yield [variables.route(source, i), variables.route(target, j)]


def _most_boundaries(variables: Variables, chain: Turnround, lag: int) -> int:
    # Waiting a whole cycle more than the lag asks for never helps anyone.
    needed = 2 + lag // variables.lowest
    limits = [needed, chain.most, variables.instance.carriers if chain.carries else None]
    return min(limit for limit in limits if limit is not None)


def _moment(variables: Variables, move: int, *, end: bool) -> Linear:
    return variables.at_setting_down(move) if end else variables.at_lifting(move)


def _event(variables: Variables, move: int, *, end: bool) -> Event:
    return variables.set_down(move) if end else variables.lifted(move)

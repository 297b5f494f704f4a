"""Loads whose times and ways are promised: in a finite problem, but not to be moved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from ..base.errors import InputError
from ..base.numbers.decimals import told
from .finite import FiniteInstance


@dataclass(frozen=True, slots=True)
class PromisedMove:
    """A move whose time is given.

    Attributes
    ----------
    start : Fraction
        Time from the moment of the state, in the problem's unit.
    source, target : str
        Stations.
    step : int
        Which step of the programme it is, for errors.
    hoist : str or None
        The name of the one that makes it, where there are several.
    """

    start: Fraction
    source: str
    target: str
    step: int
    hoist: str | None = None


@dataclass(frozen=True)
class Promise:
    """What is promised: moves that break no rule and take their loads out of the line.

    Attributes
    ----------
    moves : dict of int to tuple of PromisedMove
        By number of the load, in the order of its way: of all loads of the state but one that
        is being carried out of the line, and of those that enter.
    entered : tuple of (int, str)
        Number and recipe of each load that enters, in the order in which they do.
    """

    moves: dict[int, tuple[PromisedMove, ...]]
    entered: tuple[tuple[int, str], ...]


def held_to(
    instance: FiniteInstance, promise: Promise, places: Mapping[str, int], unit: str
) -> FiniteInstance:
    """The problem in which the promised moves keep their times and ways.

    Whether they keep the maxima is known already, or given up; so those count no more.

    Parameters
    ----------
    places : mapping of str to int
        Each station's number.
    unit : str
        Of the problem's times, for errors.

    Raises
    ------
    InputError
        When a start is no multiple of the tick.
    """
    moves, loads, starts = list(instance.moves), list(instance.loads), {}
    for job, load in enumerate(instance.loads):
        for index, made in zip(load.moves, promise.moves.get(load.number, ()), strict=False):
            start = made.start * instance.ticks_per_unit
            if start.denominator != 1:
                raise InputError(
                    f"a multiple of the tick, {told(1 / instance.ticks_per_unit)} {unit}",
                    field=f"promised, step {made.step}, start",
                    value=told(made.start),
                )
            starts[index] = int(start)
            ends = places[made.source], places[made.target]
            by = 0 if instance.several is None else instance.several.names.index(made.hoist or "")
            meant = (*ends, by)
            route = next(r for r in moves[index].routes if (r.source, r.target, r.hoist) == meant)
            moves[index] = replace(moves[index], routes=(route,))
        if load.moves[0] in starts:
            loads[job] = replace(load, latest=None, due=None)
    stays = []
    for stay in instance.stays:
        if stay.arrival in starts:
            there = moves[stay.arrival].routes[0].target
            stays.append(replace(stay, most=None, places=(there,)))
        elif stay.departure in starts:
            stays.append(replace(stay, most=None))
        else:
            stays.append(stay)
    return replace(
        instance, moves=tuple(moves), loads=tuple(loads), stays=tuple(stays), promised=starts
    )

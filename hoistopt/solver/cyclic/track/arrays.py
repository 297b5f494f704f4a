"""What compiled loops read: numbers in plain arrays."""

from __future__ import annotations

from typing import NamedTuple

from .zones import Ints


class Rows(NamedTuple):
    """Rows at the left cut, as they are in a front.

    Attributes
    ----------
    apart : array (rows, pairs)
    cost : array (rows,)
    passing : array (rows,)
        Which moves are at the PASSING places of the shape: number among those in `Crossed`.
    start, end : array (pairs,)
        Crossings that each time of `apart` lies between.
    """

    apart: Ints
    cost: Ints
    passing: Ints
    start: Ints
    end: Ints


class Steps(NamedTuple):
    """What is known of the far side of a cut, all signatures in a row.

    Attributes
    ----------
    begin : array (signatures + 1,)
        Where the steps of each begin.
    rest : array (steps,)
        Time of the hoist for all that does not touch the left of the cut; the first of a
        signature is the least.
    place : array (signatures,)
        Where the gaps of each begin.
    gaps : array (any,)
        For each step, crossing and crossing: least time from the one to the next of the
        other where the rest takes less than the next step of `rest`.
    """

    begin: Ints
    rest: Ints
    place: Ints
    gaps: Ints


class Facing(NamedTuple):
    """What is known of the far side, by the crossings of a cut in the order of `Right`.

    Attributes
    ----------
    begin : array (kinds + 1,)
        Where the steps of each kind of `Right` begin.
    rest : array (steps,)
        As in `Steps`.
    gaps : array (steps, crossings, at least crossings)
        As in `Steps`, but within one turn of the cycle; what is over is never looked at.
    """

    begin: Ints
    rest: Ints
    gaps: Ints


class Links(NamedTuple):
    """The ways of a batch: what they cost, and their least times between variables.

    Attributes
    ----------
    old, variables : int
        Variables that are crossings of the left cut, and all of them.
    cost : array (ways,)
    part : array (ways, parts + 1)
        Where links begin: those between old variables, then for each new one those to it and
        those from it, the other end older.
    start, end, time, turns : array (links,)
        `turns` times the cycle time is to be taken off.
    """

    old: int
    variables: int
    cost: Ints
    part: Ints
    start: Ints
    end: Ints
    time: Ints
    turns: Ints


class Right(NamedTuple):
    """The right cut by passing moves and way, array (passing * ways, ...).

    Attributes
    ----------
    seen : array (..., crossings)
        Crossings in turn: moves, or EMPTY.
    first : array (...)
        Which crossing of the way comes first there.
    variable, offset, turn : array (..., crossings)
        As in :class:`~.ways.Crossing`, offsets as times of a span.
    load : array (...)
        Time of the loads that cross to the right.
    between : array (..., crossings / 2)
        Least time from each crossing to the right to the one after it.
    known : array (...)
        Which of the kinds in `Facing`; -1 where nothing is known of the far side.
    rest : array (...)
        Least time of the hoist on the right.
    """

    seen: Ints
    first: Ints
    variable: Ints
    offset: Ints
    turn: Ints
    load: Ints
    between: Ints
    known: Ints
    rest: Ints

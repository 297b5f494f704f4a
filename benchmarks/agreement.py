"""No lower bound may lie above a schedule that the checker has accepted."""

from __future__ import annotations

from dataclasses import dataclass

from .store import Row


class Contradiction(Exception):
    """Two answers about one instance cannot both be right: the run stops."""


@dataclass
class _Known:
    shortest: Row | None = None
    highest: Row | None = None
    impossible: Row | None = None


class Agreement:
    """Holds all answers about each instance against one another, whatever the method."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, int], _Known] = {}

    def add(self, row: Row) -> None:
        """Take an answer in.

        Raises
        ------
        Contradiction
            When a bound lies above the cycle time of a checked schedule, or an instance
            with a checked schedule is called infeasible.
        """
        known = self._known.setdefault((row.line, row.degree), _Known())
        if row.cycle is not None and _below(row.cycle, known.shortest):
            known.shortest = row
        if row.bound is not None and _above(row.bound, known.highest):
            known.highest = row
        if row.status == "infeasible":
            known.impossible = row
        self._hold(known)

    def _hold(self, known: _Known) -> None:
        short = known.shortest
        if short is None or short.cycle is None:
            return
        told = f"{short.method} has a checked schedule of {short.cycle} ticks"
        if known.impossible is not None:
            raise Contradiction(
                f"{short.case}: {known.impossible.method} says infeasible, but {told}"
            )
        high = known.highest
        if high is not None and high.bound is not None and high.bound > short.cycle:
            raise Contradiction(
                f"{short.case}: {high.method} gives a lower bound of {high.bound} ticks, but {told}"
            )


def _below(cycle: int, row: Row | None) -> bool:
    return row is None or row.cycle is None or cycle < row.cycle


def _above(bound: int, row: Row | None) -> bool:
    return row is None or row.bound is None or bound > row.bound

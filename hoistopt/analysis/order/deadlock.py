"""Why no times will do for a pattern: the sums that do not fit together."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ...base.numbers.decimals import told
from ...base.text import listed
from ...graph.algorithms.cycle_ratio import Least
from ...graph.arc import Circuit, Part, height_of, joined
from ...graph.pattern import Pattern
from ...graph.wording import Words
from ...instance import Instance
from ...problem import Problem


@dataclass(frozen=True)
class Sum:
    """One circuit: what takes time, what leaves time, and what follows for the cycle.

    Attributes
    ----------
    asks : tuple of (str, Fraction)
        What takes time, with how much, in the problem's unit.
    allows : tuple of (str, Fraction)
        What limits it.
    cycles : int
        Cycle times that are to be had besides; below 0 where they are to be spent.
    """

    asks: tuple[tuple[str, Fraction], ...]
    allows: tuple[tuple[str, Fraction], ...]
    cycles: int

    @property
    def needed(self) -> Fraction:
        """Time taken less time allowed."""
        asked = sum((time for _, time in self.asks), Fraction(0))
        return asked - sum((time for _, time in self.allows), Fraction(0))


@dataclass(frozen=True)
class Deadlock:
    """One sum that no cycle time can meet, or two that no one cycle time can.

    Attributes
    ----------
    kind : str
        "always": `sums` has one that fails whatever the cycle time. "between": the first
        asks for a longer cycle than the second allows. "grid": only cycle times between
        two ticks would do.
    unit : str
        Unit of the times.
    """

    kind: Literal["always", "between", "grid"]
    sums: tuple[Sum, ...]
    unit: str

    def sentences(self) -> list[str]:
        """Why no times will do, a sentence each."""
        if self.kind == "always":
            return [self._always(self.sums[0])]
        longest, shortest = self.sums
        needs = f"{self._list(longest.asks)} take {self._total(longest.asks)}"
        if longest.allows:
            needs += f", less {self._list(longest.allows)}"
        cycles = "one cycle" if longest.cycles == 1 else f"{longest.cycles} cycles"
        least = longest.needed / longest.cycles
        found = [
            f"The cycle has to be at least {told(least)} {self.unit}: {needs}, in {cycles}.",
            self._limit(shortest),
        ]
        if self.kind == "grid":
            found.append("No whole tick lies between; give the problem a finer tick.")
        return found

    def _always(self, found: Sum) -> str:
        asked = f"{self._list(found.asks)} take {self._total(found.asks)}"
        if found.cycles < 0:
            spent = "a cycle" if found.cycles == -1 else f"{-found.cycles} cycles"
            asked = f"{spent} and {asked}"
        if not found.allows:
            return f"Whatever the cycle time, {asked}, for which there is no time at all."
        return f"Whatever the cycle time, {asked}, but {self._allowed(found)} only."

    def _allowed(self, found: Sum) -> str:
        if len(found.allows) == 1:
            ((words, time),) = found.allows
            return f"{words} allows {told(time)} {self.unit}"
        return f"{self._list(found.allows)} allow {self._total(found.allows)}"

    def _limit(self, found: Sum) -> str:
        most = found.needed / found.cycles
        text = f"It may be at most {told(most)} {self.unit}"
        if len(found.allows) == 1 and not found.asks and found.cycles == -1:
            return f"{text}, {found.allows[0][0]}."
        spent = ["it" if found.cycles == -1 else f"{-found.cycles} cycles"]
        spent += [f"{words} ({told(time)} {self.unit})" for words, time in found.asks]
        fits = "has" if len(spent) == 1 and found.cycles == -1 else "have"
        into = self._list(found.allows)
        return f"{text}: {listed(spent)} {fits} to fit into {into}."

    def _list(self, parts: tuple[tuple[str, Fraction], ...]) -> str:
        return listed([f"{words} ({told(time)} {self.unit})" for words, time in parts])

    def _total(self, parts: tuple[tuple[str, Fraction], ...]) -> str:
        return f"{told(sum((time for _, time in parts), Fraction(0)))} {self.unit}"


def deadlock_of(problem: Problem, instance: Instance, pattern: Pattern, least: Least) -> Deadlock:
    """The reason behind a pattern without a cycle time, in words and figures."""
    words = Words(problem, instance, pattern)
    against = _sum(instance, words, least.against)
    if not least.circuit or height_of(least.against) == 0:
        return Deadlock("always", (against,), problem.unit)
    first = _sum(instance, words, least.circuit)
    if against.cycles < 0 and against.needed >= 0:
        return Deadlock("always", (against,), problem.unit)
    kind: Literal["between", "grid"] = "between" if least.exact is None else "grid"
    return Deadlock(kind, (first, against), problem.unit)


def _sum(instance: Instance, words: Words, circuit: Circuit) -> Sum:
    asks: list[tuple[str, Fraction]] = []
    allows: list[tuple[str, Fraction]] = []
    parts = joined(part for arc in circuit for part in arc.parts)
    # Told from the end of what limits it, as it happens.
    last = max((i for i, part in enumerate(parts) if part.time < 0), default=-1)
    for part in parts[last + 1 :] + parts[: last + 1]:
        time = Fraction(abs(part.time)) / instance.ticks_per_unit
        (asks if part.time > 0 else allows).append((_limit_words(words, part), time))
    return Sum(tuple(asks), tuple(allows), height_of(circuit))


def _limit_words(words: Words, part: Part) -> str:
    text = words.phrase(part)
    return f"the {text}" if part.what in ("minimum", "maximum", "limit") else text

"""The circuit that holds a cycle time, as plain data and in sentences."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ...base.numbers.decimals import told
from ...checker import Replay
from ...schedule import Schedule


@dataclass(frozen=True)
class Piece:
    """One piece of the circuit that holds a cycle time.

    Attributes
    ----------
    what : str
        "loaded", "empty", "minimum", "maximum", "rest", "occupation", "return", "limit",
        "rounding", or of a margin asked for "float" or "slack".
    words : str
        What it is, for people.
    time : Fraction
        How long, in the problem's unit; below 0 where the circuit runs back in time,
        along a maximum.
    begins : Fraction
        When, counted from the start of the schedule's cycle; an earlier time than 0 or
        a later one than the cycle time belongs to the cycle before or after.
    stations : tuple of str
        Where: one station, or from where to where.
    load : int or None
        Number of the load within the cycle, where it is about one.
    stage : str or None
        Stage whose minimum or maximum it is.
    step : int or None
        Number of the step of the schedule, from 1, where it is about one.
    """

    what: str
    words: str
    time: Fraction
    begins: Fraction
    stations: tuple[str, ...]
    load: int | None
    step: int | None
    stage: str | None = None


@dataclass(frozen=True)
class Total:
    """Pieces of one kind added up: `count` pieces of `time` in all, in the problem's unit."""

    words: str
    count: int
    time: Fraction


@dataclass(frozen=True)
class Holding:
    """What holds the cycle time of a schedule; times in the problem's unit.

    Attributes
    ----------
    cycle_time : Fraction
        Of the schedule asked about.
    least : Fraction
        The least cycle time for its order of moves, on the grid of planned times.
    exact : Fraction
        The same as though time were no grid: `total` over `cycles`.
    pieces : tuple of Piece
        The circuit, from piece to piece.
    total : Fraction
        Sum of the pieces' times.
    cycles : int
        How many cycles the circuit takes to come round.
    alone : bool
        Whether no other circuit holds the cycle time as well.
    hoist_floor, turn_floor, return_floor : Fraction
        What no order of moves can be below: the hoist's work, the turn of the busiest
        tank or group of tanks, the ends of the line.
    spare_tanks : tuple of str
        Stages in the circuit that have more tanks than loads in a cycle to use them.
    schedule : Schedule
        The schedule in which the circuit has no slack: the one asked about, or the same
        moves drawn together to `least`.
    replay : Replay
        What the checker saw of that schedule.
    unit : str
        Unit of the times.
    to_be_run : bool
        Whether the schedule asked about is stated to be the one that can be run, so that what
        it takes beyond `least` is its reserve for late hoists.
    """

    cycle_time: Fraction
    least: Fraction
    exact: Fraction
    pieces: tuple[Piece, ...]
    total: Fraction
    cycles: int
    alone: bool
    hoist_floor: Fraction
    turn_floor: Fraction
    return_floor: Fraction
    spare_tanks: tuple[str, ...]
    schedule: Schedule
    replay: Replay
    unit: str
    to_be_run: bool = False

    def totals(self) -> tuple[Total, ...]:
        """Carrying, travelling empty, the minima by stage, then whatever else there is."""
        found: dict[str, list[Fraction]] = {"carrying": [], "travelling empty": []}
        for rank in range(3):
            for piece in self.pieces:
                if _rank(piece) == rank:
                    found.setdefault(_kind(piece), []).append(piece.time)
        return tuple(
            Total(words, len(times), sum(times, Fraction(0)))
            for words, times in found.items()
            if times
        )

    def summary(self) -> str:
        """The totals in one sentence that adds up to the cycle time."""
        parts = []
        for total in self.totals():
            less = "less " if total.time < 0 else ""
            times = f" ({total.count} times)" if total.count > 1 else ""
            parts.append(f"{less}{total.words} {told(abs(total.time))} {self.unit}{times}")
        text = ", ".join(parts)
        return f"{text[:1].upper()}{text[1:]}{self._sum()}"

    def _sum(self) -> str:
        text = f" = {told(self.total)} {self.unit}"
        if self.cycles > 1:
            text += f" in {self.cycles} cycles, {told(self.exact)} {self.unit} each"
        return f"{text}."

    def sentence(self) -> str:
        """The circuit in one sentence that adds up to the cycle time."""
        parts = [
            f"{'less ' if piece.time < 0 else ''}{piece.words} {told(abs(piece.time))} {self.unit}"
            for piece in self.pieces
        ]
        text = ", ".join(parts)
        return f"{text[:1].upper()}{text[1:]}{self._sum()}"

    def remarks(self) -> list[str]:
        """What else there is to say about it, a sentence each."""
        unit, found = self.unit, []
        if self.exact != self.least:
            found.append(
                f"On the grid of planned times that makes a cycle of {told(self.least)} {unit}."
            )
        if self.cycle_time > self.least:
            found.append(self._longer())
        if self.alone:
            found.append(
                "Nothing else holds the cycle so long: with any of these times shorter, or a "
                "maximum among them higher, the same order of moves could run quicker."
            )
        else:
            found.append(
                "Other chains of times are just as long: with only one of these times shorter, "
                "the same order of moves may not get quicker."
            )
        found += [
            f"Stage {label} has more tanks than a cycle has loads for them; a higher degree uses "
            "more of them, which need not be quicker: `solve` without --degree compares."
            for label in self.spare_tanks
        ]
        floors = {
            "the hoist's work": self.hoist_floor,
            "the turn of the busiest tank": self.turn_floor,
            "the ends of the line": self.return_floor,
        }
        name, floor = max(floors.items(), key=lambda item: item[1])
        found.append(f"No order of moves can be below {told(floor)} {unit}, because of {name}.")
        return found

    def _longer(self) -> str:
        """That the schedule takes longer than its order of moves needs, and what that is for."""
        reserve = (
            "In its file it is the schedule to be run, and the difference is its reserve for late "
            "hoists"
            if self.to_be_run
            else "The difference may be a reserve for late hoists"
        )
        return (
            f"The schedule takes {told(self.cycle_time)} {self.unit}; the same order of moves can "
            f"run in {told(self.least)} {self.unit}. {reserve}: see `slack` and `jitter` before "
            "you shorten it."
        )

    def text(self) -> str:
        """All of it as plain text: the totals, then the circuit, then the rest."""
        head = f"What holds the cycle time at {told(self.least)} {self.unit}:"
        return "\n".join([head, self.summary(), self.sentence(), *self.remarks()])


def _rank(piece: Piece) -> int:
    """Where its total stands: the hoist's work, minima, then the rest."""
    return {"loaded": 0, "empty": 0, "minimum": 1}.get(piece.what, 2)


def _kind(piece: Piece) -> str:
    """The heading under which a piece is added up."""
    if piece.what in ("minimum", "maximum"):
        return f"{piece.what} of {piece.stage}"
    return {"loaded": "carrying", "empty": "travelling empty"}.get(piece.what, piece.words)


def from_longest_dwell(pieces: list[Piece]) -> list[Piece]:
    """Turn the circuit so that it begins with its longest dwell."""
    dwell = ("minimum", "rest", "occupation", "return")
    first = max(
        range(len(pieces)),
        key=lambda i: (pieces[i].what in dwell, pieces[i].time, -i),
        default=0,
    )
    return pieces[first:] + pieces[:first]

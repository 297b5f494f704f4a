"""What the baselines know of a line: plain lists of whole ticks.

Durations and windows are rounded as for hoistopt itself, by `hoistopt.instance`, so that
all methods have the same optimum. Nothing here comes from `hoistopt.solver`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step


class Unsupported(Exception):
    """The baselines state tanks of one place each and no choice between tanks."""


@dataclass(frozen=True)
class Stay:
    """A dwell between two moves at one place; `most` None: no maximum."""

    arrival: int
    departure: int
    place: int
    least: int
    most: int | None


@dataclass(frozen=True)
class Line:
    """Moves by number; all times in ticks.

    Attributes
    ----------
    gap : list of list of int
        ``gap[a][b]``: least time from the start of move a to that of a later move b.
    tanks : list of list of Stay
        The stays of each tank, which holds one carrier.
    stands : list of (list of int, list of int, int)
        Stations of one place where carriers wait between leaving with one load and
        entering with a next: moves that bring them, moves that take them, least stay.
    spaced : list of (list of int, int, bool)
        Moves at least so long apart around the cycle; from end to end where True, else
        from start to start.
    entering : list of list of int
        First moves of like loads: they enter in this order.
    longest : int
        No cycle need be longer: every load alone on the line, one after the other.
    """

    moves: int
    duration: list[int]
    gap: list[list[int]]
    stays: list[Stay]
    tanks: list[list[Stay]]
    stands: list[tuple[list[int], list[int], int]]
    spaced: list[tuple[list[int], int, bool]]
    entering: list[list[int]]
    longest: int
    instance: Instance

    def schedule(self, cycle: int, starts: list[int], wraps: dict[Stay, int]) -> Schedule:
        """The schedule that a solution stands for; `wraps` are boundaries crossed."""
        instance = self.instance
        entry = sorted(range(instance.jobs), key=lambda job: starts[instance.first_moves[job]])
        number = {job: place for place, job in enumerate(entry, start=1)}
        before = {stay.departure: stay for stay in self.stays}
        steps = []
        for move in instance.moves:
            stay = before.get(move.index)
            steps.append(
                Step(
                    starts[move.index],
                    instance.places[move.routes[0].source].name,
                    instance.places[move.routes[0].target].name,
                    instance.recipes[move.job],
                    number[move.job],
                    move.stage,
                    None if stay is None else wraps[stay],
                )
            )
        return Schedule(cycle, Fraction(instance.ticks_per_unit), tuple(steps))


def read_line(problem: Problem, degree: int) -> Line:
    """The line as the baselines see it.

    Raises
    ------
    Unsupported
        For what the baselines do not state.
    """
    instance = build_instance(problem, degree)
    moves = instance.moves
    if any(len(move.routes) > 1 for move in moves) or instance.carriers is not None:
        raise Unsupported("alternative tanks and limited carriers")
    if instance.shortest or instance.longest is not None or instance.order_given:
        raise Unsupported("limits on the cycle time and given orders of entering")
    if any(place.rest or place.capacity not in (1, None) for place in instance.places):
        raise Unsupported("stations of several places")
    routes = [move.routes[0] for move in moves]
    gap = [[a.duration + instance.empty[a.target][b.source] for b in routes] for a in routes]
    stays = [
        Stay(
            stay.arrival,
            stay.departure,
            stay.places[0],
            stay.least,
            None if stay.most is None else stay.most - routes[stay.arrival].shaved,
        )
        for stay in instance.stays
    ]
    stands, spaced = _ends(instance)
    return Line(
        moves=len(moves),
        duration=[route.duration for route in routes],
        gap=gap,
        stays=stays,
        tanks=[
            [stay for stay in stays if stay.place == place]
            for place in sorted({stay.place for stay in stays})
        ],
        stands=stands,
        spaced=spaced,
        entering=[[instance.first_moves[job] for job in jobs] for jobs in instance.alike],
        longest=sum(map(max, gap))
        + sum(stay.least for stay in stays)
        + sum(lag * len(sources) for sources, _, lag in stands)
        + sum(lag * len(apart) for apart, lag, _ in spaced),
        instance=instance,
    )


def _ends(
    instance: Instance,
) -> tuple[list[tuple[list[int], list[int], int]], list[tuple[list[int], int, bool]]]:
    stands, spaced = [], []
    for chain in instance.turnrounds:
        lag = chain.lags[0][0]
        if chain.most is None and not lag:
            continue
        if chain.most != 1:
            raise Unsupported("load and unload stations of several places")
        if chain.place is not None:
            stands.append((list(chain.sources), list(chain.targets), lag))
        elif any(instance.moves[move].routes[0].excess for move in chain.sources):
            raise Unsupported("spacing at the ends between times rounded up")
        else:
            spaced.append((list(chain.sources), lag, chain.to_end))
    return stands, spaced

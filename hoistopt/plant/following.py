"""Follow loads through a log that does not name their carriers, or not in every row."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from ..problem import Problem
from .events import EventLog
from .faults import Fault, Faults


@dataclass
class Followed:
    """Who each event is about.

    Attributes
    ----------
    who : list of int
        A number for each event, the same for events of one load.
    doubtful : list of int
        Events at which one of several loads was lifted and the log does not tell which.
    names : dict of int to str
        The carrier of those of whom the log tells it somewhere.
    faults : Faults
        Carriers that changed their name on the way.
    joined : int
        Loads followed over a missing event, as no other could be meant.
    """

    who: list[int] = field(default_factory=list)
    doubtful: list[int] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    faults: Faults = field(default_factory=Faults)
    joined: int = 0


def follow(log: EventLog, problem: Problem) -> Followed:
    """Follow loads through lifts and lowers: a hoist sets down what it lifted, and a tank gives
    back what was set down in it, in the order in which it came.

    Where an event is missing a load is followed over the gap if it is the only one that can
    be meant by the recipes; otherwise it ends there and another begins.

    Parameters
    ----------
    log : EventLog
    problem : Problem
    """
    return _Following(log, problem).run()


class _Following:
    """What stands where, and what hangs on which hoist, at a moment of the log."""

    def __init__(self, log: EventLog, problem: Problem) -> None:
        self.log = log
        self.found = Followed()
        stations = log.frame.get_column("station")
        self.names = list(problem.station_by_name)
        self.place = stations.to_physical().to_list()
        self.carrier = log.frame.get_column("carrier").to_list()
        number = {name: n for n, name in enumerate(self.names)}
        self.ends = {number[s.name] for s in problem.stations if s.loads or s.unloads}
        self.room = {
            number[s.name]: s.capacity for s in problem.stations if isinstance(s.capacity, int)
        }
        self.any_order = {number[s.name] for s in problem.stations if s.order == "any"}
        self.steps = _steps(problem, number)
        self.hoists = len(problem.hoists)
        self.standing: dict[int, deque[int]] = {place: deque() for place in range(len(self.names))}
        self.in_air: dict[str | None, list[int]] = {}
        self.lifted_from: dict[int, int] = {}
        self.limbo: deque[int] = deque(maxlen=50)
        """Loads that were lifted and never seen to be set down."""
        self.blurred: set[int] = set()
        """Stations of several places at which an event may be missing."""
        self.count = 0

    def run(self) -> Followed:
        """Go through all events once."""
        lifts = (self.log.frame.get_column("event") == "lift").to_list()
        hoists = self.log.frame.get_column("hoist").to_list()
        who = self.found.who
        for number, (lift, hoist) in enumerate(zip(lifts, hoists, strict=True)):
            place = self.place[number]
            load = self._lift(number, place, hoist) if lift else self._lower(number, place, hoist)
            name = self.carrier[number]
            if name is not None:
                load = self._named(number, load, name, lift, hoist)
            who.append(load)
        return self.found

    def _new(self) -> int:
        self.count += 1
        return self.count

    def _lift(self, number: int, place: int, hoist: str | None) -> int:
        # First of all, as what hangs there may be what was set down here unseen.
        held = self.in_air.setdefault(hoist, [])
        if len(held) >= (self.hoists if hoist is None else 1):
            self._lose(held.pop(0))
        queue = self.standing[place]
        if queue:
            if (len(queue) > 1 and place in self.any_order) or place in self.blurred:
                self.found.doubtful.append(number)
            load = queue.popleft()
        elif place in self.ends:
            load = self._new()
        else:
            load = self._only_one([lost for lost in self.limbo if self._can(lost, place)])
            if load in self.limbo:
                self.limbo.remove(load)
        held.append(load)
        self.lifted_from[load] = place
        return load

    def _lower(self, number: int, place: int, hoist: str | None) -> int:
        held = self.in_air.setdefault(hoist, [])
        if len(held) > 1:
            able = [load for load in held if self._can(load, place)]
            if len(able) == 1:
                load = able[0]
                held.remove(load)
            else:
                for lost in held:
                    self._lose(lost)
                held.clear()
                load = self._new()
        elif held:
            load = held.pop()
        else:
            load = self._unseen_lift(place)
        if place in self.ends:
            return load
        queue = self.standing[place]
        if len(queue) >= self.room.get(place, 1):
            queue.popleft()  # it was lifted unseen
        if not queue:
            self.blurred.discard(place)
        queue.append(load)
        return load

    def _can(self, load: int, place: int) -> bool:
        return (self.lifted_from[load], place) in self.steps

    def _only_one(self, able: list[int]) -> int:
        """The one load that can be meant, or a new one."""
        if len(able) == 1:
            self.found.joined += 1
            return able[0]
        return self._new()

    def _lose(self, load: int) -> None:
        """A load that hangs on a hoist which lifts another one."""
        self.limbo.append(load)
        source = self.lifted_from[load]
        self.blurred |= {place for place in self._several() if (source, place) in self.steps}

    def _unseen_lift(self, place: int) -> int:
        """The load that is set down although nothing was lifted."""
        sources = [
            source
            for source, queue in self.standing.items()
            if queue and (source, place) in self.steps
        ]
        self.blurred |= set(sources) & self._several()
        able = [self.standing[source][0] for source in sources]
        load = self._only_one(able)
        if len(able) == 1:
            self.standing[sources[0]].popleft()
        return load

    def _several(self) -> set[int]:
        return {place for place, room in self.room.items() if room > 1} - self.ends

    def _named(self, number: int, load: int, name: str, lift: bool, hoist: str | None) -> int:
        """Note a carrier's name; where the load has another one already, they are two."""
        known = self.found.names.setdefault(load, name)
        if known == name:
            return load
        row = self.log.frame.row(number, named=True)
        why = f"{known} as followed to {row['station']}; from here on it is {name}"
        self.found.faults.add([Fault(row["file"], row["line"], "other carrier", name, why)])
        other = self._new()
        self.found.names[other] = name
        if lift:
            self.in_air[hoist][-1] = other
            self.lifted_from[other] = self.place[number]
        elif self.place[number] not in self.ends:
            self.standing[self.place[number]][-1] = other
        return other


def _steps(problem: Problem, number: dict[str, int]) -> set[tuple[int, int]]:
    """From which station to which a load may be carried, by number."""
    found = set()
    for recipe in problem.recipes:
        route = [
            (problem.load_station(recipe).name,),
            *(stage.station for stage in recipe.stages),
            (problem.unload_station(recipe).name,),
        ]
        for sources, targets in pairwise(route):
            found |= {(number[a], number[b]) for a in sources for b in targets}
    return found


def who_of(log: EventLog, problem: Problem) -> tuple[np.ndarray, Followed | None]:
    """A number for each event, the same for events of one carrier or load.

    Where every row names its carrier that is the carrier, and nothing has to be followed.
    """
    import polars as pl

    carrier = log.frame.get_column("carrier")
    if carrier.null_count() == 0:
        return carrier.cast(pl.Categorical).to_physical().to_numpy(), None
    followed = follow(log, problem)
    return np.array(followed.who, np.uint32), followed

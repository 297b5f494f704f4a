"""One reading of a move table: what every step carries, and which step brought it there."""

from __future__ import annotations

from collections.abc import Hashable

from ..grid.motion import Parts
from ..grid.route import Leg
from ..grid.table import Table
from ..plan import Plan, plan_from
from ..queueing import Arrival, Departure, Link, Linked, sweep
from .resolve import Domain, settle
from .stationing import link_station

_MOST_ROUNDS = 30


class Reading:
    """Legs of the steps and links between them within the line, for one way of reading.

    Parameters
    ----------
    table : Table
    hinted : bool
        Whether the columns recipe, load, stage and boundaries are believed.

    Attributes
    ----------
    legs : list of Leg or None
        None for a move that no load ever makes.
    links : dict
        By step: what it lifts. Steps lifting at a load station are not among them.
    wrong : set of int
        Steps that carry a load where its recipe does not go next.
    unclear : set of int
        Steps that begin the way of a load whose recipe the table leaves open.
    """

    def __init__(self, table: Table, hinted: bool) -> None:
        self.table = table
        self.hinted = hinted
        settled = settle(table, [self._domain(number) for number in range(len(table.steps))])
        self.legs = settled.legs
        self.unclear = settled.unclear
        self.wrong: set[int] = set()
        self._linked: dict[str, Linked] = {}
        self._followed: dict[int, Link] = {}
        self._from: dict[str, list[int]] = {}
        self._to: dict[str, list[int]] = {}
        for number, step in enumerate(table.steps):
            self._from.setdefault(step.source, []).append(number)
            self._to.setdefault(step.target, []).append(number)
        self._enter_wrongly()
        self._link()

    @property
    def links(self) -> dict[int, Link]:
        """What each step lifts."""
        found = dict(self._followed)
        for linked in self._linked.values():
            found |= linked.links
        return found

    @property
    def clash(self) -> int:
        """Time with too many carriers in a station, or carriers lifted too early."""
        return sum(linked.clash for linked in self._linked.values())

    @property
    def rank(self) -> tuple[int, int]:
        """Steps that make no sense, then how far the others are from the rules."""
        lifting = sum(leg is None or leg.leaves > 0 for leg in self.legs)
        cost = sum(linked.cost for linked in self._linked.values())
        return len(self.wrong) + lifting - len(self.links), cost

    def parts(self, number: int) -> Parts | None:
        """The times of a step; None where none are known."""
        return self.table.parts(number, self.legs[number])

    def end(self, number: int) -> int:
        """When a step of cycle 0 has set its carrier down."""
        return self.table.end(number, self.legs[number])

    def _domain(self, number: int) -> Domain:
        step = self.table.steps[number]
        legs = self.table.routes.legs(step.source, step.target)
        if not self.hinted:
            return legs
        return tuple(
            leg
            for leg in legs
            if step.recipe in (None, leg.recipe) and step.stage in (None, leg.leaves)
        )

    def _enter_wrongly(self) -> None:
        """A move from a load station to a stage other than the first still brings a load."""
        routes = self.table.routes
        for number, step in enumerate(self.table.steps):
            if self.legs[number] is not None or self.parts(number) is None:
                continue
            for recipe in self.table.problem.recipes:
                reaches = routes.stage_after(recipe.name, 0, step.target)
                loads = step.source in routes.stations(recipe.name, 0)
                named = not self.hinted or step.recipe in (None, recipe.name)
                if loads and named and reaches and step.source != step.target:
                    self.legs[number] = Leg(recipe.name, 0, reaches)
                    self.wrong.add(number)
                    break

    def _link(self) -> None:
        """Link all stations; then follow carriers that go where no recipe sends them."""
        changed = set(self._from) | set(self._to)
        for _ in range(_MOST_ROUNDS):
            for name in sorted(changed):
                self._link_station(name)
            changed = self._follow(known=False) or self._follow(known=True)
            if not changed:
                return

    def _link_station(self, name: str) -> None:
        station = self.table.problem.station_by_name[name]
        taken = {link.before for link in self._followed.values()}
        arrivals = [
            Arrival(number, self.end(number), self._key(number, leg.recipe, leg.reaches))
            for number in self._to.get(name, ())
            for leg in [self.legs[number]]
            if leg is not None and self.table.routes.stays_on(leg) and number not in taken
        ]
        departures = [
            self._departure(number, leg)
            for number in self._from.get(name, ())
            for leg in [self.legs[number]]
            if leg is not None and leg.leaves > 0 and number not in self._followed
        ]
        self._linked[name] = link_station(
            arrivals,
            departures,
            self.table.cycle,
            None if station.capacity == "unlimited" else station.capacity,
            station.order == "fifo",
        )

    def _departure(self, number: int, leg: Leg) -> Departure:
        step = self.table.steps[number]
        window = self.table.routes.window(leg.recipe, leg.leaves, step.source)
        return Departure(
            number,
            self.table.starts[number],
            self._key(number, leg.recipe, leg.leaves),
            window.least,
            window.most,
            step.boundaries if self.hinted else None,
        )

    def _key(self, number: int, recipe: str, stage: int | None) -> Hashable:
        return ((recipe, stage), self.table.steps[number].load if self.hinted else None)

    def _follow(self, known: bool) -> set[str]:
        """Let steps that have no carrier of their own lift carriers nothing else lifts.

        Parameters
        ----------
        known : bool
            Whether to look at steps that some recipe has a use for, or at the others.

        Returns
        -------
        set of str
            Stations where something new arrives.
        """
        links = self.links
        taken = {link.before for link in links.values()}
        changed: set[str] = set()
        for name in self._from:
            idle = [number for number in self._from[name] if number not in links]
            idle = [number for number in idle if self._may_follow(number, known)]
            left = [
                number
                for number in self._to.get(name, ())
                for leg in [self.legs[number]]
                if leg is not None and self.table.routes.stays_on(leg) and number not in taken
            ]
            if idle and left:
                changed |= self._lift_anyway(name, left, idle)
        return changed

    def _may_follow(self, number: int, known: bool) -> bool:
        leg, step = self.legs[number], self.table.steps[number]
        if leg is None:
            return not known and step.source != step.target and self.parts(number) is not None
        return known and leg.leaves > 0

    def _lift_anyway(self, name: str, left: list[int], idle: list[int]) -> set[str]:
        table = self.table
        links = sweep(
            [Arrival(number, self.end(number)) for number in left],
            [Departure(number, table.starts[number]) for number in idle],
            table.cycle,
        )
        changed: set[str] = set()
        for number, link in links.items():
            brought = self.legs[link.before]
            assert brought is not None
            assert brought.reaches is not None
            target = table.steps[number].target
            onward = table.routes.stage_after(brought.recipe, brought.reaches, target)
            self.legs[number] = Leg(brought.recipe, brought.reaches, onward)
            self._followed[number] = link
            self.wrong.add(number)
            changed |= {name, target}
        return changed


def read_plan(table: Table) -> Plan:
    """The plan a table states, as far as sense can be made of it."""
    reading = read(table)
    return plan_from(
        table, reading.legs, reading.links, wrong=reading.wrong, unclear=reading.unclear
    )


def read(table: Table) -> Reading:
    """The reading that makes most sense.

    What the table says about its steps is believed unless carriers would then have to
    be where they cannot be, and without it the moves make better sense.
    """
    hinted = Reading(table, hinted=True)
    if hinted.rank[0] == 0 and not hinted.clash:
        return hinted
    plain = Reading(table, hinted=False)
    if hinted.rank <= plain.rank or (hinted.rank[0] <= plain.rank[0] and not hinted.clash):
        return hinted
    return plain

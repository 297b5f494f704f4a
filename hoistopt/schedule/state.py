"""A state of the line: what stands where, for how long, and where the hoist is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import count

from ..base.numbers.decimals import told
from ..base.numbers.exact import Numeral, number_in_code
from ..base.text import counted
from .programme import Programme


@dataclass(frozen=True, slots=True)
class Between:
    """A time that is known to lie between two, both included; equal where it is exact.

    Parameters
    ----------
    least, most : Fraction
        In the problem's unit.

    Examples
    --------
    >>> from hoistopt import Between
    >>> Between.of(40, 70)
    Between(least=Fraction(40, 1), most=Fraction(70, 1))
    """

    least: Fraction
    most: Fraction

    @classmethod
    def of(cls, least: Numeral, most: Numeral | None = None) -> Between:
        """A time from numbers as code gives them; exact where there is one number only.

        Raises
        ------
        ValueError
            When one is no number of at most six decimals.
        """
        low = Fraction(number_in_code(least))
        return cls(low, low if most is None else Fraction(number_in_code(most)))

    @property
    def exact(self) -> bool:
        """Whether there is no doubt."""
        return self.least == self.most


@dataclass(frozen=True, slots=True)
class Standing:
    """A carrier standing in a station.

    Parameters
    ----------
    station : str
        Where.
    stage : int
        The stage it stands in: 1, 2, ... along its recipe, one more than the last at the
        unload station; 0 for an empty carrier at a load station, ready for any next load.
    stood : Between
        For how long it has stood there.
    recipe : str, optional
        Recipe of its load; none for an empty carrier.
    load : int, optional
        Number of its load, by which a programme names it.
    carrier : str, optional
        Name of the carrier, for people.
    weight : Fraction, default 1
        What it counts if the load is lost in a recovery.

    Examples
    --------
    >>> from hoistopt import Between, Standing
    >>> Standing("Rinse", 3, Between.of(40, 70), recipe="Cases").stage
    3
    """

    station: str
    stage: int
    stood: Between
    recipe: str | None = None
    load: int | None = None
    carrier: str | None = None
    weight: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class Carried:
    """What the hoist carries.

    Parameters
    ----------
    recipe : str
        Recipe of the load.
    stage : int
        The stage it was lifted out of, 0 being the load station.
    load : int, optional
        Number of the load.
    carrier : str, optional
        Name of the carrier, for people.
    weight : Fraction, default 1
        What it counts if the load is lost in a recovery.

    Examples
    --------
    >>> from hoistopt import Carried
    >>> Carried("Cases", 2).stage
    2
    """

    recipe: str
    stage: int
    load: int | None = None
    carrier: str | None = None
    weight: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class HoistAt:
    """Where the hoist is, or one of several.

    Parameters
    ----------
    station : str
        Where it is free next; with a load, where it sets that load down. Of several hoists it
        may be empty, for one without a load that stands at `position`.
    free_in : Between
        Time until then; of one hoist below 0 where it has been free for so long already, and
        may be on its way.
    carries : Carried, optional
        What it carries meanwhile.
    name : str, optional
        Of several hoists which one it is.
    position : Fraction, optional
        Of several hoists where it is at the moment of the state; by default at `station`. It goes
        there so that it has settled, and set down what it carries, when it is free.
    out_of_service : bool, default False
        Of several hoists whether it makes no move and stays where it is, anywhere on the track:
        the others keep their distance from it.

    Examples
    --------
    >>> from hoistopt import Between, Carried, HoistAt
    >>> HoistAt("Rinse", Between.of(12), Carried("Cases", 2)).station
    'Rinse'
    """

    station: str
    free_in: Between
    carries: Carried | None = None
    name: str | None = None
    position: Fraction | None = None
    out_of_service: bool = False


@dataclass(frozen=True, slots=True)
class Resting:
    """A place that is empty, and has to be for a while yet: its carrier was lifted lately.

    Parameters
    ----------
    station : str
        Where; one that has a `min_rest`.
    empty_for : Between
        Time since that carrier was lifted.

    Examples
    --------
    >>> from hoistopt import Between, Resting
    >>> Resting("Etch", Between.of(10)).station
    'Etch'
    """

    station: str
    empty_for: Between


@dataclass(frozen=True)
class LineState:
    """What stands where on a line at one moment, which is time 0 of what follows.

    Parameters
    ----------
    standing : tuple of Standing
        Carriers in stations. In a station of several places that keeps the order they are
        listed in the order in which they came.
    hoist : HoistAt, optional
        Where the hoist is; None: it waits wherever the first move begins, which makes
        sense for an empty line only.
    returning : tuple of Between
        Empty carriers on their way back outside the line, where carriers are counted: for
        each the time until it is back at the load station.
    resting : tuple of Resting
        Empty places that have to stay empty for a while yet, in stations with a `min_rest`.
        A free place that is not named has rested long enough.
    hoists : tuple of HoistAt
        Of a line with several hoists, instead of `hoist`: where each is, with its name, all of
        them; or none, for an empty line on which they may stand anywhere at first.
    onward : Programme, optional
        Of a state taken out of a schedule, the moves by which that takes its loads out of the
        line: a programme to begin a search with, once the checker has accepted it. No file of a
        state has it.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Between, HoistAt, LineState, Standing
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> LineState(
    ...     standing=(Standing("Wash", 1, Between.of(40, 70), "Cases"),),
    ...     hoist=HoistAt("Rinse", Between.of(0)),
    ... )
    <LineState: 1 carrier standing, hoist at Rinse>
    """

    standing: tuple[Standing, ...] = ()
    hoist: HoistAt | None = None
    returning: tuple[Between, ...] = ()
    resting: tuple[Resting, ...] = ()
    hoists: tuple[HoistAt, ...] = ()
    onward: Programme | None = field(default=None, compare=False)

    @property
    def each_hoist(self) -> tuple[HoistAt, ...]:
        """All hoists of which it is told where they are."""
        return self.hoists or (() if self.hoist is None else (self.hoist,))

    @property
    def out_of_service(self) -> tuple[str, ...]:
        """Names of the hoists that are out of service."""
        return tuple(hoist.name or "" for hoist in self.hoists if hoist.out_of_service)

    @property
    def carried(self) -> tuple[tuple[HoistAt, Carried], ...]:
        """What hoists carry, each with the hoist."""
        return tuple((h, h.carries) for h in self.each_hoist if h.carries is not None)

    def __repr__(self) -> str:
        number = len(self.standing)
        stand = f"{counted(number, 'carrier')} standing"
        if self.hoists:
            at = ", ".join(f"{h.name} at {h.station or told(h.position or 0)}" for h in self.hoists)
            return f"<LineState: {stand}, hoists {at}>"
        if self.hoist is None:
            return f"<LineState: {stand}>"
        carries = f" with a load of {self.hoist.carries.recipe}" if self.hoist.carries else ""
        return f"<LineState: {stand}, hoist at {self.hoist.station}{carries}>"

    @property
    def empty(self) -> bool:
        """Whether there is no load in the line."""
        loads = [entry for entry in self.standing if entry.recipe is not None]
        return not loads and not self.carried

    @property
    def loads(self) -> tuple[int, ...]:
        """Numbers of the loads that have one."""
        return tuple(load for load in self._numbers() if load is not None)

    def _numbers(self) -> Iterable[int | None]:
        for entry in self.standing:
            if entry.recipe is not None:
                yield entry.load
        for _, carries in self.carried:
            yield carries.load

    def numbered(self) -> LineState:
        """The state with a number for every load; those without one get the least numbers left."""
        taken = set(self.loads)
        spare = (number for number in count(1) if number not in taken)
        standing = tuple(
            replace(entry, load=next(spare))
            if entry.recipe is not None and entry.load is None
            else entry
            for entry in self.standing
        )

        def told_of(hoist: HoistAt) -> HoistAt:
            if hoist.carries is None or hoist.carries.load is not None:
                return hoist
            return replace(hoist, carries=replace(hoist.carries, load=next(spare)))

        hoist = None if self.hoist is None else told_of(self.hoist)
        return replace(
            self, standing=standing, hoist=hoist, hoists=tuple(map(told_of, self.hoists))
        )

"""The whole of what the user states."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError, model_validator

from ..base.errors import InputError
from ..base.files import write_atomically
from ..base.notebook import ShownInNotebook
from ..base.numbers.exact import Numeral
from ..base.numbers.time_fields import InFile
from ..base.text import counted, nearest_or_known
from .checks import together as checks
from .checks.plausibility import warnings_about
from .in_service import with_tanks_out
from .like import written_out
from .line import Carriers, Crossing, Hoist, Station, Track
from .margin import Margin, Scattering
from .recipe import Cycle, Recipe
from .statement import Statement, Unit
from .times import Times
from .wording import explain_validation


class Problem(Statement, ShownInNotebook):
    """A line and what is to run on it.

    Every time is in `unit`. Read one from a file with :func:`hoistopt.load_problem`, or
    build it in code. Numbers may be int, float, Decimal, Fraction or text; each is taken
    as the decimal it prints as, exactly, with at most six decimals.

    Parameters
    ----------
    name : str
        Name of the line.
    stations : list of Station
        The places on the track, in any order.
    recipes : list of Recipe
        The kinds of load, each with its stages in order.
    hoists : Hoist or list of Hoist, optional
        The hoist of the line, or its hoists in the order in which they stand along the track,
        from the least position on. In code and in a file given as `hoist`.
    track : Track, optional
        What hoists share; needed where there are several.
    carriers : Carriers, optional
        How many carriers there are and how empty ones get back.
    cycle : Cycle, optional
        How many loads of each recipe one set brings into the line; needed where there
        are several recipes.
    times : Times, optional
        Measured or published times; they replace worked-out ones.
    crossings : list of Crossing, optional
        Baths over which a dripping load may not simply be carried.
    margin : Margin, optional
        How late a start may be without harm, asked of every schedule of the line.
    scatter : Scattering, optional
        How the hoist's times scatter, and what share of loads may stand too long for it;
        absent: an assumed scatter is taken where one is needed, and said to be assumed.
    unit : {"ms", "s", "min", "h"}, default "s"
        Unit of every time.
    tick : number, optional
        Grid of all planned times; left out, chosen from the data.
    length_unit : str, default "m"
        Unit of every position; a word for the labels.
    note : str, default ""
        For people: what this line is.
    source : str, default ""
        Where the data come from.

    Raises
    ------
    InputError
        When an argument is missing or makes no sense, or the parts do not fit together:
        the same rules, in the same words, as for a problem file.

    Examples
    --------
    >>> from hoistopt import Hoist, Motion, Problem, Recipe, Stage, Station
    >>> line = Problem(
    ...     "Two baths",
    ...     stations=[
    ...         Station("Bench", kind="load-unload", position=0),
    ...         Station("Wash", position=1.2),
    ...         Station("Rinse", position=2),
    ...     ],
    ...     hoist=Hoist(lift=6, lower=5, loaded=Motion(0.25), empty=Motion(0.4)),
    ...     recipes=[Recipe("Cases", [Stage("Wash", min=90, max=150), Stage("Rinse", min=40)])],
    ... )
    >>> line
    <Problem 'Two baths': 3 stations, 1 recipe, times in s>
    >>> Problem.from_data(line.to_data()) == line
    True
    """

    if TYPE_CHECKING:

        def __init__(
            self,
            name: str,
            *,
            stations: Iterable[Station],
            recipes: Iterable[Recipe],
            hoist: Hoist | Iterable[Hoist] = (Hoist(),),  # noqa: B008
            track: Track | None = None,
            carriers: Carriers = Carriers(),  # noqa: B008
            cycle: Cycle = Cycle(),  # noqa: B008
            times: Times = Times(),  # noqa: B008
            crossings: Iterable[Crossing] = (),
            margin: Margin | Numeral | None = None,
            scatter: Scattering | None = None,
            unit: Unit = "s",
            tick: Numeral | None = None,
            length_unit: str = "m",
            note: str = "",
            source: str = "",
        ) -> None: ...

    @model_validator(mode="after")
    def _consistent(self) -> Problem:
        self._in_service()
        for check in checks.ALL:
            check(self)
        return self

    def _in_service(self) -> None:
        """Leave tanks out of service out of the stages they serve."""
        out = {station.name for station in self.stations if station.out_of_service}
        if not out:
            return
        self._stated = self.recipes
        in_service = tuple(_without(recipe, out) for recipe in self.recipes)
        object.__setattr__(self, "recipes", in_service)

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> Problem:
        """Check plain data, as read from TOML, and build the problem.

        Raises
        ------
        InputError
            One error for the first thing that is wrong.
        """
        try:
            # Only the names of the file: what the JSON Schema refuses is refused here too.
            data = written_out(data)
            return cls.model_validate(
                data, by_alias=True, by_name=False, context=InFile(str(data.get("unit", "s")))
            )
        except ValidationError as error:
            raise explain_validation(error, cls, data) from None

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """A sentence about everything that is allowed but seldom meant, such as two stations
        at one position."""
        return warnings_about(self)

    def with_margin(self, *, slack: Numeral | None = None, float: Numeral | None = None) -> Problem:
        """The same line with another margin asked of it; stages keep what they state.

        Parameters
        ----------
        slack, float : number, optional
            As of :class:`hoistopt.Margin`; what is left out stays as it is.

        Raises
        ------
        InputError
            When a figure makes no sense, or a window is too narrow for it.

        Examples
        --------
        >>> import hoistopt
        >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
        >>> hoistopt.solve(problem.with_margin(slack=10, float=4)).cycle_time
        246
        """
        asked = Margin(slack=slack, float=float)
        stated = {} if self.margin is None else self.margin.model_dump(exclude_none=True)
        data = self.to_data()
        data["margin"] = {**stated, **asked.model_dump(exclude_none=True)}
        return type(self).from_data(data)

    def with_out_of_service(
        self, stations: Iterable[str], needed: Mapping[str, int] | None = None
    ) -> Problem:
        """The same line with no load set down in those tanks and dryers for now.

        Parameters
        ----------
        stations : iterable of str, or str
            Names, or numbers that the problem gives its stations.
        needed : mapping of str to int, optional
            By recipe the first stage, from 1, to which a load of it still comes, where loads are
            to run out; none comes to a stage of a recipe that is not named. Such a stage may
            be left without a tank. By default loads come to all stages.

        Raises
        ------
        InputError
            When one is none of the line's, no tank or dryer, or a stage to which loads come has no
            other.

        Examples
        --------
        >>> import hoistopt
        >>> problem = hoistopt.load_problem("problems/parallel_tanks.toml")
        >>> fewer = problem.with_out_of_service(["Nickel 2", "Nickel 3"])
        >>> fewer.recipes[0].stages[1].station
        ('Nickel 1',)
        """
        words = [stations] if isinstance(stations, str) else stations
        out = [self.station_called(word) for word in words]
        for name in out:
            if name not in self.station_by_name:
                raise InputError(
                    "the name of a station of this line",
                    field="out_of_service",
                    value=name,
                    way_out=nearest_or_known(name, list(self.station_by_name)),
                )
        return type(self).from_data(with_tanks_out(self.to_data(), set(out), needed))

    def all_in_service(self) -> Problem:
        """The same line with every tank in service, as it was when a log was kept."""
        if not self._stated:
            return self
        data = self.to_data()
        for station in data["station"]:
            station.pop("out_of_service", None)
        return type(self).from_data(data)

    def to_toml(self) -> str:
        """The text of a problem file that :func:`hoistopt.load_problem` reads back equal."""
        from .toml_text import toml_text

        return toml_text(self.to_data())

    def save(self, path: str | Path) -> None:
        """Write a problem file, whole or not at all.

        Parameters
        ----------
        path : str or Path
            The TOML file to write, or, where it ends in ``.xlsx``, the workbook; one that is
            there is replaced, its comments included.

        Raises
        ------
        InputError
            When the file cannot be written, or the library that writes workbooks is missing.
        """
        from ..base.workbook.package import is_workbook

        if not is_workbook(path):
            write_atomically(path, self.to_toml())
            return
        from .workbook.writing import problem_workbook

        write_atomically(path, problem_workbook(self))

    def __repr__(self) -> str:
        stations, recipes = len(self.stations), len(self.recipes)
        kinds = counted(recipes, "recipe")
        return f"<Problem {self.name!r}: {stations} stations, {kinds}, times in {self.unit}>"


def _without(recipe: Recipe, out: Set[str]) -> Recipe:
    """The recipe with the stations that are in service; a stage left without any keeps all.

    Which makes it one that a check refuses, by its own name.
    """
    stages = []
    for stage in recipe.stages:
        left = tuple(name for name in stage.station if name not in out)
        fewer = 0 < len(left) < len(stage.station)
        stages.append(stage.model_copy(update={"station": left}) if fewer else stage)
    return recipe.model_copy(update={"stages": tuple(stages)})

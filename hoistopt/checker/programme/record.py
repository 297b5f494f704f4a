"""What the replay of a programme saw; times exact, in the problem's unit, from its state on."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from ...base.text import counted
from ...problem import Problem
from ...schedule import Between, LineState, Programme, readable
from ..record import Refusal, Violation
from .course import Course


@dataclass(frozen=True)
class ProgrammeRun:
    """One loaded move of a hoist; `step` counts from 1, `load` is the load's number.

    Of several hoists `hoist` is the name of the one that makes it.
    `travel` includes settling; of a move whose time comes from a table only `drip` is known
    apart.
    """

    step: int
    load: int
    recipe: str
    stage: int
    source: str
    target: str
    start: Fraction
    end: Fraction
    lift: Fraction | None
    drip: Fraction
    travel: Fraction | None
    lower: Fraction | None
    hoist: str | None = None


@dataclass(frozen=True)
class LoadStay:
    """A load standing in a station of the line.

    `since` is in doubt, and not above 0, where the state had the load there; `until` is
    None where it stands there yet when the programme ends. `arrived_by` and `left_by`
    number the steps from 1.
    """

    load: int
    recipe: str
    stage: int
    label: str
    station: str
    since: Between
    until: Fraction | None
    least: Fraction
    most: Fraction | None
    arrived_by: int | None
    left_by: int | None


@dataclass(frozen=True)
class Overstay:
    """A load that stands in a stage for longer than its maximum; times in the problem's unit.

    Attributes
    ----------
    load : int
    recipe : str
    stage : int
    label, station : str
        Name of the stage, and where the load stands in it.
    stood : Between
        How long it has stood there when it is lifted, or when the programme ends; two
        times where the state was in doubt.
    most : Fraction
        The maximum.
    by : Fraction
        By how much longer than the maximum it may have stood.
    certain : bool
        Whether it is longer than the maximum in the whole range of doubt.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Between, HoistAt, LineState, Standing
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> state = LineState(
    ...     standing=(Standing("Wash", 1, Between.of(160), "Cases", load=7),),
    ...     hoist=HoistAt("Wash", Between.of(0)),
    ... )
    >>> found = hoistopt.plan(problem, state=state, recover=True)
    >>> [(one.load, one.label) for one in found.replay.overstays]
    [(7, 'Wash')]
    """

    load: int
    recipe: str
    stage: int
    label: str
    station: str
    stood: Between
    most: Fraction
    by: Fraction
    certain: bool


@dataclass(frozen=True, repr=False)
class ProgrammeReplay:
    """Everything the replay of a programme saw.

    Attributes
    ----------
    violations : tuple of Violation
        Every broken rule, in order of time; empty when clean.
    runs : tuple of ProgrammeRun
        The hoist's loaded moves.
    stays : tuple of LoadStay
        The loads' stays in the line.
    finish : Fraction
        When the hoist is done with the last move.
    out : dict of int to Fraction
        When each load that leaves the line is set down at its unload station.
    left : tuple of int
        Loads that are in the line yet when the programme ends.
    overstays : tuple of Overstay
        Every stay longer than its maximum, in order of time.
    lost : tuple of int
        Loads named as lost, whose overstays are no violations.
    course : Course
        The same in the checker's exact grid time, for the state at any time.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> programme = hoistopt.unroll(hoistopt.solve(problem).schedule, cycles=2)
    >>> seen = hoistopt.replay_programme(problem, programme)
    >>> seen.clean, len(seen.runs), seen.left
    (True, 10, ())
    """

    violations: tuple[Violation, ...]
    runs: tuple[ProgrammeRun, ...]
    stays: tuple[LoadStay, ...]
    finish: Fraction
    out: dict[int, Fraction]
    left: tuple[int, ...]
    course: Course = field(repr=False, compare=False)
    overstays: tuple[Overstay, ...] = ()
    lost: tuple[int, ...] = ()

    @property
    def clean(self) -> bool:
        """Whether no rule was broken."""
        return not self.violations

    @property
    def problem(self) -> Problem:
        """The line it was replayed on."""
        return self.course.table.problem

    @property
    def programme(self) -> Programme:
        """The programme that was replayed."""
        return self.course.table.programme

    @property
    def state(self) -> LineState:
        """The state it began with."""
        return self.course.state

    def __repr__(self) -> str:
        broken = len(self.violations)
        found = "clean" if self.clean else f"{counted(broken, 'rule')} broken"
        return (
            f"<ProgrammeReplay: {found} in {len(self.programme)} moves up to "
            f"{readable(self.finish)}>"
        )


class ProgrammeRefused(Refusal):
    """The checker refuses a programme.

    Parameters
    ----------
    seen : ProgrammeReplay
        What it saw; at least one violation.
    made_here : bool
        Whether hoistopt itself made the programme: then the fault is its own.

    Attributes
    ----------
    replay : ProgrammeReplay
    made_here : bool
    """

    def __init__(self, seen: ProgrammeReplay, *, made_here: bool = False) -> None:
        super().__init__("programme", seen.violations, made_here=made_here)
        self.replay = seen

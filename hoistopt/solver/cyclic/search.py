"""The least cycle time of one hoist: CP-SAT, and other ways where it finds no quick end."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from ...base.clock import Clock, OutOfTime
from ...instance import Instance
from ...schedule import Schedule
from ..chains import ChainBound, kinds_of
from ..compiling import compiling_before
from ..cpsat import Status
from ..model.build import lowest_cycle
from .annealing import (
    LoadsAnnealing,
    MergedAnnealing,
    can_anneal_loads,
)
from .beside import Beside
from .incumbent import Found, Incumbent, Tell
from .order import schedule_in_order
from .reinsertion import Reinsertion, can_reinsert
from .sequences import can_search_sequences, search_sequences
from .starts import (
    find_first,
    gathered,
    gathered_cycle,
    one_by_one,
    start_from_copies,
    start_from_groups,
)
from .starts.groups import groups_of
from .track import can_search_track
from .turns import (
    FIRST_TURN,
    raise_bound,
    shift_and_prove,
    shift_for_a_turn,
)
from .whole import HARDLY_PROVABLE, PROVABLE, search_whole_model

FIRST_WORK, SECOND_WORK = 0.4, 1.0
"""CP-SAT's work, in its own measure (about a second), before a first schedule is made sure
of, and after it, before anything else is tried."""

MANY_MOVES = 24
"""With more, and windows that are not narrow, a first schedule is made sure of at once. With no
more, several loads are not annealed: the whole model does better alone."""

SHORT_WORK = 0.1
"""CP-SAT's work, in its own measure, before schedules to start from are made, where several
loads make no more moves than that."""

PUT_BACK = 50
"""Moves; with more, and several loads, moves are put back at first; of one group of tanks only
above :data:`.whole.PROVABLE`."""

TRACK_SHARE, TRACK_SHARE_OF_FEW, TRACK_SECONDS = 1 / 4, 1 / 8, 5.0
"""Of the time, for the search along the track where a cycle has several loads: on some lines it
raises the bound, on others its states are far too many. The second, but no less than so many
seconds of the first, where the moves are few enough for CP-SAT to prove what is left
(:data:`.whole.PROVABLE`), which takes it long at one go. In the first seconds the looks for better
schedules beside the track are worth as much."""

STARTED_TURN = 0.5
"""CP-SAT's work on shifts after moves were put back, which leaves less to make better."""

FIRST_ROUNDS, ONE_ROUND = 4, 150
"""Rounds of taking moves out and putting them back, at first; above half of the second number of
moves fewer, by the square of the moves."""

POOR_ROUNDS, STARTS = 3, 1
"""How many times as many rounds there are, and how many of them begin from scratch, where the best
schedule is one that took no search."""

GATHERED_ROUNDS = 2
"""Rounds of taking moves out and putting them back, at the least, where loads gather at a stage."""

GATHERED_LONGER = 1.3
"""Where no tanks are merged for it, a cycle in which loads gather is worth a try if it is no more
than so many times as long as copies of a shorter one."""

LARGE = 100
"""Moves; with more, one load at a time comes first, for models take long to build."""


def least_cycle(
    instance: Instance,
    clock: Clock | None = None,
    *,
    tell: Tell | None = None,
    known: Schedule | None = None,
    again: bool = False,
    chains: ChainBound | None = None,
) -> Found:
    """Find the least cycle time of an instance with one hoist.

    With few moves and several loads, CP-SAT has a short turn first, which most such lines end
    in. Where a stage holds several loads, a cycle of many moves starts from loads that gather
    there. Where several tanks serve one stage, the search starts from the line with those tanks
    merged into one station; other lines with several sets of loads a cycle, and mixes with such
    tanks, from copies of a cycle of one; a cycle of many moves from what taking moves out and
    putting them back makes of one load at a time. Then CP-SAT, for as long as most lines need.
    Where that brings no proof, it depends on the line. Where few loads cross any part of the
    track, stations are served one by one along it, which refutes cycle time after cycle time;
    elsewhere, with one load a cycle, move sequences built forward in time bring schedules and
    bounds, often the proof itself. Beside both, neighbourhoods of the best schedule are looked
    into, and with one load a cycle schedules made from scratch. With several loads, moves put
    back, annealing and orders of moves near the best one take turns with CP-SAT, from the best
    known and above the best bound.

    Parameters
    ----------
    clock, tell, known, again, chains
        As of :func:`hoistopt.solver.search.least_cycle`.
    """
    clock = Clock() if clock is None else clock
    search = _Search(instance, clock, tell, chains)
    try:
        with compiling_before(search.clock):
            status = _closed(instance, search, known, again and known is not None)
    except OutOfTime:
        status = "unknown"
    return search.found(status)


def _closed(instance: Instance, search: _Search, known: Schedule | None, again: bool) -> Status:
    """Run the search to its end."""
    search.begin()
    search.take(known)
    mix_with_groups = len(instance.alike) > 1 and _choosing(instance)
    copies_first = mix_with_groups and instance.degree > 1 and known is None
    if instance.jobs > 1:
        if len(instance.moves) <= MANY_MOVES:
            status = search.run_cp_sat(SHORT_WORK, plainly=True)
            if status in ("optimal", "infeasible") or search.over:
                return status
        groups = groups_of(instance)
        provable = len(instance.moves) <= PROVABLE
        # Of one group of tanks the merged cycle is as good.
        put_back = not provable or (len(groups) > 1 and len(instance.moves) > PUT_BACK)
        if again and groups:
            if not mix_with_groups:
                if provable and put_back:
                    search.reinsert()  # with more moves, turns begin with it
                search.anneal_merged(())
            return search.shift_and_prove()
        if copies_first:
            start_from_copies(instance, search.incumbent, search.clock, least_cycle)
        if mix_with_groups and search.reinsert():
            return search.shift_and_prove()
        if not again and groups:
            search.gather()
        merged = start_from_groups(
            instance,
            search.incumbent,
            search.clock,
            least_cycle,
            between=lambda: search.reinsert(1) if put_back else None,
        )
        if merged is not None:
            if put_back:
                search.reinsert()
            search.anneal_merged(merged)
        if merged is not None or (search.poor and _choosing(instance)):
            return search.shift_and_prove()
    if instance.degree > 1 and not again and not copies_first:
        start_from_copies(instance, search.incumbent, search.clock, least_cycle)
        search.gather(GATHERED_LONGER)
    if search.over:  # stopped by the user, or no better cycle is possible
        return "unknown"
    hard = len(instance.moves) > MANY_MOVES and _loose(instance)
    follow = hard and instance.jobs == 1 and can_search_track(instance)
    large = instance.jobs > 1 and len(instance.moves) > HARDLY_PROVABLE  # shifts come first
    many = instance.jobs > 1 and len(instance.moves) > PUT_BACK
    if many and len(instance.moves) <= PROVABLE and search.incumbent.schedule is not None:
        # Copies may be the least, which CP-SAT says sooner than moves put back find nothing.
        status = search.run_cp_sat(FIRST_WORK, plainly=True)
        if status in ("optimal", "infeasible") or search.over:
            return status
    started = many and search.reinsert()
    if not started and (hard or search.poor):
        search.find_first()  # CP-SAT may take longer than anyone waits for a first one
    if large and search.incumbent.schedule is not None:
        work = STARTED_TURN if started else FIRST_TURN
        shift_for_a_turn(instance, search.incumbent, search.clock, work)
    for work in (FIRST_WORK,) if follow else (FIRST_WORK, SECOND_WORK):
        status = search.run_cp_sat(work, plainly=True)
        if status in ("optimal", "infeasible") or search.over:
            return status
        search.find_first()
        if instance.jobs > 1:
            search.raise_bound()
        if search.over:
            return status
    if follow or can_search_track(instance):
        return search.follow_track()
    if can_search_sequences(instance):
        return search.search_sequences()
    return search.end()


def may_gather(instance: Instance) -> bool:
    """Whether a search begins with loads that gather at a stage, where there is one for it."""
    alike = len(instance.alike) == 1  # of a mix, moves put back find as much by themselves
    many = len(instance.moves) > PUT_BACK
    return alike and many and instance.several is None and can_reinsert(instance)


def cycle_if_gathered(instance: Instance, clock: Clock) -> int | None:
    """About how many ticks such a cycle takes, before any search; None if no search tries it."""
    return gathered_cycle(instance, clock, least_cycle) if may_gather(instance) else None


def _choosing(instance: Instance) -> bool:
    """Whether some stage has several tanks, which makes models large."""
    return any(len(stay.places) > 1 for stay in instance.stays)


def _loose(instance: Instance) -> bool:
    """Whether some dwell may be more than twice as long as it must be."""
    return any(stay.most is None or stay.most > 2 * stay.least for stay in instance.stays)


class _Search:
    """One search: what it looks at, where it stands, and when it has to end."""

    def __init__(
        self, instance: Instance, clock: Clock, tell: Tell | None, chains: ChainBound | None
    ) -> None:
        self.instance, self.clock = instance, clock
        self._unsearched: Schedule | None = None  # what takes no search
        self.incumbent = Incumbent(max(1, instance.shortest), tell)
        self.chains = chains
        self._rounds: LoadsAnnealing | MergedAnnealing | None = None
        self._put: Reinsertion | None = None

    def begin(self) -> None:
        """Have a schedule of a large line at once, and the bound that needs no search."""
        if len(self.instance.moves) > LARGE:
            self._one_by_one()
        self.incumbent.begin(lowest_cycle(self.instance, self.clock))
        if self.chains is not None:
            self.incumbent.improve(None, ceil(self.chains.per_set * self.instance.degree))

    def _one_by_one(self) -> None:
        """Fall back on one load at a time."""
        schedule = one_by_one(self.instance)
        if schedule is not None and self.incumbent.keep(schedule, []):
            self._unsearched = schedule

    @property
    def poor(self) -> bool:
        """Whether the best schedule is one that took no search."""
        best = self.incumbent.schedule
        return best is not None and best is self._unsearched

    @property
    def over(self) -> bool:
        """Whether there is nothing more to do, or no more time to do it."""
        return self.incumbent.closed or self.clock.over

    def shift_and_prove(self) -> Status:
        """Look into neighbourhoods and search the whole model by turns, longer each time."""
        return shift_and_prove(
            self.instance,
            self.incumbent,
            self.clock,
            self._chains(),
            self._annealing(),
            self._reinsertion(),
        )

    def raise_bound(self) -> None:
        """Raise the bound by what the hoist can do in a row."""
        raise_bound(self.instance, self.incumbent, self.clock, self._chains())

    def _chains(self) -> ChainBound:
        if self.chains is None:
            self.chains = ChainBound(kinds_of(self.instance))
        return self.chains

    def run_cp_sat(self, work: float | None = None, *, plainly: bool = False) -> Status:
        """Search the whole model between the best bound and the best schedule."""
        return search_whole_model(self.instance, self.incumbent, self.clock, work, plainly=plainly)

    def take(self, known: Schedule | None) -> None:
        """Go on from a schedule that somebody else found, where it is the best."""
        if known is not None:
            self.incumbent.keep(known, [])

    def find_first(self) -> None:
        """Make sure of a schedule, where a quick way leads to one."""
        if self.incumbent.schedule is None or self.poor:
            self._unsearched = None  # one try is enough
            find_first(self.instance, self.incumbent, self.clock)
            self.incumbent.values = []  # too poor to begin another search from

    def anneal_merged(self, known: Sequence[Schedule]) -> None:
        """Have rounds on the merged line from now on, which begin with cycles of it."""
        if len(self.instance.moves) > MANY_MOVES and can_anneal_loads(self.instance):
            self._rounds = MergedAnnealing(self.instance, self.incumbent, self.clock, known)

    def reinsert(self, rounds: int | None = None) -> bool:
        """Take moves out and put them back, in a few rounds; whether that made it better."""
        if not self._can_put_back:
            return False
        if self.incumbent.schedule is None:
            self._one_by_one()
        reinsertion = self._reinsertion()
        if reinsertion is None or self.incumbent.schedule is None or self.over:
            return False
        if rounds is None:
            rounds = self._first_rounds
        return reinsertion.near(max(1, POOR_ROUNDS * rounds if self.poor else rounds))[1] > 0

    def gather(self, longer: float | None = None) -> None:
        """Begin with loads that gather at a stage, made shorter by moves put back.

        Parameters
        ----------
        longer : float, optional
            Not where such a cycle would be so many times as long as the best one, before it is
            made shorter.
        """
        if not may_gather(self.instance) or self.over:
            return
        best = self.incumbent.best
        if longer is not None and best is not None:
            about = cycle_if_gathered(self.instance, self.clock)
            if about is None or about > longer * best:
                return
        schedule = gathered(self.instance, self.clock, least_cycle)
        if schedule is None:
            return
        self.incumbent.keep(schedule, [])
        reinsertion = self._reinsertion()
        if reinsertion is not None and not self.over:
            reinsertion.near_given(schedule, max(GATHERED_ROUNDS, self._first_rounds))

    @property
    def _first_rounds(self) -> int:
        """Rounds of taking moves out and putting them back at first, fewer with many moves."""
        return min(FIRST_ROUNDS, round((ONE_ROUND / len(self.instance.moves)) ** 2))

    @property
    def _can_put_back(self) -> bool:
        return len(self.instance.moves) > MANY_MOVES and can_reinsert(self.instance)

    def _reinsertion(self) -> Reinsertion | None:
        """Rounds of taking moves out and putting them back; None for lines they are not for."""
        if self._put is None and self._can_put_back:
            starts = STARTS if self.poor else 0
            self._put = Reinsertion(self.instance, self.incumbent, self.clock, starts)
        return self._put

    def _annealing(self) -> LoadsAnnealing | MergedAnnealing | None:
        """Rounds of annealing of several loads; None for lines that they are not for."""
        few = len(self.instance.moves) <= MANY_MOVES
        if self._rounds is None and not few and can_anneal_loads(self.instance):
            self._rounds = LoadsAnnealing(self.instance, self.incumbent, self.clock)
        return self._rounds

    def follow_track(self) -> Status:
        """Follow the track, and look into neighbourhoods of the best schedule."""
        from .track.search import TrackSearch

        several = self.instance.jobs > 1
        clock = self.clock.share(TRACK_SHARE) if several else self.clock
        if several and len(self.instance.moves) <= PROVABLE and self.clock.left is not None:
            clock = clock.part(max(TRACK_SHARE_OF_FEW * self.clock.left, TRACK_SECONDS))
        beside = Beside(self.instance, self.incumbent, self.clock, prove=several)
        beside.run(
            lambda between: TrackSearch(
                self.instance,
                self.incumbent,
                self._evaluate,
                lambda: beside.over or clock.over,
                between,
                self.clock.workers,
                lambda: clock.left,
            ).close()
        )
        return self._end_after(beside)

    def search_sequences(self) -> Status:
        """Build move sequences, and look into neighbourhoods of the best schedule."""
        beside = Beside(self.instance, self.incumbent, self.clock, prove=True)
        beside.run(
            lambda between: search_sequences(
                self.instance,
                self.incumbent,
                evaluate=self._evaluate,
                stop=lambda: beside.over,
                between=between,
            )
        )
        return self._end_after(beside)

    def _end_after(self, beside: Beside) -> Status:
        """Search the whole model to the end where that has not said all."""
        if beside.impossible:
            return "infeasible"
        return "feasible" if self.over else self.end()

    def end(self) -> Status:
        """Search the whole model to the end: with several loads, in turns with neighbourhoods."""
        return self.run_cp_sat() if self.instance.jobs == 1 else self.shift_and_prove()

    def _evaluate(self, order: Sequence[int]) -> int | None:
        """The least cycle time of an order of moves, kept if it is the best."""
        return schedule_in_order(self.instance, order, self.incumbent, self.clock)

    def found(self, status: Status) -> Found:
        """The outcome of the search, with the best schedule and bound by now."""
        incumbent = self.incumbent
        if incumbent.schedule is None and status == "unknown":
            self._one_by_one()
        if incumbent.schedule is not None:
            status = "optimal" if incumbent.closed or status == "optimal" else "feasible"
        elif status != "infeasible":
            status = "unknown"
        bound = incumbent.bound
        if status == "optimal":
            assert incumbent.schedule is not None
            bound = incumbent.schedule.cycle
        return Found(status, bound, incumbent.schedule, incumbent.elapsed)

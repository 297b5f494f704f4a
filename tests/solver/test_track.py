"""Passes along the track: what they refute has no schedule; where they lead there is one."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from random import Random

import numpy as np
import pytest

from benchmarks.families import random_line, random_mix
from hoistopt import load_problem
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.order import schedule_in_order
from hoistopt.solver.cyclic.track import can_search_track, passes
from hoistopt.solver.cyclic.track import search as track_search
from hoistopt.solver.cyclic.track.bounds.completion import restricted
from hoistopt.solver.cyclic.track.expand.kernel import expand
from hoistopt.solver.cyclic.track.layers import dominance
from hoistopt.solver.cyclic.track.layers.distinct import distinct_rows
from hoistopt.solver.cyclic.track.layers.dominance import undominated
from hoistopt.solver.cyclic.track.line import mirrored, track_line
from hoistopt.solver.cyclic.track.line.metric import metric
from hoistopt.solver.cyclic.track.passes import Pass, Track
from hoistopt.solver.cyclic.track.path import order_of
from hoistopt.solver.cyclic.track.search import TrackSearch
from hoistopt.solver.cyclic.track.times.arithmetic import minimum, minus_cycle, plus_cycle
from hoistopt.solver.cyclic.track.times.span import Span
from hoistopt.solver.model.build import lowest_cycle
from tests.helpers.clocks import clock
from tests.helpers.searched import by_cp_sat, small_lines
from tests.reference.brute import least_cycle as brute_force
from tests.reference.lines import FAMILIES

WIDE = 10**6
ALL_KEPT = (WIDE, WIDE)
MERGED = (2, 4, 16, WIDE)
"""States of a key that are kept, pass by pass, each in the other direction than the last."""


def both_ways(instance: Instance) -> tuple[Track, Track]:
    line = track_line(instance)
    return Track(line), Track(mirrored(line))


def passed(tracks: tuple[Track, Track], span: Span, widths: tuple[int, ...]) -> tuple[Pass, int]:
    """The last pass needed, and its number."""
    bounds = None
    for turn, width in enumerate(widths):
        found = tracks[turn % 2].run(span, width, bounds)
        if found.refuted:
            return found, turn
        bounds = tracks[turn % 2].completion_bounds(found, span)
    return found, turn


def loose_line(seed: int) -> Instance:
    """A line whose every rule is looked at along the track: one load, two, or two recipes."""
    family = ("loose", "very-loose", "open", "narrow")[seed % 4]
    tanks, shuffled = Random(seed).randint(3, 7), bool(seed % 2)
    if seed % 5 == 3:
        return build_instance(random_mix(family, min(tanks, 4), 2, seed, shuffled=shuffled))
    if seed % 5 == 4:
        return build_instance(random_line(family, min(tanks, 4), seed, shuffled=shuffled), 2)
    return build_instance(random_line(family, tanks, seed, shuffled=shuffled))


# -- against brute force, and CP-SAT -----------------------------------------------------


@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_no_possible_cycle_time_is_refuted(family: str) -> None:
    searched = 0
    for seed, instance in small_lines(family, range(8000, 8060)):
        if not can_search_track(instance):
            continue
        line = FAMILIES[family](seed)
        least = brute_force(*line)
        if least is None:
            continue
        searched += 1
        tracks = both_ways(instance)
        spans = Span(least, least), Span(max(1, least - 9), least + 7)
        for span in spans:
            for widths in (ALL_KEPT, MERGED):
                found, turn = passed(tracks, span, widths)
                assert not found.refuted, f"{family} {seed}: {span} refuted in pass {turn}"
    # Some families are about choices among stations, of which there are none here.
    assert searched >= (0 if family in ("parallel", "everything") else 5)


def test_the_least_cycle_time_is_where_refuting_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    kinds: Counter[int] = Counter()
    for seed in range(60):
        instance = loose_line(seed)
        if not can_search_track(instance):
            continue
        least = by_cp_sat(instance, monkeypatch)
        assert least is not None
        tracks = both_ways(instance)
        for widths in (ALL_KEPT, MERGED):
            below, _ = passed(tracks, Span(least - 5, least - 1), widths)
            assert below.refuted, f"{seed}: a tick less seems possible"
            found, turn = passed(tracks, Span(least, least), widths)
            assert not found.refuted
        order = order_of(tracks[turn % 2], found, found.terminals[0])
        if turn % 2:
            order.reverse()
        first = order.index(instance.first_moves[0])
        order = order[first:] + order[:first]
        assert sorted(order) == list(range(len(instance.moves)))
        assert schedule_in_order(instance, order, Incumbent(1)) == least, f"seed {seed}"
        kinds[seed % 5] += 1
    assert len(kinds) == 5 and kinds.total() >= 40


def test_a_part_of_a_span_keeps_what_is_known_of_the_whole(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for seed in range(100, 120):
        instance = loose_line(seed)
        if not can_search_track(instance):
            continue
        least = by_cp_sat(instance, monkeypatch)
        assert least is not None
        there, back = both_ways(instance)
        wide = Span(least - 20, least + 20)
        bounds = there.completion_bounds(there.run(wide, 4), wide)
        for part in (Span(least, least), Span(least - 3, least + 9)):
            assert not back.run(part, 4, restricted(bounds, wide, part)).refuted


@pytest.mark.parametrize("workers", [1, 2])
def test_the_search_along_the_track_proves_what_cp_sat_proves(
    workers: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)
    refuted = []
    whole = TrackSearch._refute
    monkeypatch.setattr(
        TrackSearch, "_refute", lambda self, *span: refuted.append(span) or whole(self, *span)
    )
    for seed in range(200, 225):
        instance = loose_line(seed)
        if not can_search_track(instance):
            continue
        found = least_cycle(instance, clock(workers=workers))
        assert found.status == "optimal"
        assert found.schedule is not None
        assert found.bound == found.schedule.cycle
        with monkeypatch.context() as patch:
            patch.setattr(search, "FIRST_WORK", 10)
            patch.setattr(search, "SECOND_WORK", 10)
            assert found.bound == by_cp_sat(instance, patch), f"seed {seed}"
    assert refuted


def test_the_published_line_is_refuted_well_below_its_published_cycle_and_not_at_it() -> None:
    # Phillips and Unger (1976), AIIE Transactions 8(2), 219-225: 521 is the optimum. Their
    # measured times do not lie on a line, so refuting ends some ticks before it.
    instance = build_instance(load_problem("problems/phillips_unger_1976.toml"))
    assert lowest_cycle(instance) < 400
    tracks = both_ways(instance)
    for span, refuted in ((Span(521, 521), False), (Span(480, 500), True)):
        found, _ = passed(tracks, span, (64, 256, 1024, WIDE))
        assert found.refuted is refuted


# -- the size of what can be proved ----------------------------------------------------


def test_twenty_loose_tanks_are_proved_optimal() -> None:
    # CP-SAT alone leaves a gap of more than 5 % here after a minute.
    instance = build_instance(random_line("loose", 20, 1))
    found = least_cycle(instance, clock(workers=1))
    assert found.status == "optimal"
    assert found.bound == 604


def test_one_worker_finds_the_same_schedule_every_time() -> None:
    instance = build_instance(random_line("loose", 16, 3))
    first, second = (least_cycle(instance, clock(workers=1, seed=7)) for _ in range(2))
    assert first.schedule == second.schedule
    assert first.status == "optimal"


# -- when it has to end ------------------------------------------------------------------


def searching(instance: Instance, incumbent: Incumbent, stop: bool) -> TrackSearch:
    return TrackSearch(
        instance, incumbent, lambda o: schedule_in_order(instance, o, incumbent), lambda: stop
    )


def test_told_to_stop_it_claims_nothing() -> None:
    instance = build_instance(random_line("loose", 12, 1))
    incumbent = Incumbent(10)
    searching(instance, incumbent, stop=True).close()
    assert (incumbent.bound, incumbent.best) == (10, None)
    track = both_ways(instance)[0]
    found = track.run(Span(500, 900), 8, stop=lambda _: True)
    assert not found.complete
    assert not found.refuted


def test_out_of_memory_it_keeps_the_bound_it_has(monkeypatch: pytest.MonkeyPatch) -> None:
    instance = build_instance(random_line("loose", 12, 1))
    proven = least_cycle(instance, clock(workers=1))
    assert proven.schedule is not None
    incumbent = Incumbent(proven.schedule.cycle - 10)
    incumbent.keep(proven.schedule, [])
    monkeypatch.setattr(track_search, "MOST_KEPT", 50)
    searching(instance, incumbent, stop=False).close()
    assert proven.schedule.cycle - 10 <= incumbent.bound <= proven.schedule.cycle


def test_more_crossings_than_its_numbers_are_made_for_end_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(passes, "MOST_SLOPE", 6)
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)  # CP-SAT comes after the track
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)
    instance = build_instance(random_line("loose", 10, 2))
    found = both_ways(instance)[0].run(Span(300, 500), 64)
    assert found.overflow
    assert not found.refuted
    incumbent = Incumbent(lowest_cycle(instance))
    searching(instance, incumbent, stop=False).close()  # it ends
    proven = least_cycle(instance, clock(workers=1))
    assert proven.status == "optimal"  # by CP-SAT
    assert proven.schedule is not None
    assert incumbent.bound <= proven.schedule.cycle


# -- places on a line --------------------------------------------------------------------


def test_places_never_overstate_empty_travel() -> None:
    rng, short = Random(5), Counter[bool]()
    for _ in range(300):
        count = rng.randint(2, 7)
        wild = rng.random() < 0.5
        at = [rng.randint(0, 30) for _ in range(count)]
        empty = tuple(
            tuple(
                0 if u == v else rng.randint(0, 30) if wild else abs(at[u] - at[v])
                for v in range(count)
            )
            for u in range(count)
        )
        found = metric(empty, list(range(count)))
        for u in range(count):
            for v in range(count):
                if u != v:
                    way = abs(found.at[u] - found.at[v]) + found.leave[u] + found.reach[v]
                    assert way <= empty[u][v]
                    short[wild] += way < empty[u][v]
    assert short[True]
    assert not short[False]  # nothing is lost where places are on a line


def test_times_of_a_span_hold_at_each_of_its_cycle_times() -> None:
    rng = Random(3)
    span = Span(40, 47)
    for cycle in range(span.low, span.high + 1):
        time, truth = 0, 0
        for _ in range(2000):
            if rng.random() < 0.5 and truth > -3 * cycle:
                time, truth = minus_cycle(time, span.low, span.high), truth - cycle
            elif truth < 3 * cycle:
                time, truth = plus_cycle(time, span.low, span.high), truth + cycle
            low, high = span.ends(np.array([time], np.int32))
            assert minimum(time) <= truth
            assert int(np.minimum(low, high)[0]) <= truth


# -- compiled loops ----------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 63, 64, 65, 700])
def test_rows_left_are_those_that_none_lies_below(count: int) -> None:
    dropped = 0
    for seed in range(20):
        rng = np.random.default_rng(seed)
        columns, most = int(rng.integers(1, 6)), int(rng.integers(1, 300))
        table = rng.integers(-most, most, (count, columns)).astype(np.int32)
        left = undominated(table)
        below = (table[:, None] <= table[None]).all(axis=2)
        equal = below & below.T
        assert not (below & ~equal)[:, left].any()
        assert below[left].any(axis=0).all()  # nothing is lost
        assert equal[np.ix_(left, left)].sum() == len(left)  # of equal rows, one
        dropped += count - len(left)
    assert dropped or count == 1


def test_with_more_rows_than_are_compared_none_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    table = np.random.default_rng(1).integers(0, 9, (500, 3)).astype(np.int32)
    all_compared = undominated(table)
    monkeypatch.setattr(dominance, "_AGAINST", 5)
    left = undominated(table)
    assert len(all_compared) < len(left) < len(table)
    assert set(all_compared) <= set(left)


def test_rows_are_told_apart() -> None:
    rng = np.random.default_rng(2)
    for count in (1, 5, 400):
        rows = rng.integers(-2, 2, (count, 4)).astype(np.int16)
        different, which = distinct_rows(rows)
        assert (different[which] == rows).all()
        assert len(different) == len({row.tobytes() for row in rows})


def test_each_loop_is_compiled_for_one_kind_of_numbers_only() -> None:
    # Another kind of array would have users wait for the compiler once more.
    for instance in (loose_line(0), loose_line(3)):
        passed(both_ways(instance), Span(200, 220), MERGED)
    assert len(expand.signatures) == 1
    assert len(dominance._not_dominated.signatures) <= 2


def test_lines_that_need_no_pass_do_not_wait_for_the_compiler() -> None:
    program = (
        "import sys, hoistopt, hoistopt.solver.cyclic.search;"
        "hoistopt.solve(hoistopt.load_problem(sys.argv[1]));"
        "assert 'hoistopt.solver.cyclic.track.line' in sys.modules;"
        "sys.exit('numba' in sys.modules)"
    )
    line = "problems/phillips_unger_1976.toml"
    assert subprocess.run([sys.executable, "-c", program, line]).returncode == 0

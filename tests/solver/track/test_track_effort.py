"""The search along the track with several threads, and with little time left."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.lines.families import random_line
from hoistopt.instance import Instance, build_instance
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.track import passes
from hoistopt.solver.cyclic.track import search as track_search
from hoistopt.solver.cyclic.track.line import track_line
from hoistopt.solver.cyclic.track.passes import Track
from hoistopt.solver.cyclic.track.search import TrackSearch
from hoistopt.solver.cyclic.track.times.span import Span
from hoistopt.solver.model.build import lowest_cycle


def searching(instance: Instance, left: float | None = None) -> TrackSearch:
    return TrackSearch(
        instance,
        Incumbent(lowest_cycle(instance)),
        evaluate=lambda order: None,
        stop=lambda: False,
        left=lambda: left,
    )


def test_several_threads_come_to_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(passes, "_AT_ONCE", 64)  # many pieces of work
    line = track_line(build_instance(random_line("loose", 12, 3)))
    found = []
    for threads in (1, 3):
        track = Track(line, threads)
        try:
            found.append(track.run(Span(380, 420), 32))
        finally:
            track.close()
    one, three = found
    assert one.examined > 2000
    assert (one.examined, one.kept, one.exact) == (three.examined, three.kept, three.exact)
    for mine, other in zip(one.layers, three.layers, strict=True):
        for states, same in zip(mine, other, strict=True):
            assert states.pattern == same.pattern
            for name in ("passing", "separation", "cost", "parent"):
                assert np.array_equal(getattr(states, name), getattr(same, name))


def test_told_to_stop_with_several_threads_it_claims_nothing() -> None:
    track = Track(track_line(build_instance(random_line("loose", 20, 3))), 2)
    try:
        found = track.run(Span(600, 640), 512, stop=lambda so_far: so_far.examined > 100)
    finally:
        track.close()
    assert not found.complete
    assert not found.refuted


@pytest.mark.parametrize("left", [None, 1000.0, 20.0, 6.0, 0.001])
def test_spans_are_begun_that_the_time_left_is_enough_for(left: float | None) -> None:
    search = searching(build_instance(random_line("loose", 8, 0)), left)
    assert search._in_time(16) == 16  # nothing to judge by
    search.longest = 10.0, 16
    width = search._in_time(16)
    if left is None or left >= 1000:
        assert width == 16
        return
    expected = track_search.LONGER * 10.0
    while width < 16:
        width, expected = 2 * width, expected * track_search.HALF_WIDTH
    assert expected <= left or search._in_time(16) == 1


def test_narrow_spans_at_the_end_refute_no_more_than_wide_ones() -> None:
    instance = build_instance(random_line("loose", 10, 1))
    bounds = []
    for left in (None, 1e-9):
        search = searching(instance, left)
        search.incumbent.best = 10_000  # so that it ends where refuting ends
        search.close()
        bounds.append(search.incumbent.bound)
    assert bounds[0] == bounds[1] > lowest_cycle(instance)

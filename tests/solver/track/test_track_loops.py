"""What passes along the track are made of: places on a line, times of a span, loops over rows."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from random import Random

import numpy as np
import pytest

from hoistopt.solver.cyclic.track.expand.kernel import expand
from hoistopt.solver.cyclic.track.layers import dominance
from hoistopt.solver.cyclic.track.layers.distinct import distinct_rows
from hoistopt.solver.cyclic.track.layers.dominance import undominated
from hoistopt.solver.cyclic.track.line.metric import metric
from hoistopt.solver.cyclic.track.times.arithmetic import minimum, minus_cycle, plus_cycle
from hoistopt.solver.cyclic.track.times.span import Span
from tests.helpers.along_track import MERGED, both_ways, loose_line, passed

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

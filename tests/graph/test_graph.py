"""The constraint graph says what the solver says, and its least cycle what others find."""

from __future__ import annotations

from fractions import Fraction

import networkx
import numpy as np
import pytest
from scipy.optimize import linprog

from hoistopt import InputError, Schedule, Step, verify
from hoistopt.checker import Refused
from hoistopt.graph.algorithms.cycle_ratio import feasible_cycles, least_cycle_of
from hoistopt.graph.algorithms.longest_path import earliest_starts
from hoistopt.graph.arc import Arc, EventGraph
from hoistopt.graph.from_instance import instance_graph
from hoistopt.graph.pattern import degree_of, pattern_of
from hoistopt.graph.retiming import schedule_of
from hoistopt.instance import build_instance
from hoistopt.solver import least_cycle
from tests.helpers.clocks import clock
from tests.helpers.explained import Solved, bare, solved
from tests.reference.draw import SmallLine
from tests.reference.lines import FAMILIES
from tests.reference.paced import paced

pytestmark = pytest.mark.quick

SEEDS = range(300, 312)


def graph_of(line: Solved) -> EventGraph:
    pattern = pattern_of(line.problem, line.instance, line.schedule)
    return instance_graph(line.instance, pattern)


@pytest.mark.parametrize("family", FAMILIES)
def test_least_cycle_of_an_optimal_pattern_is_the_solvers(family: str) -> None:
    checked = 0
    for line in solved(family, SEEDS):
        for schedule in (line.schedule, bare(line.schedule)):
            pattern = pattern_of(line.problem, line.instance, schedule)
            least = least_cycle_of(instance_graph(line.instance, pattern))
            assert least.cycle == line.schedule.cycle, line.name
            assert least.starts is not None
            drawn = schedule_of(line.instance, pattern, least.starts, least.cycle)
            assert verify(line.problem, drawn) == (), line.name
        checked += 1
    assert checked > 3


@pytest.mark.parametrize(
    ("family", "seed"),
    [
        # Found by a search for lines on which leaving out one rule shortens the cycle:
        ("turns", 104),  # no more carriers turning round than places for each set down
        ("mixed", 64),
        ("entering", 137),
        ("carriers", 74),  # no more carriers turning round than there are
        ("carriers", 192),
        ("everything", 245),
        ("everything", 214),  # set downs that both end a fraction of a tick early
    ],
)
def test_rules_at_the_ends_of_the_line_are_in_the_graph(family: str, seed: int) -> None:
    line = next(solved(family, [seed]))
    assert least_cycle_of(graph_of(line)).cycle == line.schedule.cycle


def test_limits_on_the_cycle_time_are_in_the_graph() -> None:
    held = 0
    for number, line in enumerate(solved("plain", range(20))):
        small = SmallLine(line.problem, line.degree)
        problem, degree = paced(small, line.schedule.cycle, number)
        instance = build_instance(problem, degree)
        found = least_cycle(instance, clock(workers=1))
        if found.schedule is None:
            continue
        graph = instance_graph(instance, pattern_of(problem, instance, found.schedule))
        assert least_cycle_of(graph).cycle == found.schedule.cycle
        held += instance.shortest > line.schedule.cycle
    assert held


@pytest.mark.parametrize("family", ["plain", "slots", "carriers", "everything"])
def test_least_cycle_and_earliest_starts_agree_with_linear_programming(family: str) -> None:
    # Source of the reference: HiGHS by way of scipy, on the arcs as inequalities.
    checked = 0
    for line in solved(family, SEEDS):
        graph = graph_of(line)
        least = least_cycle_of(graph)
        assert least.exact is not None and least.cycle is not None and least.starts is not None
        assert _optimum(graph, cycle_weight=1)[-1] == pytest.approx(float(least.exact), abs=1e-6)
        starts = _optimum(graph, cycle_weight=0, cycle=least.cycle)
        assert starts[:-1] == pytest.approx(least.starts, abs=1e-5), line.name
        bounds = feasible_cycles(graph)
        assert bounds is not None
        longest = _optimum(graph, cycle_weight=-1)
        if bounds[1] is None:
            assert longest[-1] >= 1e6
        else:
            assert longest[-1] == pytest.approx(float(bounds[1]), abs=1e-5)
        checked += 1
    assert checked > 3


def _optimum(graph: EventGraph, cycle_weight: int, cycle: int | None = None) -> list[float]:
    """Starts and cycle time, in that order: of least (or greatest) T, or earliest starts."""
    rows, most = [], []
    for arc in graph.arcs:
        row = np.zeros(graph.nodes + 1)
        row[arc.tail] += 1
        row[arc.head] -= 1
        row[-1] = -arc.height
        rows.append(row)
        most.append(-arc.length)
    weights = np.full(graph.nodes + 1, 0.0 if cycle_weight else 1.0)
    weights[-1] = cycle_weight
    bounds: list[tuple[float | None, float | None]] = [(None, None)] * graph.nodes
    bounds[graph.anchor] = (0, 0)
    bounds.append((0, 1e6) if cycle is None else (cycle, cycle))
    found = linprog(weights, A_ub=np.array(rows), b_ub=most, bounds=bounds, method="highs")
    assert found.status == 0
    return list(found.x)


def test_least_cycle_is_the_greatest_ratio_of_all_circuits() -> None:
    # Source of the reference: every simple circuit, listed by networkx.
    checked = 0
    for family in ("plain", "tight", "slots", "carriers", "reentrant"):
        for line in solved(family, range(12)):
            graph = graph_of(line)
            if graph.nodes > 5:
                continue
            ratios = []
            edges = graph.networkx()
            for circuit in networkx.simple_cycles(edges):
                ends = list(zip(circuit, [*circuit[1:], circuit[0]], strict=True))
                sums = {(0, 0)}
                for tail, head in ends:
                    arcs = edges[tail][head].values()
                    sums = {
                        (length + arc["length"], height + arc["height"])
                        for length, height in sums
                        for arc in arcs
                    }
                ratios += [Fraction(length, height) for length, height in sums if height > 0]
            assert max(ratios) == least_cycle_of(graph).exact, line.name
            checked += 1
    assert checked > 12


def test_a_pattern_without_a_cycle_time_is_told_apart_by_its_circuits() -> None:
    checked = 0
    for line in solved("plain", range(30)):
        graph = graph_of(line)
        least = least_cycle_of(graph)
        assert least.exact is not None
        for arc in graph.arcs:
            # Ask for so much between two moves that only a longer cycle could give it.
            broken = EventGraph(
                graph.nodes,
                graph.anchor,
                tuple(
                    Arc(a.tail, a.head, a.length + 10_000 * (a is arc), a.height, a.rule)
                    for a in graph.arcs
                ),
            )
            found = least_cycle_of(broken)
            if found.exact is not None:
                assert found.exact >= least.exact
                continue
            checked += 1
            length = sum(a.length for a in found.against)
            height = sum(a.height for a in found.against)
            if height < 0 and length <= 0:
                assert found.circuit
                needed = Fraction(
                    sum(a.length for a in found.circuit), sum(a.height for a in found.circuit)
                )
                assert needed > Fraction(length, height)
            else:
                assert length > 0 and height <= 0
            assert feasible_cycles(broken) is None
            assert earliest_starts(broken, line.schedule.cycle) is None
    assert checked > 10


def test_a_schedule_of_another_degree_is_refused() -> None:
    line = next(solved("plain", range(5)))
    instance = build_instance(line.problem, line.degree + 1)
    with pytest.raises(InputError, match="own moves"):
        pattern_of(line.problem, instance, line.schedule)
    step = Step(0, line.schedule.steps[0].source, line.schedule.steps[0].target)
    with pytest.raises(InputError, match="multiple"):
        degree_of(line.problem, Schedule(9, Fraction(1), (step,) * (len(line.schedule) + 1)))


def test_a_schedule_that_breaks_a_rule_is_refused() -> None:
    line = next(line for line in solved("plain", range(9)) if len(line.schedule) > 2)
    steps = [type(s)(s.start // 2, s.source, s.target) for s in line.schedule]
    squeezed = Schedule(line.schedule.cycle // 2, line.schedule.ticks_per_unit, tuple(steps))
    with pytest.raises(Refused, match="refuses this schedule"):
        pattern_of(line.problem, line.instance, squeezed)

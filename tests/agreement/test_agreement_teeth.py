"""The random lines bite: without any one rule of the solver's, answers become too good.

And the checker, which reads the problem by itself, refuses what is too good.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from hoistopt import InfeasibleError, InputError, Schedule, verify
from hoistopt.checker.record import Violation
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle
from hoistopt.solver.model import constraints
from tests.helpers.answers import least_alone, least_ticks_alone
from tests.helpers.clocks import clock
from tests.reference.dropped import DROPS
from tests.reference.lines import FAMILIES

# -- dropped from the solver ---------------------------------------------------------

NOTICED_BY = {
    "hoists": "plain",
    "dwell_in_window": "plain",
    "one_carrier_in_a_tank": "plain",
    "no_more_than_capacity": "slots",
    "places_rest": "resting",
    "ends_of_the_line": "plain",
    "loads_in_order": "mixed",
}
"""A family of lines that cannot do without the rule."""


def _name(rule: Callable[..., None]) -> str:
    return rule.__name__


@pytest.mark.parametrize("rule", constraints.RULES.values(), ids=_name)
def test_without_a_rule_the_solver_is_too_good_and_the_checker_refuses_it(
    rule: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    others = {name: other for name, other in constraints.RULES.items() if other is not rule}
    refused = 0
    for seed in range(300):
        problem, degree = FAMILIES[NOTICED_BY[rule.__name__]](seed)
        try:
            instance = build_instance(problem, degree)
        except (InputError, InfeasibleError):
            continue
        least = least_cycle(instance, clock(workers=1)).schedule
        with monkeypatch.context() as patched:
            patched.setattr(constraints, "RULES", others)
            without = least_cycle(instance, clock(workers=1)).schedule
        assert without is not None
        if least is None or without.cycle < least.cycle:
            assert _refused(problem, without), f"{seed}: too good to be true, yet accepted"
            refused += 1
        if refused == 3:
            return
    pytest.fail(f"felt by {refused} lines only")


def _refused(problem: Problem, schedule: Schedule) -> bool:
    try:
        return bool(verify(problem, schedule))
    except InputError:  # starts beyond the cycle
        return True


# -- dropped from the problem ---------------------------------------------------------

BROKEN = {
    "least dwell": {"window"},
    "greatest dwell": {"window"},
    "drip": {"hoist in two places", "window"},
    "one carrier in a tank": {"double occupation"},
    "capacity of a roomy tank": {"double occupation"},
    "first in, first out": {"order of leaving"},
    "capacity at the ends": {"double occupation"},
    "occupation at the ends": {"window", "double occupation"},
    "rest": {"rest"},
    "order of entering": {"mix"},
    "number of carriers": {"carriers"},
    "time to return": {"carriers"},
    "return by the hoist": {"double occupation", "impossible move"},
    "payload": {"impossible move"},
    "reach": {"impossible move"},
    "crossing": {"impossible move"},
    "drip before crossing": {"hoist in two places", "window"},
}
"""What the checker finds, among other things, in a schedule made without a rule."""


def _too_good(rule: str) -> Iterator[tuple[int, tuple[Violation, ...]]]:
    """Schedules shorter than the line allows, as it had one rule less for the solver."""
    family, drop = DROPS[rule]
    for seed in range(400):
        problem, degree = FAMILIES[family](seed)
        data = problem.to_data()
        # Where true times lie between ticks, less than the least planned may be possible.
        if problem.tick != 1 or ("hoist" in data and "times" not in data) or not drop(data):
            continue
        least = least_ticks_alone(problem, degree)
        shorter = least_alone(Problem.from_data(data), degree)
        if shorter is not None and (least is None or shorter.cycle < least):
            yield seed, verify(problem, shorter)


@pytest.mark.parametrize("rule", BROKEN)
def test_the_checker_refuses_schedules_made_without_a_rule(rule: str) -> None:
    found: set[str] = set()
    for number, (seed, violations) in enumerate(_too_good(rule), start=1):
        assert violations, f"{seed}: too good to be true, yet accepted"
        found |= {violation.rule for violation in violations}
        if number >= 3 and found >= BROKEN[rule]:
            return
    pytest.fail(f"only {sorted(found)}")

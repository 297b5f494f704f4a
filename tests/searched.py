"""Instances to search, and what CP-SAT alone finds for them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from reference.lines import FAMILIES

from hoistopt.errors import InfeasibleError, InputError
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import least_cycle, search


def small_lines(family: str, seeds: range) -> Iterator[tuple[int, Instance]]:
    """The reference's random lines, as far as they can be planned, with their seeds."""
    for seed in seeds:
        line = FAMILIES[family](seed)
        try:
            yield seed, build_instance(line.problem, line.degree)
        except (InfeasibleError, InputError):
            continue


def by_cp_sat(instance: Instance, monkeypatch: pytest.MonkeyPatch) -> int | None:
    """The least cycle time, found neither along the track nor by sweeps."""
    with monkeypatch.context() as patch:
        patch.setattr(search, "can_follow", lambda _: False)
        patch.setattr(search, "can_sweep", lambda _: False)
        found = least_cycle(instance, workers=1)
    assert found.status in ("optimal", "infeasible")
    return None if found.schedule is None else found.schedule.cycle

"""The bench of programmes: its tasks, its baselines, and the report it writes."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from benchmarks.apart import answer_of
from benchmarks.methods.line import Unsupported
from benchmarks.programmes import next_load
from benchmarks.programmes.__main__ import main
from benchmarks.programmes.dispatch import dispatch
from benchmarks.programmes.one import _programme
from benchmarks.programmes.tasks import published, tasks
from hoistopt import Order
from hoistopt.instance.build_finite import build_finite
from hoistopt.schedule import LineState
from tests.helpers.apart_here import answer_here
from tests.reference.lines import FAMILIES


@pytest.mark.quick
def test_the_tasks_are_those_that_targets_speak_of() -> None:
    by_name = {task.name: task for task in tasks()}
    assert len(by_name) == len(tasks())
    problem, orders = by_name["orders-60-s10"].make()
    assert sum(order.count for order in orders) == 60
    assert len(problem.recipes) == 3 and len(problem.stations) == 18 + 2
    instance = build_finite(problem, LineState(), orders)
    assert len(instance.moves) == 900
    assert by_name["orders-60-s11"].make()[0].to_data() != problem.to_data()
    assert by_name["orders-60-s10"].make()[0].to_data() == problem.to_data()
    assert sum(order.count for order in published()[1]) == 8
    assert any(order.due for order in by_name["due-20-s10"].make()[1])
    for seed in next_load.SEEDS:
        assert len(next_load.line(seed).stations) == 20


@pytest.mark.parametrize("family", FAMILIES)
def test_the_dispatcher_breaks_no_rule(family: str) -> None:
    seen = 0
    for seed in range(12):
        problem = FAMILIES[family](seed).problem
        names = [recipe.name for recipe in problem.recipes]
        orders = [Order(names[number % len(names)]) for number in range(5)]
        try:
            instance = build_finite(problem, LineState(), orders)
            made = _programme(problem, instance, dispatch(instance))
        except (hoistopt.HoistoptError, Unsupported):
            continue
        assert hoistopt.replay_programme(problem, made).violations == ()
        seen += 1
    assert seen >= 3


def test_a_tiny_line_by_every_method(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def answered(module: str, arguments: Sequence[str], seconds: float) -> dict[str, Any] | None:
        """One of them in a process of its own, as all of them are in the bench."""
        answer = answer_of if "hoistopt" in arguments else answer_here
        return answer(module, arguments, seconds)

    monkeypatch.setattr("benchmarks.programmes.__main__.answer_of", answered)
    assert main(["--only", "smoke", "--out", str(tmp_path), "--workers", "1"]) == 0
    with (tmp_path / "runs.csv").open(encoding="utf-8", newline="") as stream:
        rows = {row["method"]: row for row in csv.DictReader(stream)}
    assert set(rows) == {"hoistopt", "fcfs", "dispatch", "pairwise"}
    finish = {method: float(row["finish"]) for method, row in rows.items()}
    assert rows["hoistopt"]["status"] == "optimal"
    assert finish["hoistopt"] <= finish["pairwise"] <= finish["fcfs"] <= finish["dispatch"]
    if rows["pairwise"]["status"] == "optimal":
        assert finish["pairwise"] == finish["hoistopt"]
    assert "| smoke" in (tmp_path / "results.md").read_text(encoding="utf-8")


def test_a_tiny_line_of_two_hoists_against_fixed_zones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmarks.programmes.__main__.answer_of", answer_here)
    assert main(["--only", "smoke-two", "--out", str(tmp_path), "--workers", "1"]) == 0
    with (tmp_path / "runs.csv").open(encoding="utf-8", newline="") as stream:
        rows = {row["method"]: row for row in csv.DictReader(stream)}
    assert set(rows) == {"hoistopt", "fcfs"} and rows["hoistopt"]["status"] == "optimal"
    assert float(rows["hoistopt"]["finish"]) <= float(rows["fcfs"]["finish"])

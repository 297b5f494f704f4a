"""A study on a real cluster: two worker processes on this computer, one of which dies."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from typing import Any

import pytest

from hoistopt import study, verify
from hoistopt.analysis.study import Point
from tests.helpers.command import PROBLEMS, Run
from tests.helpers.studying import AtOnce, line

distributed = pytest.importorskip("distributed")

# Points that take their whole limit, so that a worker dies in the midst of one.
SECONDS = 1.0
HARD = {"degree": [3, 2], "stage(Etch).max": [95, 96]}


@pytest.fixture(scope="module")
def cluster() -> Iterator[Any]:
    with (
        distributed.LocalCluster(
            n_workers=2,
            processes=True,
            threads_per_worker=1,
            host="127.0.0.1",
            dashboard_address=None,
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        client.wait_for_workers(2)
        yield client


def test_the_same_study_runs_on_a_cluster(cluster: Any) -> None:
    varied = {"degree": [1, 2], "stage(Passivate).max": [130, 150]}
    pids = set(cluster.run(os.getpid).values())
    assert len(pids) == 2 and os.getpid() not in pids
    far = study(line(), varied, executor=cluster.get_executor())
    near = study(line(), varied, executor=AtOnce())
    assert [(p.status, p.schedule) for p in far.points] == [
        (p.status, p.schedule) for p in near.points
    ]
    assert {point.status for point in far.points} == {"optimal"}


def test_nothing_is_lost_when_a_worker_dies(cluster: Any) -> None:
    before = set(cluster.run(os.getpid).values())
    killed: list[int] = []

    def kill_one(point: Point, done: int, total: int) -> None:
        if not killed and done < total - 2:
            killed.append(min(before))
            os.kill(killed[0], signal.SIGKILL)

    found = study(
        line("quillhaven_anodising"),
        HARD,
        time_limit=SECONDS,
        executor=cluster.get_executor(),
        on_point=kill_one,
    )
    assert killed
    with pytest.raises(ProcessLookupError):
        os.kill(killed[0], 0)
    assert found.complete and len(found.points) == 4
    for point in found.points:
        assert point.status in ("optimal", "feasible", "unknown")
        if point.schedule is not None:
            assert verify(point.design.problem, point.schedule) == ()
    assert any(point.schedule is not None for point in found.points)
    # The cluster itself has a new worker, and is as good as before.
    cluster.wait_for_workers(2)
    assert killed[0] not in cluster.run(os.getpid).values()


def test_the_command_runs_on_a_cluster(cluster: Any, run: Run) -> None:
    address = cluster.scheduler.address
    assert address.startswith("tcp://127.0.0.1:")
    file = str(PROBLEMS / "three_tanks_dryer.toml")
    code, out, err = run("study", file, "--vary", "degree = 1, 2", "--cluster", address)
    assert (code, err) == (0, "")
    assert out.count("proved least") == 3


def test_a_scheduler_that_is_not_there_is_named(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    import hoistopt.cli.commands.study as command

    monkeypatch.setattr(command, "CLUSTER_TIMEOUT", 0.5)
    for address in ("tcp://127.0.0.1:9", "nowhere", "tcp://[", "what://127.0.0.1:1"):
        code, out, err = run("study", "line.toml", "--vary", "degree=1", "--cluster", address)
        assert (code, out) == (2, "")
        assert err.startswith("error: --cluster") and err.count("\n") == 1

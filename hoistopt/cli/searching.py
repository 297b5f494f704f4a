"""How long to search, with how many threads, and from which seed: options of many commands."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from ..base.effort import Effort
from .arguments import option_named, seconds, whole
from .stopping import stop_on_signals

if TYPE_CHECKING:
    from ..problem import Problem
    from .progress import Meter


def add_search(parser: argparse.ArgumentParser, limited: str, limit: str | None = None) -> None:
    """Add the options.

    Parameters
    ----------
    limited : str
        What the time limit is for.
    limit : str, optional
        The time limit where none is typed, in seconds.
    """
    parser.add_argument("--time-limit", metavar="S", default=limit, help=limited)
    parser.add_argument(
        "--workers", metavar="N", help="search threads (default: one per processor core)"
    )
    add_seed(parser, "search")
    parser.set_defaults(searches=True)


def add_out_of_service(parser: argparse.ArgumentParser) -> None:
    """Add the tanks that are out of service besides those that the file says are."""
    parser.add_argument(
        "--out-of-service",
        metavar="TANK",
        action="append",
        default=[],
        help="set no load down in this tank or dryer, by name or number; may be repeated",
    )


def in_service(
    options: argparse.Namespace, problem: Problem, needed: Mapping[str, int] | None = None
) -> Problem:
    """The line without the tanks that were typed; or one clear error.

    Parameters
    ----------
    needed : mapping of str to int, optional
        As of :meth:`hoistopt.Problem.with_out_of_service`.
    """
    if not options.out_of_service:
        return problem
    with option_named("out_of_service"):
        return problem.with_out_of_service(options.out_of_service, needed)


def add_degrees(parser: argparse.ArgumentParser) -> None:
    """Add the degrees of a search for the least cycle time, and its limits."""
    parser.add_argument(
        "--degree",
        metavar="K",
        default="best",
        help="sets of loads per cycle: 2, or several to compare: 1,2,4 or 1-4, or best, the best "
        "of all that the line gives reason to try (default best)",
    )
    add_search(
        parser,
        "seconds of search for each degree given, or for the choice of the best one; the best "
        "schedule by then is kept (default: until proved, or, once there is a schedule, the choice "
        "has made no progress for 30 s); a cycle that can be run is then looked for up to 6 s "
        "more, 24 s with many moves, and as long again at other degrees",
    )


def add_seed(parser: argparse.ArgumentParser, what: str) -> None:
    """Add the seed alone; `what` is drawn from it."""
    parser.add_argument("--seed", metavar="N", default="0", help=f"seed of the {what} (default 0)")


def effort_typed(options: argparse.Namespace) -> Effort:
    """What was typed as an effort, or one clear error."""
    limit = seconds(options.time_limit)
    workers = whole(options.workers, "--workers", 1, 256)
    return Effort(limit, workers, seed_of(options))


@contextmanager
def running(options: argparse.Namespace, meter: Meter) -> Iterator[Effort]:
    """The effort typed, shown by a meter meanwhile, and stopped by Ctrl-C or SIGTERM."""
    with meter, stop_on_signals() as stop:
        yield replace(effort_typed(options), stop=stop, on_progress=meter.hear)


def seed_of(options: argparse.Namespace) -> int:
    """The seed, or one clear error."""
    return whole(options.seed, "--seed", 0, 2**31 - 1) or 0

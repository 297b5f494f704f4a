"""How long to search, with how many threads, and from which seed: options of many commands."""

from __future__ import annotations

import argparse
from typing import NamedTuple

from .arguments import seconds, whole


class Search(NamedTuple):
    """What was typed; None where nothing was."""

    time_limit: float | None
    workers: int | None
    seed: int


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
    parser.add_argument("--workers", metavar="N", help="search threads (default: one per core)")
    add_seed(parser, "search")


def add_seed(parser: argparse.ArgumentParser, what: str) -> None:
    """Add the seed alone; `what` is drawn from it."""
    parser.add_argument("--seed", metavar="N", default="0", help=f"seed of the {what} (default 0)")


def search_of(options: argparse.Namespace) -> Search:
    """What was typed, or one clear error."""
    limit = seconds(options.time_limit)
    workers = whole(options.workers, "--workers", 1, 256)
    return Search(limit, workers, seed_of(options))


def seed_of(options: argparse.Namespace) -> int:
    """The seed, or one clear error."""
    return whole(options.seed, "--seed", 0, 2**31 - 1) or 0

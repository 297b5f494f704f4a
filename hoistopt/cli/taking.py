"""Which of two schedules is meant: of a table of moves given, and of those found."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Literal

from .arguments import numbers, one_of

if TYPE_CHECKING:
    from ..schedule.files import MovesFile
    from ..schedule.json_moves import Take

Which = Literal["least", "runnable"]
TAKEN: tuple[Which, ...] = ("least", "runnable")
USUAL = "table of moves (CSV or JSON)"


def add_moves(
    parser: argparse.ArgumentParser, text: str = USUAL, *, optional: bool = False
) -> None:
    """Add the table of moves after the problem file, and the choice where it holds two."""
    parser.add_argument("moves", metavar="MOVES", nargs="?" if optional else None, help=text)
    add_take(parser)


def add_take(parser: argparse.ArgumentParser) -> None:
    """Add the choice alone."""
    parser.add_argument(
        "--take",
        metavar="WHICH",
        help="of a JSON file with two schedules: least, or runnable, the one that can be run "
        "(default: the one that `hoistopt solve` showed when it wrote the file)",
    )


def moves_typed(
    options: argparse.Namespace, name: str = "moves", usual: Take = "shown"
) -> MovesFile | None:
    """The table that was typed, or one clear error; None where none was.

    Where nobody chose, its schedule is the `usual` one.
    """
    from ..base.errors import InputError
    from ..schedule.files import MovesFile

    take = one_of(options.take, "--take", TAKEN)
    path = getattr(options, name)
    if path is None:
        if take is not None and name == "moves":
            raise InputError("a table of moves to take it from", field="--take", value=take)
        return None
    return MovesFile(path, take or usual)


def the_moves(options: argparse.Namespace) -> MovesFile:
    """The table of a command that needs one."""
    found = moves_typed(options)
    assert found is not None
    return found


def add_lost(parser: argparse.ArgumentParser) -> None:
    """Add the loads that a programme gives up."""
    parser.add_argument(
        "--lost",
        metavar="LOADS",
        help="numbers of loads in STATE, such as 2,5, that are given up: they may stand longer "
        "than their maxima; any other rule broken is still refused",
    )


def lost_typed(options: argparse.Namespace) -> tuple[int, ...]:
    """The loads that were typed, or one clear error."""
    from ..base.errors import InputError

    lost = numbers(options.lost, "--lost")
    if lost and options.state is None:
        raise InputError("--state as well, which has them", field="--lost", value=options.lost)
    return lost


def add_show(parser: argparse.ArgumentParser) -> None:
    """Add the choice between the two schedules that a search finds."""
    parser.add_argument(
        "--show",
        metavar="WHICH",
        help="whose steps to show, write and draw: least, the least cycle, or runnable, the "
        "shortest that can be run (default: runnable where FILE states a margin or a scatter)",
    )


def show_typed(options: argparse.Namespace) -> Which | None:
    """What was typed, or one clear error."""
    return one_of(options.show, "--show", TAKEN)

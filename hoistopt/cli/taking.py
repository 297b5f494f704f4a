"""Which of two schedules is meant: of a table of moves given, and of those found."""

from __future__ import annotations

import argparse
from decimal import Decimal
from typing import TYPE_CHECKING, Literal, cast

from .arguments import numbers, one_of, time_from_0

if TYPE_CHECKING:
    from ..base.numbers.duration import Duration
    from ..schedule import LineState
    from ..schedule.files import MovesFile
    from ..schedule.json_moves import Take

Which = Literal["least", "runnable"]
TAKEN: tuple[Which, ...] = ("least", "runnable")
USUAL = "table of moves (CSV, JSON or .xlsx)"


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


def add_words(parser: argparse.ArgumentParser) -> None:
    """Add the file that says what the words of a table mean."""
    parser.add_argument(
        "--mapping",
        metavar="FILE",
        help="TOML file of the words of a table in another language: [columns] what each of ours "
        "is called there, [stations] and [recipes] the names in the problem file for those there",
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
    return MovesFile(path, take or usual, getattr(options, "mapping", None))


def the_moves(options: argparse.Namespace) -> MovesFile:
    """The table of a command that needs one."""
    found = moves_typed(options)
    assert found is not None
    return found


def add_state(
    parser: argparse.ArgumentParser,
    text: str = "state of the line with which a programme begins (TOML or JSON; default: empty)",
) -> None:
    """Add the state of the line, from a file of its own or at a time of a cycle."""
    parser.add_argument("--state", metavar="STATE", help=f"{text}; with --at the moves of a cycle")
    parser.add_argument(
        "--at",
        metavar="TIME",
        help="STATE is a file of moves: the state at this time of its cycle, the line full",
    )


def at_typed(options: argparse.Namespace) -> Decimal | Duration | None:
    """The time that was typed, or one clear error; None where the state has its own file."""
    from ..base.errors import InputError

    at = time_from_0(options.at, "--at")
    if at is not None and options.state is None:
        raise InputError(
            "--state as well, the moves of the cycle under way", field="--at", value=options.at
        )
    return at


def state_typed(
    options: argparse.Namespace, at: Decimal | Duration | None
) -> LineState | str | None:
    """The file of the state that was typed, or the state itself where a cycle has it at `at`.

    Raises
    ------
    InputError
        When the file cannot be used, or the time is not one of the cycle.
    Refused
        When that cycle breaks a rule of the line.
    """
    from ..base.errors import InputError

    if at is None:
        path = cast("str | None", options.state)
        if path is not None and path.lower().endswith(".csv"):
            raise InputError(
                "a state of the line (TOML or JSON), or the moves of a cycle and --at as well",
                field="--state",
                value=path,
            )
        return path
    from ..app.plan import state_at
    from ..schedule.files import MovesFile

    return state_at(options.file, MovesFile(options.state), at)


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
        "shortest found that can be run (default: runnable where FILE states a margin or a "
        "scatter)",
    )


def show_typed(options: argparse.Namespace) -> Which | None:
    """What was typed, or one clear error."""
    return one_of(options.show, "--show", TAKEN)

"""What can be typed after `hoistopt`."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import NoReturn


class UsageError(Exception):
    """The command line itself is wrong."""


class _Parser(argparse.ArgumentParser):
    """Raises instead of printing the usage, so that every error is one line."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} (see `{self.prog} --help`)")


class _Version(argparse.Action):
    """Looks the version up only when asked for."""

    def __call__(self, *_: object, **__: object) -> NoReturn:
        from ..tables.jsonfile import versions

        found = versions()
        print(
            f"hoistopt {found['hoistopt']} (ortools {found['ortools']}, python {found['python']})"
        )
        raise SystemExit(0)


def build_parser() -> argparse.ArgumentParser:
    """The parser of the whole command; each command's `run` is loaded when called."""
    parser = _Parser(
        prog="hoistopt",
        description="Least-cycle-time schedules for single-hoist dip-process lines, with proof.",
        epilog="Exit codes: 0 done, 1 the answer is no (no schedule, or violations), "
        "2 bad input or usage, 3 stopped before any schedule.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="print versions and leave")
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", required=True, parser_class=_Parser
    )
    for add in (_solve, _verify, _draw, _template, _schema):
        add(commands)
    return parser


def _command(commands: argparse._SubParsersAction, name: str, text: str) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=text[0].lower() + text[1:].rstrip("."), description=text, allow_abbrev=False
    )
    parser.set_defaults(run=_later(name))
    return parser


def _later(name: str) -> Callable[[argparse.Namespace], int]:
    """The command's own module, imported only when the command runs."""

    def run(options: argparse.Namespace) -> int:
        code: int = import_module(f".{name}", __package__).run(options)
        return code

    return run


def _solve(commands: argparse._SubParsersAction) -> None:
    parser = _command(commands, "solve", "Find the least cycle time of a line and prove it.")
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument(
        "--degree",
        metavar="K",
        default="1",
        help="sets of loads per cycle: 2, or several to compare: 1,2,4 or 1-4 (default 1)",
    )
    parser.add_argument(
        "--time-limit",
        metavar="S",
        help="seconds of search for each degree; the best schedule by then is kept",
    )
    parser.add_argument("--workers", metavar="N", help="search threads (default: one per core)")
    parser.add_argument("--seed", metavar="N", default="0", help="seed of the search (default 0)")
    parser.add_argument("--json", metavar="OUT", help='write everything as JSON ("-": stdout)')
    parser.add_argument("--csv", metavar="OUT", help='write the steps as CSV ("-": stdout)')
    parser.add_argument(
        "--diagram", metavar="OUT", help="draw the time-way diagram (.png, .svg or .pdf)"
    )
    parser.add_argument(
        "--quiet", action="store_true", help="leave out the tables of steps and dwells"
    )


def _verify(commands: argparse._SubParsersAction) -> None:
    parser = _command(commands, "verify", "Replay a table of moves and name every rule it breaks.")
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument(
        "--cycles",
        metavar="N",
        help="cycles in which loads enter (default: until the line repeats itself)",
    )
    parser.add_argument("--json", metavar="OUT", help='write the findings as JSON ("-": stdout)')


def _draw(commands: argparse._SubParsersAction) -> None:
    parser = _command(
        commands, "draw", "Draw the time-way diagram of a table of moves that breaks no rule."
    )
    parser.add_argument("file", metavar="FILE", help="problem file (TOML)")
    parser.add_argument("moves", metavar="MOVES", help="table of moves (CSV or JSON)")
    parser.add_argument("out", metavar="OUT", help="drawing to write (.png, .svg or .pdf)")


def _template(commands: argparse._SubParsersAction) -> None:
    parser = _command(commands, "template", "Write a commented problem file to start from.")
    parser.add_argument(
        "file", metavar="FILE", nargs="?", default="-", help="file to write (default: stdout)"
    )
    parser.add_argument("--force", action="store_true", help="overwrite an existing file")


def _schema(commands: argparse._SubParsersAction) -> None:
    _command(commands, "schema", "Print the JSON Schema of problem files, for editors.")

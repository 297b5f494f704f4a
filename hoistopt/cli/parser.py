"""What can be typed after `hoistopt`."""

from __future__ import annotations

import argparse
from importlib import import_module
from typing import NoReturn

COMMANDS = (
    "solve",
    "plan",
    "verify",
    "draw",
    "why",
    "levers",
    "without",
    "conflict",
    "order",
    "slack",
    "jitter",
    "robust",
    "tradeoff",
    "study",
    "report",
    "machine.sequencer",
    "machine.sheet",
    "compare",
    "machine.fit",
    "machine.log",
    "machine.adherence",
    "template",
    "schema",
)
"""In the order of the help page. Each is a module of .commands with SUMMARY, arguments()
and run(); it imports what is heavy only when run."""


class UsageError(Exception):
    """The command line itself is wrong."""


class _Parser(argparse.ArgumentParser):
    """Raises instead of printing the usage, so that every error is one line."""

    def error(self, message: str) -> NoReturn:
        raise UsageError(f"{message} (see `{self.prog} --help`)")


class _Version(argparse.Action):
    """Looks the version up only when asked for."""

    def __call__(self, *_: object, **__: object) -> NoReturn:
        from ..show.tables.jsonfile import versions

        found = versions()
        print(
            f"hoistopt {found['hoistopt']} (ortools {found['ortools']}, python {found['python']})"
        )
        raise SystemExit(0)


def build_parser() -> argparse.ArgumentParser:
    """The parser of the whole command; each command brings its own arguments."""
    parser = _Parser(
        prog="hoistopt",
        description="Least-cycle-time schedules for dip-process hoist lines, with proof.",
        epilog="Exit codes: 0 done, 1 the answer is no (no schedule, or violations), "
        "2 bad input or usage, 3 stopped before any schedule, 4 a fault in hoistopt itself.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="print versions and leave")
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", required=True, parser_class=_Parser
    )
    for module in COMMANDS:
        _add(commands, module)
    return parser


def _add(commands: argparse._SubParsersAction, module: str) -> None:
    command = import_module(f".commands.{module}", __package__)
    name = module.rpartition(".")[2]
    text: str = command.SUMMARY
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=text[0].lower() + text[1:].rstrip("."), description=text, allow_abbrev=False
    )
    command.arguments(parser)
    parser.set_defaults(run=command.run)

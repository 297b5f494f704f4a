"""The language of IEC 61131-3's second edition, by the grammar of a general-purpose parser.

The grammar is that of blark (PyPI), an open-source parser of the language that knows
nothing of this project; what it allows beyond the standard is struck out first.
"""

from __future__ import annotations

import gc
import pickle
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Any

from lark import Lark
from lark.grammar import NonTerminal, Rule, Symbol, Terminal

from hoistopt.base.files import write_atomically
from tests.helpers.compile_once import locked

_BEYOND_THE_STANDARD = (
    # Values of an array without brackets; members of a structure without names.
    (
        """
                    | array_initial_element ( "," array_initial_element )*"""
        """         -> bare_array_initialization""",
        "",
    ),
    (
        """structure_element_initialization: constant
                                | structure_element_name ":=" """,
        """structure_element_initialization: structure_element_name ":=" """,
    ),
    # Assignments within expressions, and several in a row.
    (
        "expression: assignment_expression ( ASSIGNMENT assignment_expression )*",
        "expression: assignment_expression",
    ),
    (
        "_variable ASSIGNMENT ( _variable ASSIGNMENT )* expression",
        "_variable ASSIGNMENT expression",
    ),
    # Statements the standard does not know.
    *(
        (f"          | {name}\n", "")
        for name in (
            "no_op_statement",
            "set_statement",
            "reset_statement",
            "reference_assignment_statement",
            "chained_function_call_statement",
            "continue_statement",
            "jmp_statement",
            "labeled_statement",
        )
    ),
    # Operators of the third edition, and calls of what a call gives back.
    ("( LOGICAL_OR_ELSE or_else_expression )*", ""),
    ("( LOGICAL_AND_THEN and_then_expression )*", ""),
    (
        """                   | chained_function_call
""",
        "",
    ),
    # What the standard knows and no text of ours needs: constants of other types, addresses.
    ("constant.1: time_literal\n          | numeric_literal", "constant.1: numeric_literal"),
    ("          | string_literal\n          | bit_string_literal\n", ""),
    (
        "?numeric_literal: real_literal\n                | integer_literal",
        "?numeric_literal: integer_literal",
    ),
    ("_variable: direct_variable\n         | symbolic_variable", "_variable: symbolic_variable"),
    # Comments to the end of the line, and pragmas.
    ("%ignore SINGLE_LINE_COMMENT", ""),
    ("%ignore PRAGMA", ""),
    # 0 and 1 are numbers here: nothing of ours means a truth value by them.
    ('TRUE_VALUE: "1" | "TRUE"i', 'TRUE_VALUE: "TRUE"i'),
    ('FALSE_VALUE: "0" | "FALSE"i', 'FALSE_VALUE: "FALSE"i'),
    # One way to read a value where the grammar has several.
    (
        "( constant | expression | enumerated_value | array_initialization"
        " | structure_initialization )",
        "( expression | array_initialization )",
    ),
    (
        """_array_initial_element: expression
                      | structure_initialization
                      | enumerated_value
                      | array_initialization""",
        "_array_initial_element: structure_initialization",
    ),
)


kept_in: Path | None = None
"""Folder for texts parsed before, by any process of any run; None: each parses by itself."""


def parsed(text: str) -> Any:
    """The tree of a text, by the standard's language.

    To parse a whole sequencer takes some four seconds, so a tree is kept in a file. Its name
    stands for all that the tree depends on: the text, the grammar and the parser's version.
    """
    if kept_in is None:
        return _tree(text)
    whole = "\0".join((text, _grammar(), version("lark")))
    file = kept_in / sha256(whole.encode()).hexdigest()
    tree = _kept(file)
    if tree is None:
        with locked(file.with_suffix(".lock")):  # parsed by one process, for all that wait
            tree = _kept(file)
            if tree is None:
                tree = _tree(text)
                write_atomically(file, pickle.dumps(tree))
    return tree


def _kept(file: Path) -> Any:
    """The tree in a file, or None where there is none, or a damaged one."""
    try:
        return pickle.loads(file.read_bytes())
    except (OSError, EOFError, pickle.UnpicklingError):
        return None


def _tree(text: str) -> Any:
    """A text parsed: millions of small objects that all stay, over which collecting garbage
    takes as long as half of the parsing."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        return parser().parse(text)
    finally:
        if collecting:
            gc.enable()


@cache
def parser() -> Lark:
    """A parser of the standard's language from blark's grammar."""
    made = Lark(_grammar(), parser="earley", maybe_placeholders=True, start="iec_source")
    _one_object_each(made.parser.parser)
    return made


class _Terminal(Terminal):
    """Equal to itself only."""

    __slots__ = ()
    __eq__, __ne__, __hash__ = object.__eq__, object.__ne__, object.__hash__


class _NonTerminal(NonTerminal):
    """Equal to itself only."""

    __slots__ = ()
    __eq__, __ne__, __hash__ = object.__eq__, object.__ne__, object.__hash__


class _Rule(Rule):
    """Equal to itself only."""

    __slots__ = ()
    __eq__, __ne__, __hash__ = object.__eq__, object.__ne__, object.__hash__


class _Predictions(dict[Symbol, list[Rule]]):
    """The rules of a symbol; that to begin with is asked for by a symbol of its name."""

    def __missing__(self, symbol: Symbol) -> list[Rule]:
        return next(rules for own, rules in self.items() if own.name == symbol.name)


def _one_object_each(earley: Any) -> None:
    """Let a parser's symbols and rules be compared by what they are, not by what they say.

    Nearly half of the time of parsing went into comparing and hashing equal names again and
    again. The grammar stays as it is, and so does every tree.
    """
    symbols: dict[Symbol, Symbol] = {}
    rules: dict[Rule, Rule] = {}

    def symbol(of: Any) -> Symbol:
        if of not in symbols:
            own = _Terminal(of.name, of.filter_out) if of.is_term else _NonTerminal(of.name)
            symbols[of] = own
        return symbols[of]

    def rule(of: Rule) -> Rule:
        if of not in rules:
            expansion = [symbol(part) for part in of.expansion]
            origin: Any = symbol(of.origin)
            rules[of] = _Rule(origin, expansion, of.order, of.alias, of.options)
        return rules[of]

    earley.predictions = _Predictions(
        {symbol(origin): [rule(r) for r in found] for origin, found in earley.predictions.items()}
    )
    earley.TERMINALS = {symbol(s) for s in earley.TERMINALS}
    earley.NON_TERMINALS = {symbol(s) for s in earley.NON_TERMINALS}
    earley.callbacks = {rule(r): made for r, made in earley.callbacks.items()}


@cache
def _grammar() -> str:
    grammar = files("blark").joinpath("iec.lark").read_text(encoding="utf-8")
    for extension, instead in _BEYOND_THE_STANDARD:
        assert extension in grammar, f"the grammar has changed: {extension}"
        grammar = grammar.replace(extension, instead)
    return grammar

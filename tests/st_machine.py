"""Runs structured text: the tree of a general-purpose IEC 61131-3 parser, as Python.

The grammar is that of blark (PyPI), an open-source parser of the language that knows
nothing of this project; what it allows beyond the standard is struck out first. The tree
is translated here statement by statement, with the strictness of the standard's second
edition: no type turns into another by itself, both sides of AND and OR are worked out, an
index outside its bounds or a number outside its range is an error.
"""

from __future__ import annotations

from copy import copy, deepcopy
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from lark import Lark, Token, Tree

RANGES = {"INT": (-(2**15), 2**15 - 1), "DINT": (-(2**31), 2**31 - 1), "TIME": (0, 2**31 - 1)}
"""A controller may keep TIME without a sign, in 32 bits of ms."""
Type = Any  # "BOOL", "INT", "DINT", "TIME", "number", an ArrayType or a dict of members


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
        "expression",
    ),
    (
        """_array_initial_element: expression
                      | structure_initialization
                      | enumerated_value
                      | array_initialization""",
        "_array_initial_element: structure_initialization",
    ),
)


@cache
def parser(start: str = "iec_source") -> Lark:
    """A parser of the standard's language from blark's grammar."""
    grammar = files("blark").joinpath("iec.lark").read_text(encoding="utf-8")
    for extension, instead in _BEYOND_THE_STANDARD:
        assert extension in grammar, f"the grammar has changed: {extension}"
        grammar = grammar.replace(extension, instead)
    return Lark(grammar, parser="earley", maybe_placeholders=True, start=start)


class Fault(Exception):
    """What a strict compiler, or the running program, refuses."""


@dataclass(frozen=True)
class ArrayType:
    bounds: tuple[tuple[int, int], ...]
    of: Type


class Array:
    """An array that refuses an index outside its bounds."""

    def __init__(self, kind: ArrayType, values: list[Any] | None = None) -> None:
        self.kind = kind
        self._values: dict[tuple[int, ...], Any] = {}
        indices = [()]
        for low, high in kind.bounds:
            indices = [(*i, n) for i in indices for n in range(low, high + 1)]
        if values is not None and len(values) != len(indices):
            raise Fault("as many initial values as elements")
        for place, index in enumerate(indices):
            self._values[index] = default(kind.of) if values is None else values[place]

    def __getitem__(self, index: int | tuple[int, ...]) -> Any:
        key = index if isinstance(index, tuple) else (index,)
        if key not in self._values:
            raise Fault(f"index {key} outside {self.kind.bounds}")
        return self._values[key]

    def __setitem__(self, index: int | tuple[int, ...], value: Any) -> None:
        self[index]
        self._values[index if isinstance(index, tuple) else (index,)] = value


def default(kind: Type) -> Any:
    if isinstance(kind, ArrayType):
        return Array(kind)
    return False if kind == "BOOL" else 0


def fits(value: Any, kind: Type) -> Any:
    """A value on its way into a variable of a type."""
    if kind == "BOOL":
        if not isinstance(value, bool):
            raise Fault(f"{value} is no BOOL")
    elif kind in RANGES:
        low, high = RANGES[kind]
        if isinstance(value, bool) or not low <= value <= high:
            raise Fault(f"{value} is no {kind}")
    return value


class Machine:
    """One instance of a function block: call it, then read its outputs."""

    def __init__(self, text: str) -> None:
        tree = parser().parse(text)
        self.structures: dict[str, dict[str, Type]] = {}
        self.structure_values: dict[str, dict[str, Any]] = {}
        self.types: dict[str, Type] = {}
        self.sections: dict[str, str] = {}
        self.values: dict[str, Any] = {}
        blocks = 0
        for item in tree.children:
            if item.data == "data_type_declaration":
                self._structure(item.children[1])
            elif item.data == "function_block_type_declaration":
                blocks += 1
                self._block(item)
            else:
                raise Fault(f"unexpected {item.data}")
        if blocks != 1:
            raise Fault("one function block expected")

    def __getitem__(self, name: str) -> Any:
        return self.values[name]

    def fresh(self) -> Machine:
        """Another instance of the same block, as it is after switching on."""
        other = copy(self)
        other.values = deepcopy(self.values)
        return other

    def call(self, **inputs: Any) -> None:
        for name, value in inputs.items():
            if self.sections[name] != "input_declarations":
                raise Fault(f"{name} is no input")
            if isinstance(value, dict):
                for index, element in value.items():
                    self.values[name][index] = fits(element, self.types[name].of)
            else:
                self.values[name] = fits(value, self.types[name])
        self._run(self.values)

    # -- declarations -------------------------------------------------------------

    def _structure(self, tree: Tree) -> None:
        if tree.data != "structure_type_declaration":
            raise Fault(f"unexpected {tree.data}")
        members: dict[str, Type] = {}
        values: dict[str, Any] = {}
        for element in tree.children[3:]:
            (name,) = self._names(element.children[0])
            kind, initial = self._spec(element.children[1])
            members[name], values[name] = kind, initial
        self.structures[str(tree.children[0])] = members
        self.structure_values[str(tree.children[0])] = values

    def _block(self, tree: Tree) -> None:
        for child in tree.children:
            if not isinstance(child, Tree):
                continue
            if child.data == "statement_list":
                self._run = compiled(child, self.types, self.sections)
            elif str(child.data).endswith("declarations"):
                self._declarations(child)

    def _declarations(self, tree: Tree) -> None:
        section = str(tree.data)
        declared = [child for child in tree.children if isinstance(child, Tree)]
        if declared and declared[0].data == "variable_attributes":
            section = "constant"
            declared = declared[1:]
        for body in declared:
            for declaration in body.children if body.data == "var_body" else [body]:
                kind, initial = self._spec(declaration.children[1])
                for name in self._names(declaration.children[0]):
                    if name.lower() in {known.lower() for known in self.types}:
                        raise Fault(f"{name} is declared twice")
                    self.types[name], self.sections[name] = kind, section
                    self.values[name] = initial

    def _names(self, tree: Tree) -> list[str]:
        return [str(token) for token in tree.scan_values(_named)]

    def _spec(self, tree: Tree) -> tuple[Type, Any]:
        if tree.data == "simple_spec_init":
            kind = str(tree.children[0].children[0])
            if kind not in ("BOOL", *RANGES):
                raise Fault(f"unknown type {kind}")
            given = tree.children[1]
            return kind, default(kind) if given is None else fits(constant(given), kind)
        if tree.data != "array_spec_init":
            raise Fault(f"unexpected {tree.data}")
        *ranges, element = tree.children[1].children
        bounds = tuple((constant(r.children[0]), constant(r.children[1])) for r in ranges)
        name = str(element.children[1])
        kind = ArrayType(bounds, self.structures.get(name, name))
        given = tree.children[2]
        if given is None:
            return kind, Array(kind)
        return kind, Array(kind, [self._initial(row, name) for row in given.children])

    def _initial(self, tree: Tree, name: str) -> dict[str, Any]:
        (structure,) = tree.children
        members = self.structures[name]
        row = {}
        for element in structure.children:
            member = str(element.children[0])
            if member in row:
                raise Fault(f"{member} given twice")
            row[member] = fits(constant(element.children[1]), members[member])
        return {**self.structure_values[name], **row}


def _named(token: object) -> bool:
    return isinstance(token, Token) and token.type == "IDENTIFIER"


def constant(tree: Tree) -> Any:
    """The value of an expression made of one literal."""
    text, _ = Translator({}, {}).expression(tree)
    return eval(text, {})  # our own translation of a literal


def compiled(tree: Tree, types: dict[str, Type], sections: dict[str, str]) -> Any:
    """The statements as a function of the variables' values."""
    lines = Translator(types, sections).block(tree, 1)
    source = "def run(v):\n" + "\n".join(lines)
    scope: dict[str, Any] = {"fits": fits, "Fault": Fault}
    exec(source, scope)  # our own translation
    return scope["run"]


class Translator:
    """Statements and expressions of the parser's tree as Python, types checked."""

    def __init__(self, types: dict[str, Type], sections: dict[str, str]) -> None:
        self.types, self.sections = types, sections

    def block(self, tree: Tree | None, depth: int) -> list[str]:
        pad = "    " * depth
        lines = [f"{pad}pass"]
        for statement in tree.children if tree is not None else ():
            lines += getattr(self, f"_{statement.data}")(statement, depth)
        return lines

    def _assignment_statement(self, tree: Tree, depth: int) -> list[str]:
        target, _, value = tree.children
        place, kind = self.expression(target)
        name = str(next(target.scan_values(_named)))
        if self.sections[name] in ("constant", "input_declarations"):
            raise Fault(f"{name} is assigned to")
        text, of = self.expression(value)
        _same(kind, of)
        return [f"{'    ' * depth}{place} = fits({text}, {kind!r})"]

    def _if_statement(self, tree: Tree, depth: int) -> list[str]:
        pad = "    " * depth
        condition, first, *rest = tree.children
        lines = [f"{pad}if {self._condition(condition)}:", *self.block(first, depth + 1)]
        for clause in rest:
            if clause is None:
                continue
            if clause.data == "else_if_clause":
                lines += [f"{pad}elif {self._condition(clause.children[0])}:"]
            else:
                lines += [f"{pad}else:"]
            lines += self.block(clause.children[-1], depth + 1)
        return lines

    def _for_statement(self, tree: Tree, depth: int) -> list[str]:
        control, first, last, step, body = tree.children
        if step is not None:
            raise Fault("FOR with BY is not translated")
        place, kind = self.expression(control)
        (low, of_low), (high, of_high) = self.expression(first), self.expression(last)
        _same(kind, of_low)
        _same(kind, of_high)
        head = f"{'    ' * depth}for {place} in range({low}, ({high}) + 1):"
        return [head, *self.block(body, depth + 1)]

    def _exit_statement(self, _: Tree, depth: int) -> list[str]:
        return [f"{'    ' * depth}break"]

    def _return_statement(self, _: Tree, depth: int) -> list[str]:
        return [f"{'    ' * depth}return"]

    def _condition(self, tree: Tree) -> str:
        text, kind = self.expression(tree)
        _same("BOOL", kind)
        return text

    def expression(self, tree: Tree) -> tuple[str, Type]:
        """Python for an expression, and its type."""
        handler = getattr(self, f"_{tree.data}", None)
        return handler(tree) if handler else self._folded(tree)

    def _folded(self, tree: Tree) -> tuple[str, Type]:
        """A level of the grammar: operands with operators of one rank between them."""
        first, *rest = tree.children
        text, kind = self.expression(first)
        for operator, operand in zip(rest[::2], rest[1::2], strict=True):
            right, of = self.expression(operand)
            text, kind = self._applied(str(operator).upper(), text, kind, right, of)
        return text, kind

    def _applied(self, sign: str, a: str, of_a: Type, b: str, of_b: Type) -> tuple[str, Type]:
        kind = _same(of_a, of_b)
        if sign in ("AND", "OR"):
            _same("BOOL", kind)
            return f"(({a}) {'&' if sign == 'AND' else '|'} ({b}))", "BOOL"
        if sign in ("=", "<>"):
            return f"(({a}) {'==' if sign == '=' else '!='} ({b}))", "BOOL"
        if kind == "BOOL":
            raise Fault(f"{sign} between BOOL")
        if sign in ("<", ">", "<=", ">="):
            return f"(({a}) {sign} ({b}))", "BOOL"
        if sign in ("+", "-") or (sign == "*" and kind != "TIME"):
            return f"fits(({a}) {sign} ({b}), {kind!r})", kind
        raise Fault(f"{sign} is not translated")

    def _unary_expression(self, tree: Tree) -> tuple[str, Type]:
        operator, operand = tree.children
        text, kind = self.expression(operand)
        if operator is None:
            return text, kind
        if str(operator).upper() != "NOT":
            raise Fault(f"{operator} is not translated")
        _same("BOOL", kind)
        return f"(not ({text}))", "BOOL"

    def _parenthesized_expression(self, tree: Tree) -> tuple[str, Type]:
        return self.expression(tree.children[0])

    def _variable_name(self, tree: Tree) -> tuple[str, Type]:
        name = str(tree.children[0])
        if name not in self.types:
            raise Fault(f"{name} is not declared")
        return f"v[{name!r}]", self.types[name]

    def _multi_element_variable(self, tree: Tree) -> tuple[str, Type]:
        first, *selectors = tree.children
        text, kind = self._variable_name(first)
        for selector in selectors:
            if selector.data == "subscript_list":
                subscripts = [self.expression(s) for s in selector.children if s is not None]
                for _, of in subscripts:
                    _same("INT", of)
                if not isinstance(kind, ArrayType) or len(subscripts) != len(kind.bounds):
                    raise Fault("wrong number of subscripts")
                text += f"[{', '.join(s for s, _ in subscripts)}]"
                kind = kind.of
            else:
                member = str(selector.children[1].children[0])
                text, kind = f"{text}[{member!r}]", kind[member]
        return text, kind

    def _constant(self, tree: Tree) -> tuple[str, Type]:
        (literal,) = tree.children
        tokens = [str(t) for t in literal.scan_values(lambda t: isinstance(t, Token))]
        if literal.data in ("true", "false") and tokens[0].upper() in ("TRUE", "FALSE"):
            return str(tokens[0].upper() == "TRUE"), "BOOL"
        if literal.data == "duration":
            if literal.children[1].data != "milliseconds":
                raise Fault("durations are written in ms")
            return str(int(tokens[0])), "TIME"
        return str(int(tokens[-1])), "number"


def _same(a: Type, b: Type) -> Type:
    """The common type; a bare number is of any type of whole numbers."""
    for one, other in ((a, b), (b, a)):
        if one == "number" and other in ("INT", "DINT", "number"):
            return other
    if a != b:
        raise Fault(f"{a} and {b} do not go together")
    return a

"""Structured text as Python, statement by statement, with the strictness of the standard.

Second edition: no type turns into another by itself, both sides of AND and OR are worked
out, an index outside its bounds or a number outside its range is an error.
"""

from __future__ import annotations

import re
from copy import deepcopy
from typing import Any

from lark import Token, Tree

from tests.helpers.block.st_values import (
    RANGES,
    ArrayType,
    Fault,
    StructType,
    Type,
    outside,
    quotient,
    remainder,
    too_much,
)


def constant(tree: Tree) -> Any:
    """The value of an expression made of one literal."""
    text, _ = Translator({}, {}).expression(tree)
    return eval(text, {})  # our own translation of a literal


def compiled(tree: Tree, types: dict[str, Type], sections: dict[str, str]) -> Any:
    """The statements as a function of the variables' values."""
    lines = Translator(types, sections).block(tree, 2)
    text = "\n".join(lines)
    used = [name for name in types if f"{name}_" in text]
    # Local variables are quick; what is no array or structure is written back at the end.
    before = [f"    {name}_ = v[{name!r}]" for name in used]
    for name in used:
        for member in _arrays_in(types[name]):
            array, whole = f"{name}_[{member!r}]", (f"{name}_.update(", f"{name}_[{member!r}] = ")
            if array in text and not any(assigned in text for assigned in whole):
                before.append(f"    {name}_{member} = {array}")
                text = text.replace(array, f"{name}_{member}")
    plain = [name for name in used if isinstance(types[name], str)]
    after = [f"        v[{name!r}] = {name}_" for name in plain]
    source = "\n".join(
        ["def run(v):", *before, "    try:", text, "    finally:", "        pass", *after]
    )
    scope: dict[str, Any] = {
        "quo": quotient, "rem": remainder, "too_much": too_much, "outside": outside,
        "put": dict.__setitem__, "copied": deepcopy,
    }  # fmt: skip
    exec(source, scope)  # our own translation
    return scope["run"]


class Translator:
    """Statements and expressions of the parser's tree as Python, types checked."""

    def __init__(self, types: dict[str, Type], sections: dict[str, str]) -> None:
        self.types, self.sections = types, sections
        self.element: tuple[str, str] | None = None
        """Array and index of the variable read last, where it is an element of one."""

    def block(self, tree: Tree | None, depth: int) -> list[str]:
        lines: list[str] = []
        for statement in tree.children if tree is not None else ():
            if not isinstance(statement, Tree):
                continue
            lines += getattr(self, f"_{statement.data}")(statement, depth)
        return lines or [f"{'    ' * depth}pass"]

    def _assignment_statement(self, tree: Tree, depth: int) -> list[str]:
        target, _, value = tree.children
        self.element = None
        place, kind = self.expression(target)
        element = self.element
        name = str(next(target.scan_values(named)))
        if self.sections[name] in ("constant", "input_declarations"):
            raise Fault(f"{name} is assigned to")
        text, of = self.expression(value)
        _same(kind, of)
        if of == "number" and not RANGES[kind][0] <= int(text) <= RANGES[kind][1]:
            raise Fault(f"{text} is no {kind}")
        if isinstance(kind, StructType):
            return [f"{'    ' * depth}{place}.update(copied({text}))"]
        if element is not None:
            # The array's own check of an index is a call of Python, this one is none.
            array, index = element
            index = f"u if (u := ({index})) in {array} else outside({array}, u)"
            return [f"{'    ' * depth}put({array}, {index}, {text})"]
        return [f"{'    ' * depth}{place} = {text}"]

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

    def _case_statement(self, tree: Tree, depth: int) -> list[str]:
        selector, elements, other = tree.children
        if other is not None:
            raise Fault("CASE with ELSE is not translated")
        text, kind = self.expression(selector)
        _same("INT", kind)
        bodies: dict[int, Tree | None] = {}
        for element in elements.children:
            (label,) = element.children[0].children
            _, number = self._constant(Tree("constant", [label]))
            _same(number, kind)
            (value,) = (int(t) for t in label.scan_values(lambda t: isinstance(t, Token)))
            if value in bodies:
                raise Fault(f"CASE {value} twice")
            bodies[value] = element.children[1]
        return self._cases(text, sorted(bodies.items()), depth)

    def _cases(self, text: str, bodies: list[tuple[int, Tree | None]], depth: int) -> list[str]:
        """The body of the one value; found by halves, as a long CASE in a loop takes its time."""
        pad, middle = "    " * depth, len(bodies) // 2
        if middle > 1:
            lines = [f"{pad}if {text} < {bodies[middle][0]}:"]
            lines += self._cases(text, bodies[:middle], depth + 1)
            return [*lines, f"{pad}else:", *self._cases(text, bodies[middle:], depth + 1)]
        lines = []
        for number, (value, body) in enumerate(bodies):
            lines.append(f"{pad}{'elif' if number else 'if'} {text} == {value}:")
            lines += self.block(body, depth + 1)
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
            quick, both = ("and", "&") if sign == "AND" else ("or", "|")
            return f"({a} {both if _can_fail(b) else quick} {b})", "BOOL"
        if sign in ("=", "<>"):
            return f"({a} {'==' if sign == '=' else '!='} {b})", "BOOL"
        if kind == "BOOL":
            raise Fault(f"{sign} between BOOL")
        if sign in ("<", ">", "<=", ">="):
            return f"({a} {sign} {b})", "BOOL"
        if kind not in RANGES:
            raise Fault(f"{sign} between {kind}")
        if sign in ("+", "-", "*"):
            low, high = RANGES[kind]
            within = f"{low} <= (t := {a} {sign} {b}) <= {high}"
            return f"(t if {within} else too_much(t, {kind!r}))", kind
        if sign in ("/", "MOD"):
            whole, plain = ("quo", "//") if sign == "/" else ("rem", "%")
            if ":=" in b:
                return f"{whole}({a}, {b})", kind
            # Of numbers that are not negative both languages say the same.
            positive = "0" if b.isdecimal() and int(b) else f"0 < {b}"
            return f"(t {plain} {b} if (t := {a}) >= {positive} else {whole}(t, {b}))", kind
        raise Fault(f"{sign} is not translated")

    def _unary_expression(self, tree: Tree) -> tuple[str, Type]:
        operator, operand = tree.children
        text, kind = self.expression(operand)
        if operator is None:
            return text, kind
        if str(operator).upper() != "NOT":
            raise Fault(f"{operator} is not translated")
        _same("BOOL", kind)
        return f"(not {text})", "BOOL"

    def _function_call(self, tree: Tree) -> tuple[str, Type]:
        name, argument, *rest = tree.children
        if str(next(name.scan_values(named))) != "INT_TO_DINT" or any(rest):
            raise Fault("the one function known is INT_TO_DINT")
        text, kind = self.expression(argument.children[-1])
        _same("INT", kind)
        return text, "DINT"

    def _parenthesized_expression(self, tree: Tree) -> tuple[str, Type]:
        return self.expression(tree.children[0])

    def _variable_name(self, tree: Tree) -> tuple[str, Type]:
        name = str(tree.children[0])
        if name not in self.types:
            raise Fault(f"{name} is not declared")
        return f"{name}_", self.types[name]

    def _multi_element_variable(self, tree: Tree) -> tuple[str, Type]:
        first, *selectors = tree.children
        text, kind = self._variable_name(first)
        element = None
        for selector in selectors:
            if selector.data == "subscript_list":
                subscripts = [self.expression(s) for s in selector.children if s is not None]
                for _, of in subscripts:
                    _same("INT", of)
                if not isinstance(kind, ArrayType) or len(subscripts) != len(kind.bounds):
                    raise Fault("wrong number of subscripts")
                element = text, ", ".join(s for s, _ in subscripts)
                text, kind = f"{text}[{element[1]}]", kind.of
            else:
                member = str(selector.children[1].children[0])
                if not isinstance(kind, StructType):
                    raise Fault(f"{member} of what is no structure")
                text, kind, element = f"{text}[{member!r}]", kind.member(member), None
        self.element = element
        return text, kind

    def _constant(self, tree: Tree) -> tuple[str, Type]:
        (literal,) = tree.children
        tokens = [str(t) for t in literal.scan_values(lambda t: isinstance(t, Token))]
        if literal.data in ("true", "false") and tokens[0].upper() in ("TRUE", "FALSE"):
            return str(tokens[0].upper() == "TRUE"), "BOOL"
        if literal.data != "integer_literal":
            raise Fault(f"{literal.data} is not translated")
        return str(int(tokens[-1])), "number"


def named(token: object) -> bool:
    return isinstance(token, Token) and token.type == "IDENTIFIER"


def _arrays_in(kind: Type) -> list[str]:
    """Members of a structure that are arrays; of any other type none."""
    members = kind.members if isinstance(kind, StructType) else ()
    return [name for name, of in members if isinstance(of, ArrayType)]


def _can_fail(text: str) -> bool:
    """Whether an expression, as Python, has an element of an array or an operation in it.

    Of AND and OR both sides are worked out, which shows only where the second is at fault.
    """
    return not set("[+-*/%:").isdisjoint(re.sub(r"\['\w+'\]", "", text))


def _same(a: Type, b: Type) -> Type:
    """The common type; a bare number is of any type of whole numbers."""
    for one, other in ((a, b), (b, a)):
        if one == "number" and other in ("INT", "DINT", "number"):
            return other
    if a != b:
        raise Fault(f"{a} and {b} do not go together")
    return a

"""Structured text as Python, statement by statement, with the strictness of the standard.

Second edition: no type turns into another by itself, both sides of AND and OR are worked
out, an index outside its bounds or a number outside its range is an error.
"""

from __future__ import annotations

from typing import Any

from lark import Token, Tree

from tests.helpers.st_values import ArrayType, Fault, Type, fits


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
        name = str(next(target.scan_values(named)))
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


def named(token: object) -> bool:
    return isinstance(token, Token) and token.type == "IDENTIFIER"


def _same(a: Type, b: Type) -> Type:
    """The common type; a bare number is of any type of whole numbers."""
    for one, other in ((a, b), (b, a)):
        if one == "number" and other in ("INT", "DINT", "number"):
            return other
    if a != b:
        raise Fault(f"{a} and {b} do not go together")
    return a

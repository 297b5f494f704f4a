"""Runs a function block of structured text: parsed, checked for types, and called."""

from __future__ import annotations

from copy import copy, deepcopy
from typing import Any

from lark import Tree

from tests.helpers.st_grammar import parser
from tests.helpers.st_translate import compiled, constant, named
from tests.helpers.st_values import RANGES, Array, ArrayType, Fault, Type, default, fits


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
        return [str(token) for token in tree.scan_values(named)]

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

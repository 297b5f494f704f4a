"""Runs function blocks of structured text: parsed, checked for types, and called."""

from __future__ import annotations

from copy import copy, deepcopy
from typing import Any

from lark import Tree

from tests.helpers.block.st_grammar import parsed
from tests.helpers.block.st_translate import compiled, constant, named
from tests.helpers.block.st_values import (
    RANGES,
    Array,
    ArrayType,
    Fault,
    StructType,
    Type,
    all_fit,
    default,
    fits,
)


class Program:
    """The types and function blocks of a text; parts of it may be parsed one by one."""

    def __init__(self, *parts: str) -> None:
        self.structures: dict[str, StructType] = {}
        self.structure_values: dict[str, dict[str, Any]] = {}
        self.blocks: dict[str, Machine] = {}
        for part in parts:
            tree: Any = parsed(part)
            for item in tree.children:
                if item.data == "data_type_declaration":
                    self._structure(item.children[1])
                elif item.data == "function_block_type_declaration":
                    self.blocks[str(item.children[2])] = Machine(self, item)
                else:
                    raise Fault(f"unexpected {item.data}")

    def _structure(self, tree: Tree) -> None:
        if tree.data != "structure_type_declaration":
            raise Fault(f"unexpected {tree.data}")
        members: dict[str, Type] = {}
        values: dict[str, Any] = {}
        for element in tree.children[3:]:
            (name,) = names(element.children[0])
            members[name], values[name] = self.spec(element.children[1])
        name = str(tree.children[0])
        self.structures[name] = StructType(name, tuple(members.items()))
        self.structure_values[name] = values

    def spec(self, tree: Tree) -> tuple[Type, Any]:
        """Type and initial value of a declaration."""
        if tree.data == "simple_spec_init":
            kind = self._type(str(tree.children[0].children[0]))
            given = tree.children[1]
            return kind, self._default(kind) if given is None else fits(constant(given), kind)
        if tree.data == "initialized_structure":
            kind = self._type(str(tree.children[0]))
            return kind, self._struct(tree.children[1], kind)
        if tree.data != "array_spec_init":
            raise Fault(f"unexpected {tree.data}")
        *ranges, element = tree.children[1].children
        bounds = tuple((constant(r.children[0]), constant(r.children[1])) for r in ranges)
        kind = ArrayType(bounds, self._type(str(element.children[1])))
        if tree.children[2] is not None:
            raise Fault("initial values of arrays stand in structures only")
        return kind, Array(kind)

    def _type(self, name: str) -> Type:
        if name in ("BOOL", *RANGES):
            return name
        if name not in self.structures:
            raise Fault(f"unknown type {name}")
        return self.structures[name]

    def _default(self, kind: Type) -> Any:
        if isinstance(kind, StructType):
            return deepcopy(self.structure_values[kind.name])
        return default(kind)

    def _struct(self, tree: Tree, kind: StructType) -> dict[str, Any]:
        found = self._default(kind)
        given = set()
        for element in tree.children:
            name, value = str(element.children[0]), element.children[1]
            if name in given:
                raise Fault(f"{name} given twice")
            given.add(name)
            of = kind.member(name)
            if isinstance(of, ArrayType):
                found[name] = self._array(value, of)
            else:
                found[name] = fits(constant(value), of)
        return found

    def _array(self, tree: Tree, kind: ArrayType) -> Array:
        """Elements that are not given have the default of their type, by the standard."""
        found = Array(kind)
        ((low, _),) = kind.bounds
        for number, element in enumerate(tree.children, start=low):
            found[number] = self._struct(element.children[0], kind.of)
        return found


class Machine:
    """One instance of a function block: call it, then read its outputs."""

    def __init__(self, program: Program, tree: Tree) -> None:
        self.program = program
        self.types: dict[str, Type] = {}
        self.sections: dict[str, str] = {}
        self.values: dict[str, Any] = {}
        for child in tree.children:
            if not isinstance(child, Tree):
                continue
            if child.data == "statement_list":
                self._run = compiled(child, self.types, self.sections)
            elif str(child.data).endswith("declarations"):
                self._declarations(child)
        self._flags = {
            name
            for name, section in self.sections.items()
            if section == "input_declarations" and self.types[name] == "BOOL"
        }

    def __getitem__(self, name: str) -> Any:
        return self.values[name]

    def fresh(self) -> Machine:
        """Another instance of the same block, as it is after switching on."""
        other = copy(self)
        other.values = deepcopy(self.values)
        return other

    def call(self, **given: Any) -> None:
        for name, value in given.items():
            if value.__class__ is bool and name in self._flags:  # most inputs, and quickly done
                self.values[name] = value
                continue
            kind = self.types[name]
            if self.sections[name] == "input_output_declarations":
                self.values[name] = value  # the variable itself, not a copy
            elif self.sections[name] != "input_declarations":
                raise Fault(f"{name} is no input")
            elif isinstance(kind, ArrayType):
                array = self.values[name]
                if value.keys() <= array.keys() and all_fit(value.values(), kind.of):
                    array.update(value)
                    continue
                for index, element in value.items():
                    array[index] = fits(element, kind.of)
            else:
                self.values[name] = fits(value, kind)
        self._run(self.values)

    def _declarations(self, tree: Tree) -> None:
        section = str(tree.data)
        for body in tree.children:
            if not isinstance(body, Tree):
                continue
            if body.data == "variable_attributes":
                section = "constant"
                continue
            for declaration in body.children if body.data == "var_body" else [body]:
                kind, initial = self.program.spec(declaration.children[1])
                for name in names(declaration.children[0]):
                    if name.lower() in {known.lower() for known in self.types}:
                        raise Fault(f"{name} is declared twice")
                    self.types[name], self.sections[name] = kind, section
                    self.values[name] = initial


def names(tree: Tree) -> list[str]:
    return [str(token) for token in tree.scan_values(named)]

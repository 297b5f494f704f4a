"""What every part of a problem has in common: how it is built in code, checked and shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from inspect import Parameter, Signature
from numbers import Integral
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, ValidationError

from ..base.numbers.exact import IN_CODE
from .wording import explain_arguments


class Part(BaseModel):
    """Base of all parts of a problem: unknown keys are refused, values do not change.

    A part is built from plain data as read from a file, or in code with its name first
    and the rest by keyword. Both are checked by the same rules.

    Raises
    ------
    InputError
        When an argument is missing, unknown or not what the part can take.
    """

    FIRST: ClassVar[tuple[str, ...]] = ()
    """Fields that code may give without naming them, in order."""
    CALLED: ClassVar[Mapping[str, str]] = {}
    """Arguments by which code gives fields of another name."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    def __init__(self, /, *first: Any, **named: Any) -> None:
        data = {key: _counted(value) for key, value in {**self._named(first, named)}.items()}
        try:
            self.__pydantic_validator__.validate_python(
                data, self_instance=self, context=IN_CODE, by_alias=False, by_name=True
            )
        except ValidationError as error:
            raise explain_arguments(error, type(self), data) from None

    # Data from a file are checked as without this __init__, by their names in the file.
    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]

    @classmethod
    def __pydantic_init_subclass__(cls, **_: Any) -> None:
        called = {field: name for name, field in cls.CALLED.items()}
        cls.__signature__ = Signature(
            [
                Parameter(
                    called.get(name, name),
                    Parameter.POSITIONAL_OR_KEYWORD
                    if name in cls.FIRST
                    else Parameter.KEYWORD_ONLY,
                    default=Parameter.empty if cls._needed(name) else cls._default(name),
                )
                for name in sorted(cls.model_fields, key=cls._place)
            ]
        )

    @classmethod
    def _place(cls, name: str) -> int:
        return cls.FIRST.index(name) if name in cls.FIRST else len(cls.FIRST)

    @classmethod
    def _needed(cls, name: str) -> bool:
        return cls.model_fields[name].is_required()

    @classmethod
    def _default(cls, name: str) -> Any:
        return cls.model_fields[name].get_default(call_default_factory=True)

    @classmethod
    def _named(cls, first: tuple[Any, ...], named: dict[str, Any]) -> dict[str, Any]:
        """All arguments under their names; a slip in calling is Python's own TypeError."""
        if len(first) > len(cls.FIRST):
            takes = ", ".join(cls.FIRST) or "none"
            raise TypeError(f"{cls.__name__}() takes these arguments without a name: {takes}")
        given = dict(zip(cls.FIRST, first, strict=False))
        if twice := given.keys() & named.keys():
            raise TypeError(f"{cls.__name__}() got several values for {min(twice)!r}")
        return {cls.CALLED.get(name, name): value for name, value in (given | named).items()}

    def __repr_args__(self) -> Iterable[tuple[str | None, Any]]:
        """What differs from the defaults, as one would write it in code."""
        for name in sorted(type(self).model_fields, key=self._place):
            value = getattr(self, name)
            if name in self.FIRST and self._needed(name):
                yield None, _written(value)
            elif self._needed(name) or value != self._default(name):
                yield name, _written(value)

    def __str__(self) -> str:
        return repr(self)


class _AsIs(str):
    """Text that shows itself without quotes."""

    __slots__ = ()
    __repr__ = str.__str__


def _written(value: object) -> object:
    """A value as one writes it in code: a decimal by its digits, several things as a list."""
    if isinstance(value, Decimal):
        return _AsIs(f"{value:f}")
    return list(value) if isinstance(value, tuple) else value


def _counted(value: Any) -> Any:
    """A whole number of another kind, such as numpy's, as Python's own."""
    other = isinstance(value, Integral) and not isinstance(value, int)
    return int(value) if other else value

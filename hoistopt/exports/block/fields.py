"""How a block reads the members of its table one by one: values, ranges and check sum.

For the blocks of one and of several hoists: each has a case for every member, which sets `Value`
and, where the member is used as an index, the range `Least` to `Most`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..checksum import FACTOR, MODULUS, SPLIT
from ..members import Member

_SUMMED = """\
IF Value < Least OR Value > Most THEN
    TableFault := 2;
ELSE
    Sum := (Sum * @factor + Value / @split) MOD @modulus;
    Sum := (Sum * @factor + Value MOD @split) MOD @modulus;
END_IF;"""


def between(low: str, high: str) -> list[str]:
    """Statements that set the range of a member."""
    return [f"Least := {low};", f"Most := {high};"]


def head_cases(names: Sequence[str], long: Sequence[str]) -> list[str]:
    """A case for each member of the table besides its rows; those of `long` are DINT."""
    return [
        f"{number}: Value := {_as_dint(f'Table.{name}', 'DINT' if name in long else 'INT')};"
        for number, name in enumerate(names, start=1)
    ]


def row_cases(
    row: str, members: Sequence[Member], ranges: Mapping[str, Sequence[str]]
) -> list[str]:
    """A case for each member of a row.

    Parameters
    ----------
    row : str
        The row in the block's text.
    members : sequence of Member
        In the order of the check sum.
    ranges : mapping
        Statements that set the range, by member; of all others it is 0 to LongestTime.
    """
    found = []
    for number, member in enumerate(members, start=1):
        place = f"{row}.{member.name}"
        if member.type == "BOOL":
            found += [f"{number}: IF {place} THEN", "    Value := 1;", "END_IF;"]
        else:
            found.append(f"{number}: Value := {_as_dint(place, member.type)};")
        found += ranges.get(member.name, ())
    return found


def filled_in(text: str, parts: Mapping[str, Sequence[str]], counts: Mapping[str, int]) -> str:
    """The statements with lines in place of ``@name``, at its indent, and with numbers.

    ``@summed`` stands for the judgement of one value and its part in the check sum.

    Parameters
    ----------
    text : str
    parts : mapping
        Lines by name, each of which stands alone in its line.
    counts : mapping
        Numbers by name.
    """
    whole = {**parts, "summed": _SUMMED.splitlines()}
    lines = []
    for line in text.splitlines():
        name = line.strip().removeprefix("@")
        indent = line[: len(line) - len(line.lstrip())]
        replaced = line.strip().startswith("@") and name in whole
        lines += [f"{indent}{part}" for part in whole[name]] if replaced else [line]
    text = "\n".join(lines) + "\n"
    for name, value in {
        **counts, "factor": FACTOR, "split": SPLIT, "modulus": MODULUS,
    }.items():  # fmt: skip
        text = text.replace(f"@{name}", str(value))
    return text


def _as_dint(place: str, kind: str) -> str:
    return f"INT_TO_DINT({place})" if kind == "INT" else place

"""Text of files, and names of things any of which will do in few words that keep them all."""

from __future__ import annotations

from pathlib import Path

import pytest

from hoistopt import InputError, Stage
from hoistopt.base.text import any_of, first_of, nearest_or_known, read_text


@pytest.mark.quick
@pytest.mark.parametrize(
    ("names", "words"),
    [
        (["Dip"], "Dip"),
        (["Plate 1", "Plate 2"], "Plate 1 or 2"),
        (["Nickel 3", "Nickel 1", "Nickel 2"], "Nickel 1 to 3"),
        (["Nickel 1", "Nickel 3"], "Nickel 1 or Nickel 3"),
        (["Dip", "Dip (2)", "Spray"], "Dip, Dip (2) or Spray"),
        (["T01", "T02"], "T01 or T02"),
        (["A", "B", "C", "D", "E"], "A or 4 others"),
        ([f"T{number}" for number in range(10, 40)], "T10 to 39"),
    ],
)
def test_names_together(names: list[str], words: str) -> None:
    assert any_of(names) == words


@pytest.mark.quick
def test_an_unknown_name_gets_the_nearest_or_the_first_of_those_known() -> None:
    tanks = [f"Zn{number}" for number in range(1, 6)]
    assert nearest_or_known("zn5", tanks) == nearest_or_known("ZN5", tanks)
    assert nearest_or_known("zn5", tanks) == 'Did you mean "Zn5"?'
    assert nearest_or_known("LOAD", ["Load", *tanks]) == 'Did you mean "Load"?'
    assert nearest_or_known("Bath", tanks, "stations") == f"Known stations: {', '.join(tanks)}."
    many = [f"Tank {number}" for number in range(1, 22)]
    assert nearest_or_known("Quay", many).endswith("Tank 12 and 9 more.")
    assert first_of(many[:12]).endswith("Tank 11, Tank 12")


@pytest.mark.quick
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252"])
def test_a_table_is_read_in_the_encodings_that_spreadsheets_save(
    tmp_path: Path, encoding: str
) -> None:
    path = tmp_path / "table.csv"
    path.write_bytes("von;nach\r\nSpüle;Beize\r\n".encode(encoding))
    assert read_text(path) == "von;nach\nSpüle;Beize\n"
    # TOML and JSON are UTF-8 by their standards.
    other = path.rename(tmp_path / "line.toml")
    if not encoding.startswith("utf-8"):
        with pytest.raises(InputError, match="UTF-8"):
            read_text(other)


@pytest.mark.quick
def test_a_file_that_is_no_utf_8_is_named_with_line_and_byte(tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    for content, place in (
        (b'name = "\xff"\n', "line 1, byte 9 = 0xFF"),
        ('name = "Zink"\r\n# Sp\xfcle\n'.encode("cp1252"), "line 2, byte 5 = 0xFC"),
        ("name = 1".encode("utf-16"), "line 1, byte 1 = 0xFF"),
    ):
        path.write_bytes(content)
        with pytest.raises(InputError) as error:
            read_text(path)
        said = str(error.value)
        assert said.startswith(f"{path}: {place}: expected a text file in UTF-8. Save it ")


def test_a_stage_is_not_called_after_one_of_its_tanks() -> None:
    assert Stage(["Plate 1", "Plate 2"], min=1).label == "Plate 1 or 2"
    assert Stage(["Plate 1", "Plate 2"], min=1, name="Plate").label == "Plate"

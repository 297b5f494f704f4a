"""Several files are written all or none."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from hoistopt.base.errors import InputError
from hoistopt.base.files import written_together


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_all_are_written(tmp_path: Path) -> None:
    (tmp_path / "b").write_text("old")
    (tmp_path / "b").chmod(0o640)
    with written_together([(tmp_path / "a", "1"), (tmp_path / "b", b"2")]):
        pass
    assert [(tmp_path / name).read_text() for name in "ab"] == ["1", "2"]
    assert (tmp_path / "b").stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["a", "b"]


def test_none_is_written_where_the_last_has_no_place(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    files = [(tmp_path / "a", "1"), (tmp_path / "b", "2"), (tmp_path / "no" / "c", "3")]
    with pytest.raises(InputError, match="no does not"), written_together(files):
        pass
    assert names(tmp_path) == ["a"]
    assert (tmp_path / "a").read_text() == "old"


@pytest.mark.parametrize("links", [True, False])
@pytest.mark.parametrize("fails_at", [1, 2, 3])
def test_what_stood_there_comes_back_where_a_name_is_not_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int, links: bool
) -> None:
    for name in "ac":
        (tmp_path / name).write_text(f"old {name}")
    real, taken = os.replace, []

    def replace(source: Path, target: Path) -> None:
        taken.append(target)
        if len(taken) == fails_at:
            raise OSError(5, "Input/output error")
        real(source, target)

    def refuse(*_: object) -> None:
        raise OSError(1, "Operation not permitted")

    if not links:
        monkeypatch.setattr(os, "link", refuse)
    monkeypatch.setattr(os, "replace", replace)
    files = [(tmp_path / name, f"new {name}") for name in "abc"]
    with pytest.raises(InputError, match="Input/output error"), written_together(files):
        pass
    assert names(tmp_path) == ["a", "c"]
    assert [(tmp_path / name).read_text() for name in "ac"] == ["old a", "old c"]


def test_what_stood_there_comes_back_where_the_block_fails(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    files = [(tmp_path / "a", "1"), (tmp_path / "b", "2")]
    with pytest.raises(KeyboardInterrupt), written_together(files):
        raise KeyboardInterrupt
    assert names(tmp_path) == ["a"]
    assert (tmp_path / "a").read_text() == "old"

"""Files are written whole or not at all."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from hoistopt.base import files
from hoistopt.base.errors import InputError
from hoistopt.base.files import check_target, write_atomically

pytestmark = pytest.mark.quick


def test_a_file_is_written_whole_and_leaves_nothing_beside_it(tmp_path: Path):
    target = tmp_path / "out.txt"
    write_atomically(target, "ä\r\n")
    assert target.read_bytes() == b"\xc3\xa4\r\n"
    write_atomically(target, b"\x00\x01")
    assert target.read_bytes() == b"\x00\x01"
    assert os.listdir(tmp_path) == ["out.txt"]


@pytest.mark.parametrize("refused", [FileNotFoundError(2, "No such file"), PermissionError(13, "")])
def test_a_folder_that_takes_no_file_is_found_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused: OSError
) -> None:
    """As /proc does, which an administrator may write to as far as it tells."""

    def refuse(*_: object) -> int:
        raise refused

    monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(InputError) as error:
        check_target(tmp_path / "out.json")
    assert str(error.value) == (
        f"{tmp_path / 'out.json'}: expected a file in a folder that can be written to; {tmp_path} "
        "cannot. Choose another folder."
    )
    monkeypatch.undo()
    assert check_target(tmp_path / "out.json") and os.listdir(tmp_path) == []


def test_a_failed_write_keeps_the_old_file_and_leaves_nothing(tmp_path: Path, monkeypatch):
    target = tmp_path / "out.txt"
    target.write_text("old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="No space left"):
        write_atomically(target, "new")
    assert target.read_text() == "old"
    assert os.listdir(tmp_path) == ["out.txt"]


def test_an_interrupted_write_leaves_nothing(tmp_path: Path, monkeypatch):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(tmp_path / "out.txt", "new")
    assert os.listdir(tmp_path) == []


KILLED = """
import os, sys
from hoistopt.base import files
os.replace = lambda *_: os._exit(9)
files.write_atomically(sys.argv[1], "half")
"""


def test_parts_that_a_killed_process_left_go_with_the_next_write(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    target, other = tmp_path / "out.txt", tmp_path / "other.txt"
    target.write_text("old")
    for path in (target, other):
        assert subprocess.run([sys.executable, "-c", KILLED, str(path)]).returncode == 9
    left = set(os.listdir(tmp_path)) - {"out.txt"}
    assert len(left) == 3 and target.read_text() == "old"  # of out.txt the one before, too
    write_atomically(target, "new")  # may be another's, at work in this moment
    assert set(os.listdir(tmp_path)) == {"out.txt", *left}
    monkeypatch.setattr(files, "ABANDONED", -1.0)
    write_atomically(target, "newer")
    assert target.read_text() == "newer"
    kept = set(os.listdir(tmp_path)) - {"out.txt"}
    assert len(kept) == 1 and kept < left  # that of the other file
    write_atomically(other, "new")
    assert sorted(os.listdir(tmp_path)) == ["other.txt", "out.txt"]


def test_permissions_follow_the_umask_and_then_the_old_file(tmp_path: Path):
    target = tmp_path / "out.txt"
    before = os.umask(0o027)
    try:
        write_atomically(target, "x")
    finally:
        os.umask(before)
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    target.chmod(0o600)
    write_atomically(target, "y")
    assert stat.S_IMODE(target.stat().st_mode) == 0o600


def test_a_link_stays_a_link_and_a_device_is_written_directly(tmp_path: Path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    write_atomically("/dev/null", "gone")
    assert not os.path.isfile("/dev/null")


@pytest.mark.parametrize("name", ["", "absent/out.txt", "x" * 300, "nul\0.txt", "file/out.txt"])
def test_targets_that_cannot_be_written_are_refused(tmp_path: Path, name: str):
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError):
        write_atomically(f"{tmp_path}/{name}", "x")
    assert os.listdir(tmp_path) == ["file"]


@pytest.mark.parametrize("closed", ["folder", "file"])
def test_folders_and_files_without_permission_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, closed: str
):
    file = tmp_path / "fixed.txt"
    file.write_text("kept")
    # The superuser may write anywhere, so what the system would say is put in its mouth.
    shut = tmp_path if closed == "folder" else file
    monkeypatch.setattr(os, "access", lambda path, _: Path(path) != shut)
    with pytest.raises(InputError, match=closed):
        check_target(file)
    with pytest.raises(InputError, match=closed):
        write_atomically(file, "x")
    assert file.read_text() == "kept"

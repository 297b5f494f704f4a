"""The time-way diagram as a file: formats, sameness, refusals, and no side effects."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import matplotlib
import numpy as np
import pytest
from matplotlib import image

from hoistopt.base.errors import InputError
from hoistopt.show.drawing import saving
from hoistopt.show.drawing.saving import picture_format
from hoistopt.show.timeway import diagram, save_timeway
from tests.helpers.shown.drawn_line import (
    long_line,
    one_at_a_time,
    twin_line,
    twin_replay,
    twin_schedule,
)

ODD = {"In": "$\\frac{", "Wash": "<x>&\"'", "Twin": "脱脂槽", "Parts": "a_b^c $", "line": "]]> & $"}


def saved(path: Path, **names: str) -> bytes:
    problem = twin_line(**names)
    save_timeway(problem, twin_schedule(problem), twin_replay(problem), path)
    return path.read_bytes()


@cache
def plain(kind: str) -> bytes:
    """The picture of the plain line, drawn once for all tests that look at it."""
    with TemporaryDirectory() as folder:
        return saved(Path(folder) / f"plain.{kind}")


@pytest.mark.parametrize(
    ("name", "begins"),
    [
        ("a.png", b"\x89PNG\r\n\x1a\n"),
        ("a.PNG", b"\x89PNG"),
        ("a.pdf", b"%PDF-"),
        ("a.svg", b"<?xml"),
    ],
)
def test_the_extension_picks_the_format(tmp_path: Path, name: str, begins: bytes) -> None:
    assert saved(tmp_path / name).startswith(begins)
    assert os.listdir(tmp_path) == [name]


def test_the_png_shows_a_drawing() -> None:
    pixels = image.imread(io.BytesIO(plain("png")))
    height, width = pixels.shape[:2]
    assert width > height > 500
    assert np.isclose(pixels[:, :, :3], 1).all(axis=2).mean() > 0.5
    teal = np.array([0x6F, 0xB3, 0xC4]) / 255
    assert np.isclose(pixels[:, :, :3], teal, atol=0.01).all(axis=2).mean() > 0.03


@pytest.mark.usefixtures("lean_fonts")
def test_odd_names_make_sound_files(tmp_path: Path) -> None:
    title = ET.fromstring(saved(tmp_path / "odd.svg", **ODD)).find(".//{*}title")
    assert title is not None
    assert title.text == ODD["line"]
    for name in ("odd.png", "odd.pdf"):
        assert saved(tmp_path / name, **ODD)


@pytest.mark.filterwarnings("error")
def test_names_no_font_has_warn_nobody(tmp_path: Path) -> None:
    saved(tmp_path / "odd.png", **ODD)


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_the_same_schedule_gives_the_same_file(tmp_path: Path, kind: str) -> None:
    assert saved(tmp_path / f"second.{kind}") == plain(kind)
    assert saved(tmp_path / f"other.{kind}", Wash="Wish") != plain(kind)


@pytest.mark.parametrize(
    ("kind", "dated"), [("png", b"tEXt"), ("svg", b"<dc:date"), ("pdf", b"/CreationDate")]
)
def test_no_date_is_in_the_file(kind: str, dated: bytes) -> None:
    assert dated not in plain(kind)


@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_the_users_own_settings_change_nothing_and_stay(tmp_path: Path, kind: str) -> None:
    undressed = plain(kind)
    theirs = {
        "font.size": 20.0,
        "font.family": ["serif"],
        "lines.linewidth": 5.0,
        "axes.facecolor": "black",
        "hatch.linewidth": 4.0,
        "svg.hashsalt": "theirs",
        "savefig.bbox": "tight",
        "text.parse_math": True,
    }
    with matplotlib.rc_context(theirs):
        assert saved(tmp_path / f"dressed.{kind}") == undressed
        assert {key: matplotlib.rcParams[key] for key in theirs} == theirs


@pytest.mark.parametrize("name", ["a", "a.jpg", "a.png.bak", ".png", "a.svgz", "png", "a."])
def test_other_extensions_are_refused_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.setattr(diagram, "draw_timeway", lambda *_, **__: pytest.fail("worked"))
    with pytest.raises(InputError, match=r"\.png, \.svg or \.pdf"):
        saved(tmp_path / name)
    with pytest.raises(InputError, match=r"\.png, \.svg or \.pdf"):
        picture_format(tmp_path / name)
    assert os.listdir(tmp_path) == []


def test_a_missing_folder_is_told_before_any_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(diagram, "draw_timeway", lambda *_, **__: pytest.fail("worked"))
    with pytest.raises(InputError, match="folder"):
        saved(tmp_path / "absent" / "a.png")


def test_a_failed_save_leaves_the_old_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.png"
    before = saved(path)
    monkeypatch.setattr(saving, "picture", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        saved(path, Wash="Wish")
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["a.png"]


def test_a_wall_of_stations_stays_a_picture_of_handy_size(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = long_line(30)
    schedule, replay = one_at_a_time(problem)
    monkeypatch.setattr(saving, "MOST_PIXELS", 1e6)
    save_timeway(problem, schedule, replay, tmp_path / "wall.png")
    pixels = image.imread(tmp_path / "wall.png")
    assert 0.97e6 < pixels.shape[0] * pixels.shape[1] <= 1e6


def run(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=Path.cwd()
    )
    return done.stdout.strip()


def test_importing_the_package_does_not_import_matplotlib() -> None:
    assert run("import hoistopt.show.timeway, sys; print('matplotlib' in sys.modules)") == "False"


def test_drawing_never_touches_pyplot(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from tests.show.drawing.test_drawing_files import *\n"
        f"saved(Path({str(tmp_path)!r}) / 'a.png')\n"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    assert run(code) == "False"

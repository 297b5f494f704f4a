"""Wrong input of every kind: one clear line, exit code 2, nothing written, no traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem
from hoistopt.cli import main
from hoistopt.problem import Problem

GOOD = """\
name = "Line"
unit = "s"
[hoist]
lift = 5
lower = 5
payload = 100
loaded = { speed = 0.5 }
empty = { speed = 0.5 }
[carriers]
count = 4
[[station]]
name = "In"
kind = "load"
position = 0
[[station]]
name = "Bath"
position = 2
[[station]]
name = "Hot"
kind = "dryer"
position = 4
[[station]]
name = "Out"
kind = "unload"
position = 6
[[recipe]]
name = "A"
[[recipe.stage]]
station = "Bath"
min = 30
max = 60
drip = 2
[[recipe.stage]]
station = "Hot"
min = 40
"""

MOVES = "start,from,to,cycle_time\n0,In,Bath,100\n50,Bath,Hot,100\n80,Hot,Out,100\n"


def edit(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


# Each: what is wrong, the file's text, what the one line must name.
PROBLEMS = {
    "minimum above maximum": (edit("max = 60", "max = 29.9"), "stage 1", "max = 29.9", "30"),
    "unknown station in a stage": (edit('"Bath"\nmin', '"Bad"\nmin'), "stage 1", "Bad", "Bath"),
    "unknown unreachable station": (
        edit("payload = 100", 'unreachable = ["Nowhere"]'),
        "hoist, unreachable",
        "Nowhere",
    ),
    "repeated station name": (edit('name = "Hot"', 'name = "Bath"'), "station 3, name", "Bath"),
    "repeated recipe name": (
        GOOD + '[[recipe]]\nname = "A"\n[[recipe.stage]]\nstation = "Bath"\nmin = 1\n',
        "recipe 2, name",
    ),
    "negative dwell": (edit("min = 30", "min = -30"), "stage 1", "min = -30", "at least 0"),
    "infinite dwell": (edit("min = 30", "min = inf"), "min", "finite"),
    "dwell not a number": (edit("min = 30", "min = nan"), "min", "finite"),
    "text for a number": (edit("min = 30", 'min = "30"'), 'min = "30"', "a number"),
    "boolean for a number": (edit("min = 30", "min = true"), "min = true", "a number"),
    "date for a number": (edit("min = 30", "min = 2020-01-01"), "min = 2020-01-01", "a number"),
    "list for a number": (edit("min = 30", "min = [30]"), "min", "a number"),
    "too many decimals": (edit("min = 30", "min = 30.1234567"), "min = 30.1234567", "decimals"),
    "decimals beyond any context": (
        edit("min = 30", "min = 30.00000000000000000000000000000000001"),
        "min",
        "decimals",
    ),
    "huge number": (edit("min = 30", "min = 10000001"), "min = 10000001", "10000000"),
    "huge exponent": (edit("max = 60", "max = 1e999999999"), "max", "10000000"),
    "exponent beyond Decimal": (edit("max = 60", f"max = 1e{'9' * 40}"), "max", "10000000"),
    "tiny exponent": (edit("max = 60", "max = 1e-999999999"), "max", "decimals"),
    "tiny exponent beyond Decimal": (edit("max = 60", f"max = 1e-{'9' * 40}"), "max", "decimals"),
    "integer of 5000 digits": (edit("min = 30", f"min = {'9' * 5000}"), "ordinary size"),
    "hexadecimal of 5000 digits": (edit("min = 30", f"min = 0x{'f' * 5000}"), "min", "10000000"),
    "zero speed": (edit("speed = 0.5", "speed = 0"), "hoist, loaded, speed = 0", "above 0"),
    "zero capacity": (edit("position = 2", "position = 2\ncapacity = 0"), "capacity = 0"),
    "fractional capacity": (edit("position = 2", "position = 2\ncapacity = 1.5"), "capacity"),
    "boolean capacity": (edit("position = 2", "position = 2\ncapacity = true"), "capacity = true"),
    "worded capacity": (
        edit("position = 2", 'position = 2\ncapacity = "lots"'),
        'capacity = "lots"',
    ),
    "unlimited tank": (
        edit("position = 2", 'position = 2\ncapacity = "unlimited"'),
        'station 2 ("Bath"), capacity',
    ),
    "occupation of a tank": (
        edit("position = 2", "position = 2\nmin_occupation = 5"),
        'station 2 ("Bath"), min_occupation = 5',
    ),
    "zero carriers": (edit("count = 4", "count = 0"), "carriers, count = 0"),
    "unknown way of return": (
        edit("count = 4", 'return = "teleport"'),
        'carriers, return = "teleport"',
        "outside",
    ),
    "return time by hoist": (
        edit("count = 4", 'return = "hoist"\nreturn_time = 5'),
        "carriers, return_time = 5",
    ),
    "recipe that never unloads": (edit('"unload"', '"tank"'), 'recipe "A", unload'),
    "recipe that never loads": (edit('"load"', '"tank"'), 'recipe "A", load'),
    "recipe without stages": (GOOD[: GOOD.index("[[recipe.stage]]")], 'recipe 1 ("A"), stage'),
    "stage at the load station": (edit('"Hot"\nmin', '"In"\nmin'), "stage 2", "kind load"),
    "same station twice in a row": (edit('"Hot"\nmin', '"Bath"\nmin'), "stage 2", "Bath"),
    "two unload stations to choose from": (
        edit('"dryer"', '"unload"').replace('"Hot"\nmin', '"Bath"\nmin'),
        'recipe "A", unload',
        "Hot, Out",
    ),
    "unloading where one loads": (
        edit('name = "A"', 'name = "A"\nunload = "In"'),
        'recipe "A", unload = In',
    ),
    "unknown kind": (edit('"dryer"', '"oven"'), "station 3", 'kind = "oven"', "dryer"),
    "unknown unit": (edit('unit = "s"', 'unit = "days"'), 'unit = "days"'),
    "unknown key": (edit("lift = 5", "lift = 5\nlift_time = 4"), "hoist, lift_time", "no such key"),
    "Python's name of a key": (edit("[[station]]", "[[stations]]"), "stations"),
    "key with control characters": (edit("lift = 5", '"\\u001b[2J" = 4\nlift = 5'), r"\x1b"),
    "name with control characters": (edit('name = "Hot"', 'name = "H\\u001b[2Jt"'), r"H\x1b[2Jt"),
    "name that turns the line round": (edit('"Line"', '"\\u202eLine"'), "name", r"\u202e"),
    "name of a line break": (edit('"Line"', '"a\\nerror: b"'), "name", r"a\nerror: b"),
    "empty name": (edit('"Line"', '""'), "name"),
    "long name": (edit('"Line"', f'"{"x" * 81}"'), "name", "80"),
    "long key": (edit("lift = 5", f"{'x' * 5000} = 5"), "hoist", "..."),
    "station not a table": ('name = "L"\nstation = ["In", "Out"]\nrecipe = []\n', "station 1"),
    "station not a list": ('name = "L"\nstation = 3\nrecipe = []\n', "station"),
    "one station": ('name = "L"\nrecipe = []\n[[station]]\nname = "In"\n', "station", "2"),
    "no speeds": (edit("loaded = { speed = 0.5 }", ""), "hoist, loaded", "In to Bath"),
    "no position": (edit("position = 2", ""), 'station "Bath", position'),
    "no lift time": (edit("lift = 5", ""), "hoist, lift"),
    "mix of an unknown recipe": (GOOD + "[cycle]\nmix = { B = 1 }\n", "cycle, mix = B", "A"),
    "mix of none": (GOOD + "[cycle]\nmix = { A = 0 }\n", "cycle, mix, A = 0"),
    "pace against itself": (GOOD + "[cycle]\nmin = 90\nmax = 80\n", "cycle, max = 80", "90"),
    "order against the mix": (
        GOOD + '[cycle]\nmix = { A = 2 }\norder = ["A"]\n',
        "cycle, order = A",
    ),
    "two recipes without a mix": (
        GOOD + '[[recipe]]\nname = "B"\n[[recipe.stage]]\nstation = "Bath"\nmin = 1\n',
        "cycle, mix",
    ),
    "table entry twice": (
        GOOD + "[times]\nempty = [" + '{ from = "In", to = "Out", time = 3 },' * 2 + "]\n",
        "times, empty 2",
        "In to Out",
    ),
    "table entry without a time": (
        GOOD + '[times]\nempty = [{ from = "In", to = "Out" }]\n',
        "times, empty 1, time",
    ),
    "table entry from a list": (
        GOOD + '[times]\nempty_file = "good.csv"\nempty = [{ from = ["In"], to = "Out" }]\n',
        "times, empty 1, from",
    ),
    "table file not named": (GOOD + "[times]\nempty_file = 3\n", "times, empty_file = 3"),
    "table file missing": (
        GOOD + '[times]\nempty_file = "none.csv"\n',
        "none.csv",
        "there is none",
    ),
    "table file a folder": (GOOD + '[times]\nempty_file = "folder"\n', "folder", "directory"),
    "table of wrong shape": (GOOD + '[times]\nempty_file = "ragged.csv"\n', "ragged.csv: row 3"),
    "table of an unknown station": (
        GOOD + '[times]\nempty_file = "stranger.csv"\n',
        "stranger.csv: column 3 = Elsewhere",
    ),
    "table with a word in it": (
        GOOD + '[times]\nempty_file = "worded.csv"\n',
        'worded.csv: row 2, column "Bath" = soon',
    ),
    "table with a negative time": (
        GOOD + '[times]\nempty_file = "negative.csv"\n',
        'negative.csv: row 2, column "Bath" = -4',
    ),
    "crossing of an unknown station": (
        GOOD + '[[crossing]]\nfrom = ["Bath"]\nover = ["Lake"]\n',
        "crossing 1, over = Lake",
    ),
    "absurd tick": (edit('unit = "s"', "tick = 0"), "tick = 0"),
    "not TOML": ("this is { no TOML", "TOML", "line 1"),
    "key given twice": (edit("lift = 5", "lift = 5\nlift = 6"), "TOML"),
    "nested beyond reason": ("a = " + "[" * 100_000, "TOML"),
    "empty file": ("", "name", "present"),
    "too many stations": (
        'name = "L"\nrecipe = []\n' + '[[station]]\nname = "x"\n' * 20_000,
        "station",
        "300",
    ),
    "a million stations": (
        'name = "L"\nrecipe = []\n' + '[[station]]\nname = "x"\n' * 1_000_000,
        "5 MB",
    ),
    "10 MB of comment": ("# " + "x" * 10_000_000, "5 MB"),
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("folder").mkdir()
    Path("good.toml").write_text(GOOD)
    Path("moves.csv").write_text(MOVES)
    Path("good.csv").write_text("from,In,Out\nIn,0,12\nOut,12,0\n")
    Path("ragged.csv").write_text("from,In,Bath\nIn,0,4\nBath,4\n")
    Path("stranger.csv").write_text("from,In,Elsewhere\nIn,0,4\n")
    Path("worded.csv").write_text("from,In,Bath\nIn,0,soon\n")
    Path("negative.csv").write_text("from,In,Bath\nIn,0,-4\n")
    Path("binary.toml").write_bytes(bytes(range(256)))
    return tmp_path


@pytest.fixture
def refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Run a command that must be refused; its one line of error comes back."""

    def run(*arguments: str) -> str:
        before = _everything(folder)
        code = main(arguments)
        out, err = capsys.readouterr()
        assert code == 2
        assert out == ""
        assert err.startswith("error: ")
        assert err.count("\n") == 1
        assert err.endswith("\n")
        assert err[:-1].isprintable()
        assert len(err) < 1300
        assert "Traceback" not in err
        assert _everything(folder) == before
        return err

    return run


def _everything(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def test_the_file_that_the_wrong_ones_are_made_from_is_right(folder: Path) -> None:
    assert load_problem("good.toml").name == "Line"


@pytest.mark.parametrize("wrong", PROBLEMS)
def test_wrong_problem_file(wrong: str, refused: Callable[..., str]) -> None:
    text, *named = PROBLEMS[wrong]
    Path("wrong.toml").write_text(text)
    line = refused("solve", "wrong.toml", "--json", "out.json", "--csv", "out.csv")
    if not any(".csv" in part or part == "folder" for part in named):
        assert "wrong.toml" in line
    for part in named:
        assert part in line


COMMANDS = {
    "no command": ((), "COMMAND"),
    "unknown command": (("bake",), "bake"),
    "no file": (("solve",), "FILE"),
    "unknown option": (("solve", "good.toml", "--fast"), "--fast"),
    "shortened option": (("solve", "good.toml", "--deg", "1"), "--deg"),
    "option without its value": (("solve", "good.toml", "--degree"), "--degree"),
    "control characters": (("solve", "good.toml", "--\x1b[2J"), r"\x1b"),
    "missing file": (("solve", "none.toml"), "none.toml", "there is none"),
    "folder as file": (("solve", "folder"), "folder", "directory"),
    "binary file": (("solve", "binary.toml"), "binary.toml", "UTF-8"),
    "endless file": (("solve", "/dev/zero"), "/dev/zero", "5 MB"),
    "path too long": (("solve", "x" * 5000), "xxx", "..."),
    "file with control characters": (("solve", "a\nb"), r"a\nb"),
    "degree zero": (("solve", "good.toml", "--degree", "0"), "--degree = 0"),
    "degree negative": (("solve", "good.toml", "--degree=-1"), "--degree = -1"),
    "degree fractional": (("solve", "good.toml", "--degree", "1.5"), "--degree = 1.5"),
    "degree worded": (("solve", "good.toml", "--degree", "two"), "--degree = two"),
    "degree empty": (("solve", "good.toml", "--degree", ""), "--degree"),
    "degree of a billion": (("solve", "good.toml", "--degree", "1000000000"), "--degree", "100"),
    "degree of 5000 digits": (("solve", "good.toml", "--degree", "9" * 5000), "--degree", "..."),
    "degrees to a billion": (("solve", "good.toml", "--degree", "1-999999999"), "--degree"),
    "degrees the wrong way": (("solve", "good.toml", "--degree", "3-1"), "--degree = 3-1"),
    "degrees half given": (("solve", "good.toml", "--degree", "1-"), "--degree = 1-"),
    "degrees with a gap": (("solve", "good.toml", "--degree", "1,,2"), "--degree = 1,,2"),
    "too many degrees": (("solve", "good.toml", "--degree", "1-30"), "--degree = 1-30"),
    "degree in other digits": (("solve", "good.toml", "--degree", "٣"), "--degree"),
    "time limit zero": (("solve", "good.toml", "--time-limit", "0"), "--time-limit = 0"),
    "time limit negative": (("solve", "good.toml", "--time-limit=-5"), "--time-limit = -5"),
    "time limit nan": (("solve", "good.toml", "--time-limit", "nan"), "--time-limit = nan"),
    "time limit infinite": (("solve", "good.toml", "--time-limit", "inf"), "--time-limit = inf"),
    "time limit worded": (("solve", "good.toml", "--time-limit", "1h"), "--time-limit = 1h"),
    "time limit huge": (("solve", "good.toml", "--time-limit", "1e999999"), "--time-limit"),
    "no workers": (("solve", "good.toml", "--workers", "0"), "--workers = 0"),
    "a million workers": (("solve", "good.toml", "--workers", "1000000"), "--workers"),
    "seed negative": (("solve", "good.toml", "--seed=-1"), "--seed = -1"),
    "seed huge": (("solve", "good.toml", "--seed", "9999999999"), "--seed"),
    "output in a missing folder": (
        ("solve", "good.toml", "--json", "nowhere/out.json"),
        "nowhere/out.json",
        "--json",
    ),
    "output that is a folder": (("solve", "good.toml", "--csv", "folder"), "folder", "--csv"),
    "output over the problem": (("solve", "good.toml", "--json", "./good.toml"), "--json"),
    "one file for two outputs": (
        ("solve", "good.toml", "--json", "out", "--csv", "./out"),
        "--csv = ./out",
    ),
    "both outputs to stdout": (("solve", "good.toml", "--json", "-", "--csv", "-"), "--csv"),
    "diagram without extension": (("solve", "good.toml", "--diagram", "out"), "--diagram", ".svg"),
    "diagram of unknown extension": (
        ("solve", "good.toml", "--diagram", "out.docx"),
        "out.docx: --diagram",
        ".svg",
    ),
    "diagram to stdout": (("solve", "good.toml", "--diagram", "-"), "--diagram"),
    "drawing of unknown extension": (("draw", "good.toml", "moves.csv", "out.exe"), "out.exe"),
    "drawing in a missing folder": (("draw", "good.toml", "moves.csv", "no/out.svg"), "no/out.svg"),
    "drawing over the moves": (("draw", "good.toml", "m.svg", "m.svg"), "m.svg"),
    "no moves": (("verify", "good.toml", "none.csv"), "none.csv", "there is none"),
    "moves in TOML": (("verify", "good.toml", "good.toml"), "good.toml"),
    "moves in binary": (("verify", "good.toml", "binary.toml"), "binary.toml"),
    "no cycles": (("verify", "good.toml", "moves.csv", "--cycles", "0"), "--cycles = 0"),
    "cycles without end": (("verify", "good.toml", "moves.csv", "--cycles", "9" * 9), "--cycles"),
    "findings over the moves": (
        ("verify", "good.toml", "moves.csv", "--json", "moves.csv"),
        "--json",
    ),
    "template over a file": (("template", "good.toml"), "good.toml", "--force"),
    "template over a folder": (("template", "folder", "--force"), "folder"),
    "template in a missing folder": (("template", "nowhere/new.toml"), "nowhere/new.toml"),
    "schema with an argument": (("schema", "good.toml"), "good.toml"),
}


@pytest.mark.parametrize("wrong", COMMANDS)
def test_wrong_command(wrong: str, refused: Callable[..., str]) -> None:
    arguments, *named = COMMANDS[wrong]
    line = refused(*arguments)
    for part in named:
        assert part in line


MOVE_TABLES = {
    "unknown station": (MOVES.replace("Hot,Out", "Hot,Away"), "row 4", "Away"),
    "start after the end": (MOVES.replace("80,", "100,"), "row 4", "100"),
    "no cycle time": ("start,from,to\n0,In,Bath\n", "cycle_time"),
    "no column from": ("start,to,cycle_time\n0,Bath,9\n", "from"),
    "empty": ("", "header"),
    "JSON cut off": ('{"cycle_time": 9, "moves": [', "JSON"),
}


@pytest.mark.parametrize("wrong", MOVE_TABLES)
def test_wrong_move_table(wrong: str, refused: Callable[..., str]) -> None:
    text, *named = MOVE_TABLES[wrong]
    Path("wrong.csv").write_text(text)
    line = refused("verify", "good.toml", "wrong.csv", "--json", "out.json")
    for part in ("wrong.csv", *named):
        assert part in line


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_folder_without_permission(refused: Callable[..., str], folder: Path) -> None:
    (folder / "folder").chmod(0o500)
    line = refused("solve", "good.toml", "--json", "folder/out.json")
    assert "folder/out.json" in line


def test_only_the_first_of_several_errors_is_told(refused: Callable[..., str]) -> None:
    text = edit("min = 30", "min = -30").replace("count = 4", "count = 0")
    Path("wrong.toml").write_text(text)
    line = refused("solve", "wrong.toml")
    assert ("count" in line) != ("min = -30" in line)


def test_a_name_that_is_no_utf8_is_named_in_escapes(folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "hoistopt", "solve", b"no\xffne.toml"],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])},
        timeout=60,
    )
    assert done.returncode == 2
    assert done.stderr.startswith(rb"error: no\udcffne.toml")


def test_full_disk_on_standard_output_is_one_line(folder: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "hoistopt", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[1])},
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr.startswith("error: standard output: ")
    assert done.stderr.count("\n") == 1


def test_from_data_refuses_a_number_too_long_to_write_out() -> None:
    with pytest.raises(InputError, match="thousands of digits"):
        Problem.from_data({"name": "L", "station": [{"name": "x", "position": 10**5000}]})

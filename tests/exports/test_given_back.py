"""A sequencer's own files handed to `verify` and `draw`: read, judged, drawn with their faults."""

from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest

import hoistopt
from hoistopt import InputError, Problem, Refused
from hoistopt.app.given import schedule_of, sequencer_form
from hoistopt.app.verify import is_programme, verify, verify_programme
from hoistopt.exports.readback.given import programme_from, schedule_from, table_given

LINE = Path(__file__).parents[2] / "problems" / "mixed_recipes.toml"
FORMS = ("csv", "json", "st", "xml")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Problem, Path]:
    """A cycle, and a filling of the line before it, in all formats."""
    folder = tmp_path_factory.mktemp("written")
    problem = hoistopt.load_problem(LINE)
    # Names that a program cannot hold as they are.
    data = problem.to_data()
    text = json.dumps(data, default=str).replace("Steel", "St\u00e4hle")
    assert "St\u00e4hle" in text
    problem = Problem.from_data(_numbers(json.loads(text)))
    cycle = hoistopt.solve(problem, time_limit=3, workers=1).schedule
    assert cycle is not None
    table = hoistopt.sequencer_table(problem, cycle)
    filling = hoistopt.unroll(cycle, 2, run_out=False)
    listed = hoistopt.programme_table(problem, filling, then=cycle, joins=2 * cycle.cycle_time)
    for form in FORMS:
        hoistopt.write_sequencer(problem, table, folder / f"cycle.{form}")
        hoistopt.write_sequencer(problem, listed, folder / f"list.{form}")
    return problem, folder


def _numbers(value: object) -> dict:  # type: ignore[type-arg]
    """JSON's texts of decimals as numbers again."""
    text = re.sub(r'"(-?\d+(?:\.\d+)?)"', r"\1", json.dumps(value))
    return json.loads(text)  # type: ignore[no-any-return]


@pytest.mark.parametrize("form", FORMS)
def test_every_format_says_the_same_moves(written: tuple[Problem, Path], form: str) -> None:
    problem, folder = written
    path = folder / f"cycle.{form}"
    assert sequencer_form(path) == form
    answer = verify(problem, path)
    assert answer.schedule == schedule_of(folder / "cycle.json", problem)
    assert "are not judged" in answer.sentences()[1]
    assert not is_programme(path)
    # A list run once is a programme.
    assert is_programme(folder / f"list.{form}")
    listed = verify_programme(problem, folder / f"list.{form}")
    again = verify_programme(problem, folder / "list.json")
    assert listed.replay.programme == again.replay.programme
    with pytest.raises(InputError, match="list that is run once"):
        verify(problem, folder / f"list.{form}")
    with pytest.raises(InputError, match="this table is a cycle"):
        verify_programme(problem, path)


@pytest.mark.parametrize("form", FORMS)
def test_a_changed_start_is_found_and_the_sum_is_told(
    written: tuple[Problem, Path], tmp_path: Path, form: str
) -> None:
    problem, folder = written
    text = (folder / f"cycle.{form}").read_text()
    good = table_given(text, form)[0]
    step = good.steps[3]
    earlier = str(step.start - 20_000)
    changed = re.sub(rf"(?<!\d){step.start}(?!\d)", earlier, text)
    assert changed != text
    path = tmp_path / f"changed.{form}"
    path.write_text(changed)
    with pytest.raises(Refused) as refused:
        verify(problem, path)
    assert any("the check sum is" in note for note in refused.value.__notes__)
    # The load of the step was lifted 20 s before its time, or the hoist was elsewhere then.
    assert 4 in {one.step for one in refused.value.replay.violations}


@pytest.mark.parametrize("form", FORMS)
def test_whatever_is_changed_is_one_error_or_an_answer(
    written: tuple[Problem, Path], form: str
) -> None:
    """Numbers replaced and pieces cut out at random; nothing hangs and nothing else is raised."""
    problem, folder = written
    drawn = random.Random(form)
    for name in ("cycle", "list"):
        text = (folder / f"{name}.{form}").read_text()
        for _ in range(10):
            changed = text
            numbers = list(re.finditer(r"(?<![\w.])\d+(?![\w.])", changed))
            for found in sorted(drawn.sample(numbers, 2), key=lambda one: -one.start()):
                value = drawn.choice(["0", "1", "3", "77", "1000000000", "-5"])
                changed = changed[: found.start()] + value + changed[found.end() :]
            if drawn.random() < 0.2:
                changed = changed[: drawn.randrange(len(changed))]
            try:
                table, said = table_given(changed, form)
                assert said
                made = programme_from if table.once else schedule_from
                made(table, problem)
            except InputError:
                continue


def test_entities_and_other_files_are_refused(written: tuple[Problem, Path]) -> None:
    problem, folder = written
    bomb = '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>'
    for text, form in ((bomb, "xml"), ("<a/>", "xml"), ("{}", "json"), ("PROGRAM x", "st")):
        with pytest.raises(InputError, match="as `hoistopt sequencer` writes it"):
            table_given(text, form)
    other = hoistopt.load_problem(LINE.parent / "three_tanks_dryer.toml")
    with pytest.raises(InputError, match="of this line"):
        verify(other, folder / "cycle.st")
    assert sequencer_form(LINE.parent / "days" / "brass_cycle.csv") is None
    assert problem.name != other.name


def test_the_faults_of_a_sequencers_file_are_drawn(
    written: tuple[Problem, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    problem, folder = written
    problem.save(tmp_path / "line.toml")
    data = json.loads((folder / "cycle.json").read_text())
    data["steps"][2]["planned_start_ms"] += 9_000
    (tmp_path / "machine.json").write_text(json.dumps(data))
    given = [str(tmp_path / name) for name in ("line.toml", "machine.json", "machine.svg")]
    from hoistopt.cli import main

    assert main(["draw", *given]) == 1
    out, err = capsys.readouterr()
    assert "Refused" in out and "check sum" in err and "Wrote" in out
    drawn = Path(given[2]).read_text()
    assert 'id="stamp"' in drawn and 'id="fault"' in drawn
    assert main(["verify", given[0], str(folder / "cycle.st")]) == 0

"""How every command ends: files written, tables and words shown, cautions last."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

from ..base.errors import printable
from .codes import DONE, NO, STOPPED
from .outputs import DRAWN, Outputs
from .streams import tell

if TYPE_CHECKING:
    from rich.console import RenderableType

    from ..checker import ProgrammeRefused, Refused
    from ..show.answer import Answer

Found = TypeVar("Found")

PRINTED = ("json", "csv", "workbook", "html", "out", *DRAWN)
"""Names of the files that an answer itself fills."""

CODES = {"done": DONE, "no": NO, "stopped": STOPPED}


def finish(
    answer: Answer, outputs: Outputs, *, quiet: bool = False, only_files: bool = False
) -> int:
    """Write the files asked for, show the answer, and give the exit code.

    Where a file goes to standard output, tables are left out and the words go to standard
    error.

    Parameters
    ----------
    answer : Answer
    outputs : Outputs
        With the names "json", "csv", "workbook", "diagram" and "OUT", a diagram as well;
        others, such as a file that the work itself keeps, are only told of.
    quiet : bool
        Leave out the tables that nobody who asks for quiet wants to see.
    only_files : bool
        Show nothing but what was written, and the standing cautions.
    """
    contents = _contents(answer, outputs)
    outputs.write({name: data for name, data in contents.items() if data is not None})
    wrote = outputs.told(contents)
    note = answer.problem.note
    warn(answer)
    if only_files:
        close(outputs.shown, (), wrote, answer.standing(), note)
        return CODES[answer.outcome]
    tables: Sequence[RenderableType | str] = ()
    if not outputs.to_stdout:
        tables = answer.short_tables() if quiet else answer.tables()
    close(outputs.shown, tables, [*answer.sentences(), *wrote], answer.cautions(), note)
    return CODES[answer.outcome]


def warn(answer: Answer) -> None:
    """What is seldom meant in what was asked, a line each on standard error."""
    tell(*(f"warning: {printable(sentence)}" for sentence in answer.warnings()))


def close(
    shown: Callable[..., None],
    tables: Sequence[RenderableType | str],
    sentences: Sequence[str],
    cautions: Sequence[str],
    note: str = "",
) -> None:
    """Tables, a free line, words, a free line, cautions: the end of every output.

    What the problem file notes of its line stands above the tables and again above the
    cautions: whoever scrolls back to either end reads it.
    """
    words = printable(" ".join(note.split()))
    noted = [f"Note on the line: {words}"] if words else []
    if tables:
        shown(*noted, *([""] if noted else []), *tables, "")
    shown(*sentences, "", *noted, *cautions)


def asked(ask: Callable[[], Found], outputs: Outputs, *, findings: bool = False) -> Found | int:
    """What is asked for; an exit code, after showing every violation, where it is refused."""
    from ..checker import ProgrammeRefused, Refused

    try:
        return ask()
    except (Refused, ProgrammeRefused) as refused:
        if refused.made_here:
            raise
        return refuse(refused, outputs, findings=findings)


def answered(
    ask: Callable[[], Answer],
    outputs: Outputs,
    *,
    quiet: bool = False,
    only_files: bool = False,
    findings: bool = False,
) -> int:
    """Ask and finish.

    Parameters
    ----------
    only_files : bool
        Show nothing but what was written.
    findings : bool
        Where the moves are refused, write the violations into all files of tables, and the
        drawing, which says that they are.
    """
    answer = asked(ask, outputs, findings=findings)
    if isinstance(answer, int):
        return answer
    return finish(answer, outputs, quiet=quiet, only_files=only_files)


def refuse(refused: Refused | ProgrammeRefused, outputs: Outputs, *, findings: bool = False) -> int:
    """Show every violation, the JSON as well where it was asked for; the answer is no.

    With `findings` they go into CSV, workbook and drawing too: for a command that is asked
    for them.
    """
    from ..checker import Refused
    from ..show.programme.answer import RefusedProgramme
    from ..show.schedule.answer import RefusedAnswer

    answer: Answer = (
        RefusedAnswer(refused.replay)
        if isinstance(refused, Refused)
        else RefusedProgramme(refused.replay)
    )
    tell(*getattr(refused, "__notes__", ()))
    contents = _contents(answer, outputs, PRINTED if findings else ("json",))
    chosen = {name: data for name, data in contents.items() if data is not None}
    outputs.write(chosen)
    wrote = outputs.told(chosen) if findings else []
    if findings and not chosen.keys() & set(DRAWN) and any(name in outputs for name in DRAWN):
        wrote = [*wrote, "Nothing was drawn: the moves could not be replayed."]
    warn(answer)
    tables = () if outputs.to_stdout else answer.tables()
    note = answer.problem.note
    close(outputs.shown, tables, [*answer.sentences(), *wrote], answer.cautions(), note)
    return CODES[answer.outcome]


def _contents(
    answer: Answer, outputs: Outputs, wanted: Sequence[str] = PRINTED
) -> Mapping[str, str | bytes | None]:
    """What goes into each file; None where the work has written it already."""
    found: dict[str, str | bytes | None] = {"keep": None}
    asked_for = [name for name in wanted if name in outputs]
    if "json" in asked_for:
        found["json"] = _json(answer)
    if "csv" in asked_for and (text := answer.csv()) is not None:
        found["csv"] = text
    if "workbook" in asked_for and (book := _workbook(answer)) is not None:
        found["workbook"] = book
    if "out" in asked_for and (own := answer.file(outputs["out"].path)) is not None:
        found["out"] = own
    if "html" in asked_for and (page := answer.page()) is not None:
        found["html"] = page
    for name in DRAWN:
        if name in asked_for and (drawn := _picture(answer, name, outputs[name].path)) is not None:
            found[name] = drawn
    return found


def _json(answer: Answer) -> str:
    from ..base.text import json_text

    return json_text(answer.document())


def _workbook(answer: Answer) -> bytes | None:
    from ..show.workbook import answer_workbook

    return answer_workbook(answer)


def _picture(answer: Answer, name: str, path: str) -> bytes | None:
    from ..show.drawing.saving import picture, picture_format

    figure = answer.picture(name)
    return None if figure is None else picture(figure, answer.problem, picture_format(path))

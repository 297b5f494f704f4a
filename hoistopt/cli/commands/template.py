"""`hoistopt template`: a commented problem file to start from, as TOML or as a workbook."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from ...base.errors import InputError
from ...base.files import check_target, write_atomically
from ...base.workbook.package import ENDING, is_workbook
from ..codes import DONE
from ..outputs import wrote
from ..streams import put, say

SUMMARY = "Write a commented problem file to start from, as TOML or as a workbook."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument(
        "file",
        metavar="FILE",
        nargs="?",
        default="-",
        help="file to write, a workbook where it ends in .xlsx (default: TOML to stdout)",
    )
    parser.add_argument(
        "--from",
        dest="source",
        metavar="SOURCE",
        help="a problem file: write its line in place of the invented one, without comments of "
        "its own",
    )
    parser.add_argument("--force", action="store_true", help="overwrite an existing file")


def run(options: argparse.Namespace) -> int:
    """Write the template to a new file, or to standard output."""
    from ...app.template import template, template_workbook

    if options.file == "-":
        put(template(options.source))
        return DONE
    if os.path.lexists(options.file) and not os.path.isdir(options.file) and not options.force:
        raise InputError(
            "a new file, but it exists",
            file=options.file,
            way_out="Choose another name, or overwrite it with --force.",
        )
    target = check_target(options.file)
    if options.source is not None and target == Path(os.path.realpath(options.source)):
        raise InputError(
            "a place of its own; this is what it is read from",
            file=options.file,
            way_out="Choose another name.",
        )
    book = is_workbook(options.file)
    if book and Path(options.file).suffix.lower() != ENDING:
        raise InputError(
            f"a file name ending in {ENDING} for a workbook", field="FILE", value=options.file
        )
    write_atomically(options.file, (template_workbook if book else template)(options.source))
    own = "" if options.source else " Replace its figures by your own."
    say(wrote(options.file, f".{own}"))
    return DONE

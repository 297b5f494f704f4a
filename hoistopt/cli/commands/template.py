"""`hoistopt template`: a commented problem file to start from."""

from __future__ import annotations

import argparse
import os

from ...base.errors import InputError, printable
from ...base.files import write_atomically
from ..codes import DONE
from ..streams import put, say

SUMMARY = "Write a commented problem file to start from."


def arguments(parser: argparse.ArgumentParser) -> None:
    """What can be typed after the command's name."""
    parser.add_argument(
        "file", metavar="FILE", nargs="?", default="-", help="file to write (default: stdout)"
    )
    parser.add_argument("--force", action="store_true", help="overwrite an existing file")


def run(options: argparse.Namespace) -> int:
    """Write the template to a new file, or to standard output."""
    from ...problem.template import TEMPLATE

    if options.file == "-":
        put(TEMPLATE)
        return DONE
    if os.path.lexists(options.file) and not os.path.isdir(options.file) and not options.force:
        raise InputError(
            "a new file, but it exists",
            file=options.file,
            way_out="Choose another name, or overwrite it with --force.",
        )
    write_atomically(options.file, TEMPLATE)
    say(f"Wrote {printable(options.file)}. Replace its figures by your own.")
    return DONE

"""`hoistopt template`: a commented problem file to start from."""

from __future__ import annotations

import argparse
import os

from ..errors import InputError, printable
from ..output import write_atomically
from ..problem.template import TEMPLATE
from .codes import DONE
from .streams import put, say


def run(options: argparse.Namespace) -> int:
    """Write the template to a new file, or to standard output."""
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

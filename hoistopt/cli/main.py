"""Entry point: which command, and how its errors end."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ..base.errors import HoistoptError, InputError, StoppedError, printable
from .codes import BAD_INPUT, DONE, INTERNAL, INTERRUPTED, STOPPED
from .parser import UsageError, build_parser
from .streams import close_streams, prepare_streams, tell

DEBUG = "HOISTOPT_DEBUG"
REPORT = f"(a fault in hoistopt: please report it; {DEBUG}=1 gives the details)"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the `hoistopt` command.

    Parameters
    ----------
    arguments : sequence of str, optional
        By default those of the process.

    Returns
    -------
    int
        Exit code: 0 done, 1 the answer is no, 2 bad input or usage, 3 stopped before
        any schedule, 4 a fault in hoistopt itself, 130 interrupted.
    """
    prepare_streams()
    return close_streams(_run(arguments))


def _run(arguments: Sequence[str] | None) -> int:
    try:
        options = build_parser().parse_args(arguments)
        code: int = options.run(options)
        return code
    except UsageError as error:
        return _fail(str(error), BAD_INPUT)
    except InputError as error:
        return _fail(str(error), BAD_INPUT)
    except StoppedError as error:
        return _fail(str(error), STOPPED)
    except HoistoptError as error:
        return _fail(f"internal error: {error} {REPORT}", INTERNAL)
    except KeyboardInterrupt:
        return _fail("interrupted", INTERRUPTED)
    except (MemoryError, RecursionError):
        return _fail("the problem is too large for this computer's memory", BAD_INPUT)
    except Exception as error:
        if os.environ.get(DEBUG):
            raise
        reason = f"{type(error).__name__}: {error}"
        return _fail(f"internal error: {reason} {REPORT}", INTERNAL)
    except SystemExit as end:  # argparse after --help and --version
        return end.code if isinstance(end.code, int) else DONE


def _fail(message: str, code: int) -> int:
    tell(f"error: {printable(message)}")
    return code

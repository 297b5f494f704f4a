"""Entry point: which command, and how its errors end."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ..base.errors import HoistoptError, InputError, printable
from .codes import BAD_INPUT, DONE, INTERRUPTED, NO
from .parser import UsageError, build_parser
from .streams import close_streams, prepare_streams, tell

DEBUG = "HOISTOPT_DEBUG"


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
        any schedule, 130 interrupted.
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
    except HoistoptError as error:
        return _refused(error) or _fail(f"internal error: {error}", NO)
    except KeyboardInterrupt:
        return _fail("interrupted", INTERRUPTED)
    except (MemoryError, RecursionError):
        return _fail("the problem is too large for this computer's memory", BAD_INPUT)
    except Exception as error:
        if os.environ.get(DEBUG):
            raise
        reason = f"{type(error).__name__}: {error}"
        return _fail(f"internal error: {reason} (set {DEBUG}=1 for the details)", NO)
    except SystemExit as end:  # argparse after --help and --version
        return end.code if isinstance(end.code, int) else DONE


def _refused(error: HoistoptError) -> int | None:
    """The code after showing a table of violations; None if the error is another."""
    from ..checker.accept import Refused

    if not isinstance(error, Refused):
        return None
    from .refusing import refuse

    return refuse(error)


def _fail(message: str, code: int) -> int:
    tell(f"error: {printable(message)}")
    return code

"""Entry point: which command, and how its errors end."""

from __future__ import annotations

import os
from collections.abc import Sequence

from ..base.effort import Stop
from ..base.errors import HoistoptError, InputError, StoppedError, printable
from .codes import BAD_INPUT, DONE, INTERNAL, STOPPED
from .parser import UsageError, build_parser
from .stopping import interrupts_noted
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
        there was an answer, 4 a fault in hoistopt itself.
    """
    prepare_streams()
    with interrupts_noted() as interrupted:
        return close_streams(_run(arguments, interrupted))


def _run(arguments: Sequence[str] | None, interrupted: Stop) -> int:
    searches = False
    try:
        options = build_parser().parse_args(arguments)
        searches = getattr(options, "searches", False)
        code: int = options.run(options)
        return code
    except UsageError as error:
        return _fail(str(error), BAD_INPUT)
    except InputError as error:
        return _fail(str(error), BAD_INPUT)
    except StoppedError as error:
        return _fail(str(error), STOPPED)
    except HoistoptError as error:
        return _fault(str(error))
    except KeyboardInterrupt:
        return _interrupted(searches)
    except (MemoryError, RecursionError):
        return _fail("the problem is too large for this computer's memory", BAD_INPUT)
    except Exception as error:
        # Compiled modules say of an interrupted import that it failed.
        if interrupted.is_set() and isinstance(error, ImportError):
            return _interrupted(searches)
        return _fault(f"{type(error).__name__}: {error}")
    except SystemExit as end:  # argparse after --help and --version
        return end.code if isinstance(end.code, int) else DONE


def _interrupted(searches: bool) -> int:
    """Tell of an interruption where no search has begun: a running one keeps its best."""
    what = "any schedule was found" if searches else "there was an answer"
    return _fail(f"stopped before {what}", STOPPED)


def _fault(reason: str) -> int:
    """Tell of a fault that is not the user's, with its traceback where that is asked for."""
    if os.environ.get(DEBUG):
        import traceback

        tell(traceback.format_exc())
    return _fail(f"internal error: {reason} {REPORT}", INTERNAL)


def _fail(message: str, code: int) -> int:
    tell(f"error: {printable(message)}")
    return code

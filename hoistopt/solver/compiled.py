"""Compile inner loops with Numba, and store the machine code for the next start.

Numba stores code beside the module or, if that folder cannot be written, in the user's cache
folder; where the environment variable ``NUMBA_CACHE_DIR`` is set, there. Three things differ
here from its own ``cache=True``:

* Stored code is used only if nothing that it was made from has changed: neither the function
  nor any function or constant that it uses, in whatever file (see :mod:`.fingerprint`). Numba
  looks at the function's own file only, and a bound could come from code of older rules.
* Where no folder can be written, code is compiled for this process alone. Numba raises.
* Damaged files are compiled afresh and replaced. Numba raises.

Nothing is compiled that would not be done in time (see :mod:`.compiling`).
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any, TypeVar, cast

from numba import njit
from numba.core.caching import FunctionCache, IndexDataCacheFile, NullCache

from .compiling import LONG, LONGEST, USUAL, begin_compiling, end_compiling
from .fingerprint import fields_of, fingerprint

_Function = TypeVar("_Function", bound=Callable[..., Any])


class _Cache(FunctionCache):
    """Machine code of one function on disk; one file per signature, and an index."""

    def __init__(self, function: Callable[..., Any], options: object, takes: float) -> None:
        super().__init__(function)
        self._function, self._options, self._takes = function, options, takes
        self._stamped = False

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """Return stored code for a signature; None if there is none that can be used.

        Raises
        ------
        NoTimeToCompile
            When there is none, and no time to compile it.
        """
        stored = None
        try:
            self._stamp()
            stored = super().load_overload(sig, target_context)
        except Exception:  # reading a damaged pickle may raise anything
            self._forget()
        if stored is None:
            begin_compiling(self._takes)
        return stored

    def save_overload(self, sig: Any, data: Any) -> None:
        """Store the code for a signature, if that is possible."""
        end_compiling()
        try:
            self._stamp()
            super().save_overload(sig, data)
        except Exception:  # a full disk, a folder taken away: there is code to run all the same
            self._forget()

    def _stamp(self) -> None:
        """Tie the index to the function's fingerprint.

        Done at the first call: only then is everything defined that the function uses.
        """
        if not self._stamped:
            self._cache_file = IndexDataCacheFile(
                cache_path=self._cache_path,
                filename_base=self._impl.filename_base,
                source_stamp=fingerprint(self._function, self._options),
            )
            self._stamped = True

    def _forget(self) -> None:
        try:
            self._cache_file.flush()
        except Exception:
            self.disable()  # not ours to change: go on without

    def _index_key(self, sig: Any, codegen: Any) -> Any:
        return (*super()._index_key(sig, codegen), fields_of(tuple(getattr(sig, "args", sig))))


class _NoCache(NullCache):
    """In the place of a cache where no folder can be written."""

    def __init__(self, takes: float) -> None:
        self._takes = takes

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """Nothing is stored; compile it if there is time."""
        begin_compiling(self._takes)

    def save_overload(self, sig: Any, cres: Any) -> None:
        """Nothing is stored."""
        end_compiling()


def _compiler(takes: float = USUAL, **options: Any) -> Callable[[_Function], _Function]:
    """Return a decorator that compiles a function at its first call, and stores the code.

    `takes` is how many seconds that takes on a machine of its own.
    """

    def compile_(function: _Function) -> _Function:
        made: Any = njit(nogil=True, **options)(function)
        if hasattr(made, "enable_caching"):  # not where NUMBA_DISABLE_JIT is set
            made._cache = _NoCache(takes)
            # Where no folder can be written, code is compiled for this process alone.
            with suppress(RuntimeError, OSError):
                made._cache = _Cache(function, options, takes)
        return cast(_Function, made)

    return compile_


compiled = _compiler()
"""Compile a function at its first call; it runs without Python's global lock."""

compiled_long = _compiler(LONG)
"""As `compiled`, for one that takes long to compile."""

lean = _compiler(_nrt=False)
"""Compile a function that makes no arrays, without counting references to those it gets.

Counting takes about as long as the work itself, and longer where threads share the arrays.
"""

lean_long = _compiler(LONGEST, _nrt=False)
"""As `lean`, for the one that takes longest to compile."""


_LANES = 8


@lean
def padded(count: int) -> int:
    """Round a number of columns up to a multiple of 8.

    Processors work on eight 32-bit numbers at a time; a loop over whole eights has no rest.
    """
    return -(-count // _LANES) * _LANES

"""Libraries that only some questions need: imported when asked for, named when missing."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

from .errors import InputError


def library(module: str, extra: str, purpose: str) -> ModuleType:
    """A library of an optional extra.

    Parameters
    ----------
    module : str
        Its name, such as ``"polars"``.
    extra : str
        The extra of this package that brings it.
    purpose : str
        What it is needed for, such as "to read logs".

    Raises
    ------
    InputError
        When it is not installed, with the line that installs it.
    """
    try:
        return import_module(module)
    except ImportError:
        raise InputError(
            f"the library {module} {purpose}",
            way_out=f"Install it with: pip install 'hoistopt[{extra}]'",
        ) from None

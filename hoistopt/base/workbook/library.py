"""The library that reads and writes workbooks, loaded when it is needed."""

from __future__ import annotations

from types import ModuleType

from ..errors import InputError


def openpyxl() -> ModuleType:
    """The library openpyxl, an extra of the installation.

    Raises
    ------
    InputError
        When it is not installed; it says how to install it.
    """
    try:
        import openpyxl
    except ImportError:
        raise InputError(
            "the library openpyxl, which reads and writes workbooks",
            way_out="Install it with: pip install 'hoistopt[workbook]'.",
        ) from None
    found: ModuleType = openpyxl
    return found

"""Text: that of a file, or the one error that says why not; parts of a sentence; the caution."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from .errors import InputError

MOST_BYTES = 5_000_000
STANDING = (
    "A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in "
    "the machine. Prove the sequence at reduced speed without load; local codes and licensed "
    "practice decide."
)
"""The caution that stands in full under every output and in every file."""


def read_text(path: Path) -> str:
    """Read a text file in UTF-8 of at most `MOST_BYTES` bytes.

    Raises
    ------
    InputError
        When there is no such file, or it is too large, unreadable or no text.
    """
    try:
        # Not by asking for the size: devices and pipes say 0 and may never end.
        with path.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise InputError(f"a file of at most {MOST_BYTES // 1_000_000} MB", file=path)
        return content.decode("utf-8-sig")
    except FileNotFoundError:
        raise InputError(
            "a file, but there is none", file=path, way_out="Check the path."
        ) from None
    except UnicodeDecodeError:
        raise InputError("a text file in UTF-8", file=path) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"a readable file ({reason})", file=path) from None


def load_name(number: int) -> str:
    """A load of the cycle, as shown: told from carriers, which are counted too."""
    return f"L{number}"


def carrier_name(number: int) -> str:
    """A carrier, as shown beside loads."""
    return f"C{number}"


def listed(parts: Sequence[str]) -> str:
    """Parts of a sentence with commas and a final "and"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"

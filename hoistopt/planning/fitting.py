"""Whether a degree's model fits into memory."""

from __future__ import annotations

from ..base.errors import InputError
from ..base.memory import memory
from ..instance import Instance
from ..solver import model_bytes

SHARE = 0.75
"""Of the memory there is, what a model may take."""


def too_large(instance: Instance) -> str | None:
    """Why the model of an instance does not fit into memory; None where it does."""
    needed, there = model_bytes(instance), memory()
    if needed <= SHARE * there:
        return None
    return f"its model takes about {_gigabytes(needed)}, and there are {_gigabytes(there)}"


def check_size(instance: Instance) -> None:
    """Refuse a degree whose model does not fit into memory.

    Raises
    ------
    InputError
        Naming the degree, and a way out: a lower one, or, as there is none below 1, a smaller mix.
    """
    why = too_large(instance)
    if why is not None:
        less = "Ask for a lower degree" if instance.degree > 1 else "Plan a smaller mix"
        raise InputError(
            "a degree that fits into memory",
            field="degree",
            value=f"{instance.degree}: {why}",
            way_out=f"{less}, or name fewer tanks for a stage.",
        )


def _gigabytes(size: int) -> str:
    return f"{size / 1e9:.1f} GB"

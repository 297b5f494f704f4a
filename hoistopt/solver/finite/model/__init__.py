"""The model of programmes for CP-SAT: variables, one rule a file, what is to be least."""

from .whole import FiniteModel

__all__ = ["FiniteModel"]

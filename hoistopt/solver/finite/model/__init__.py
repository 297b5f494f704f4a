"""The model of programmes for CP-SAT: variables, one rule a file, what is to be least.

Which load is lifted before which is set down is not the order of the moves where there are several
hoists, so the model asks for the order of these two events.

- `variables.py`: starts, ends, ways, and which move comes first. `rules/`: a rule a file.
- `whole.py`: all of it, and what is to be least; it takes rules to replace or soften.
"""

from .whole import FiniteModel

__all__ = ["FiniteModel"]

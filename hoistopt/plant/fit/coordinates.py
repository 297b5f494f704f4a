"""Which figures a fit is free to change, and how its variables stand for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from .figures import Figure

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True)
class Coordinates:
    """The variables of a fit.

    A time is itself a variable, a speed or an acceleration by its logarithm. Times of which
    only the sum shows share one variable, a factor on what they are today.

    Attributes
    ----------
    free : tuple of Figure
        One variable each, in this order.
    shared : dict
        Figures that share the last variable, each with its part of the sum.
    held : dict
        All others, and their values.
    """

    free: tuple[Figure, ...]
    held: Mapping[Figure, float | None]
    shared: Mapping[Figure, float] = field(default_factory=dict)

    @property
    def variables(self) -> int:
        """Number of variables."""
        return len(self.free) + bool(self.shared)

    def holding(self, figure: Figure, value: float | None) -> Coordinates:
        """Coordinates with `figure` held at a value, no longer free."""
        free = tuple(other for other in self.free if other != figure)
        return replace(self, free=free, held={**self.held, figure: value})

    def freeing(self, figure: Figure) -> Coordinates:
        """Coordinates with `figure` free, no longer held."""
        held = {other: value for other, value in self.held.items() if other != figure}
        return replace(self, free=(*self.free, figure), held=held)

    def sharing(self, parts: Mapping[Figure, float]) -> Coordinates:
        """Coordinates with one variable for the sum of the figures of `parts`."""
        free = tuple(figure for figure in self.free if figure not in parts)
        return replace(self, free=free, shared=dict(parts))

    def values(self, x: np.ndarray) -> dict[Figure, float | None]:
        """The figures that the variables stand for."""
        import numpy as np

        found: dict[Figure, float | None] = dict(self.held)
        for figure, value in zip(self.free, x, strict=False):
            found[figure] = float(value if figure.is_time else np.exp(np.clip(value, -50, 50)))
        for figure, part in self.shared.items():
            found[figure] = float(x[-1]) * part
        return found

    def at(self, values: Mapping[Figure, float | None]) -> np.ndarray:
        """The variables that stand for figures, a sum shared out as it is in `shared`."""
        import numpy as np

        x = [
            float(values[figure] or 0.0) if figure.is_time else float(np.log(values[figure] or 1.0))
            for figure in self.free
        ]
        if self.shared:
            total = sum(self.shared.values())
            x.append(sum(float(values[figure] or 0.0) for figure in self.shared) / total)
        return np.array(x)

    def lowest(self) -> np.ndarray:
        """The lower bound of each variable: 0 for a time, none for the logarithm of a speed."""
        import numpy as np

        bounds = [0.0 if figure.is_time else -np.inf for figure in self.free]
        return np.array([*bounds, *([0.0] if self.shared else [])])

    def jacobian(
        self, values: Mapping[Figure, float | None], by_figure: Mapping[Figure, np.ndarray]
    ) -> np.ndarray:
        """How times change with the variables, from how they change with the figures."""
        import numpy as np

        columns = [
            by_figure[figure] * (1.0 if figure.is_time else float(values[figure] or 0.0))
            for figure in self.free
        ]
        if self.shared:
            parts = [by_figure[figure] * part for figure, part in self.shared.items()]
            columns.append(np.sum(parts, axis=0))
        return np.stack(columns, axis=1)

    def slopes(self, values: Mapping[Figure, float | None]) -> dict[Figure, np.ndarray]:
        """How each figure that is not held changes with the variables."""
        import numpy as np

        found: dict[Figure, np.ndarray] = {}
        for number, figure in enumerate(self.free):
            found[figure] = np.zeros(self.variables)
            found[figure][number] = 1.0 if figure.is_time else float(values[figure] or 0.0)
        for figure, part in self.shared.items():
            found[figure] = np.zeros(self.variables)
            found[figure][-1] = part
        return found

"""Performance profile: share of instances solved against time, relative to the best method.

E. D. Dolan and J. J. More (2002), Benchmarking optimization software with performance
profiles, Mathematical Programming 91, 201-213.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from ..methods import METHODS
from .measured import Measured, Pair

_LOOK: dict[str, dict[str, Any]] = {
    "hoistopt": {"color": "#17202a", "linewidth": 2.2, "linestyle": "-"},
    "direct": {"color": "#cd6a5b", "linewidth": 1.8, "linestyle": "--"},
    "big-m": {"color": "#9085dd", "linewidth": 1.8, "linestyle": ":"},
    "stock": {"color": "#2a8f82", "linewidth": 1.8, "linestyle": "-."},
}


def ratios(found: Mapping[Pair, Measured], methods: Iterable[str]) -> dict[str, list[float]]:
    """For each method its time over the least time of any, case by case, in rising order.

    Over the cases that all the methods ran on; cases it did not prove are left out, but
    count in the share, and those no method proved count for nobody.
    """
    methods = list(methods)
    cases = _common(found, methods)
    times = {m: {c: found[c, m].seconds for c in cases} for m in methods}
    rising: dict[str, list[float]] = {}
    for method in methods:
        mine = []
        for case in cases:
            seconds = times[method][case]
            if seconds is not None:
                known = [times[m][case] for m in methods]
                mine.append(seconds / min(time for time in known if time is not None))
        rising[method] = sorted(mine)
    return rising


def _common(found: Mapping[Pair, Measured], methods: list[str]) -> list[str]:
    cases = dict.fromkeys(case for case, _ in found)
    return [case for case in cases if all((case, method) in found for method in methods)]


def comparisons(found: Mapping[Pair, Measured]) -> list[list[str]]:
    """Sets of methods worth a panel: all that ran, and the first two where they ran on more."""
    ran = [name for name in METHODS if name != "command" and any(m == name for _, m in found)]
    sets = [ran] if len(ran) > 1 and _common(found, ran) else []
    pair = ["hoistopt", "direct"]
    if len(ran) > 2 and len(_common(found, pair)) > len(_common(found, ran)):
        sets.append(pair)
    return sets


def draw_profile(found: Mapping[Pair, Measured], path: Path) -> bool:
    """Write the profile as a picture; False where there is nothing to compare."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    sets = comparisons(found)
    if not sets:
        return False
    figure = Figure(figsize=(6.2 * len(sets), 4.2), layout="constrained")
    FigureCanvasAgg(figure)
    for ax, methods in zip(figure.subplots(1, len(sets), squeeze=False)[0], sets, strict=True):
        _panel(ax, ratios(found, methods), len(_common(found, methods)))
    figure.savefig(path, dpi=130, metadata={"Software": None})
    return True


def _panel(ax: Any, rising: dict[str, list[float]], cases: int) -> None:
    widest = max((values[-1] for values in rising.values() if values), default=1.0)
    end = max(2.0, widest * 1.3)
    for method, values in rising.items():
        steps = [1.0, *values, end]
        shares = [0.0, *((n + 1) / cases for n in range(len(values))), len(values) / cases]
        ax.step(steps, shares, where="post", label=METHODS[method].title, **_LOOK[method])
    ax.set_xscale("log", base=2)
    ax.set_xlim(1, end)
    ax.set_ylim(0, 1.02)
    ax.set_xlabel("time over the least time of any method")
    ax.set_ylabel("share of instances proved")
    ax.set_title(f"{cases} instances, all run by each method", fontsize=10, loc="left")
    ax.grid(color="#dfe4e8", linewidth=0.6)
    ax.legend(loc="lower right", frameon=False)

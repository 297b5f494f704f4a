"""The methods that are compared, each in a file of its own.

Importing this package imports none of them: each runs in a process of its own that loads
nothing but what it needs.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.metadata import version


@dataclass(frozen=True)
class Method:
    """A method by name.

    Attributes
    ----------
    title : str
        What it is, for tables.
    module : str or None
        Where its `solve` lives; None for the command as a user types it.
    sources : tuple of str
        Files, or folders of them, that its answers depend on.
    packages : tuple of str
        Packages whose versions count.
    """

    name: str
    title: str
    module: str | None
    sources: tuple[str, ...]
    packages: tuple[str, ...]

    def versions(self) -> str:
        """Versions of the packages it stands on."""
        return " ".join(f"{package}-{version(package)}" for package in self.packages)


_DATA = ("hoistopt/base", "hoistopt/problem", "hoistopt/instance", "hoistopt/schedule")
_PRODUCT = (*_DATA, "hoistopt/solver", "hoistopt/planning", "benchmarks/methods/product.py")
_BASELINE = (*_DATA, "benchmarks/methods/line.py")

METHODS = {
    method.name: method
    for method in (
        Method("hoistopt", "hoistopt", "product", _PRODUCT, ("ortools",)),
        Method(
            "direct",
            "direct pairwise CP-SAT model",
            "pairwise",
            (*_BASELINE, "benchmarks/methods/pairwise.py"),
            ("ortools",),
        ),
        Method(
            "big-m",
            "big-M program on HiGHS",
            "big_m",
            (*_BASELINE, "benchmarks/methods/big_m.py"),
            ("highspy",),
        ),
        Method(
            "stock",
            "stock CP-SAT on hoistopt's model",
            "stock",
            (*_DATA, "hoistopt/solver", "benchmarks/methods/stock.py"),
            ("ortools",),
        ),
        Method("command", "`hoistopt solve`", None, (*_PRODUCT, "hoistopt/cli"), ("ortools",)),
    )
}
"""By name, in the order of tables."""

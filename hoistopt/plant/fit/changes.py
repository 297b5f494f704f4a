"""What a fit changes in a problem file."""

from __future__ import annotations

from decimal import Decimal

from ...base.text import listed
from ...problem.files.rewriting import Changes
from .answer import Fit


def changes_of(fit: Fit) -> Changes:
    """The changes of a problem file that a fit asks for; figures that stay are left out."""
    hoist: dict[tuple[str, ...], Decimal] = {}
    stations: dict[tuple[str, str], Decimal] = {}
    for each in fit.figures:
        if each.new is None or each.new == each.today:
            continue
        if each.figure.station is not None:
            stations[each.figure.station, each.figure.name] = each.new
        else:
            hoist[tuple(each.figure.name.split())] = each.new
    files = listed([name.replace("\\", "/").rsplit("/", 1)[-1] for name in fit.readings.files])
    return Changes(
        hoist=hoist,
        stations=stations,
        number=fit.readings.hoist,
        loaded={(s, t): time for (kind, s, t), time in fit.entries.items() if kind == "loaded"},
        empty={(s, t): time for (kind, s, t), time in fit.entries.items() if kind == "empty"},
        scatter=tuple(map(str, fit.scatters)),
        scatter_source=f"Fitted from {files}, {fit.readings.count} readings."[:190],
    )

"""What the user states: the line, the recipes, the cycle asked for.

What it means stands in `DEVELOPERS.md`, "What a problem means".

The schema:

- `line.py`, `recipe.py`, `times.py`: stations, hoists and carriers; recipes and the cycle; tables
  of times. `margin.py`, `scatter.py`: the margin asked for; how the hoist's times scatter.
- `statement.py`: the parts put together. `problem.py`: the same, checked. `part.py`: what every
  part has in common. `hoists.py`: what each of several hoists reaches. `grid.py`: the tick.
- `numbering.py`, `units.py`: the number of a station on the controller; the unit of a key.
- `in_service.py`: tanks out of service, where no load needs some stages any more.

Checks:

- `checks.py`, `station_checks.py`, `time_checks.py`, `hoist_checks.py`, `margin_checks.py`: rules
  that tie the parts together.
- `plausibility.py`: what is possible and yet hardly meant.
- `wording.py`: pydantic's findings in the user's words.

Files:

- `files.py`: `load_problem`. `time_tables.py`: tables of times beside the file. `toml_guard.py`:
  what the TOML reader does not stop. `like.py`: recipes like another, written out.
- `template.py`: the commented file to start from. `toml_text.py`: TOML of plain data.
  `rewriting.py`: a file with figures of its hoist changed, comments kept.
- `jsonschema.py`: the JSON Schema, for editors. `workbook/`: a problem as a workbook.
"""

from .files import load_problem
from .line import Carriers, Crossing, Hoist, Motion, Station, Track
from .margin import Margin, Scattering
from .problem import Problem
from .recipe import Cycle, Recipe, Stage
from .scatter import Scatter
from .times import TableEntry, Times

__all__ = [
    "Carriers",
    "Crossing",
    "Cycle",
    "Hoist",
    "Margin",
    "Motion",
    "Problem",
    "Recipe",
    "Scatter",
    "Scattering",
    "Stage",
    "Station",
    "TableEntry",
    "Times",
    "Track",
    "load_problem",
]

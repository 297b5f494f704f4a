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

- `checks/`: rules that tie the parts together. `wording.py`: pydantic's findings in the user's
  words.

Files:

- `files/`: problem files read, written anew and begun. `like.py`: recipes like another, written
  out. `toml_text.py`: TOML of plain data.
- `jsonschema.py`: the JSON Schema, for editors. `workbook/`: a problem as a workbook.
"""

from .files.load import load_problem
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

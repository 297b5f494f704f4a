"""The search for the least cycle time: bounds, variables, constraints, CP-SAT."""

from .any_degree import least_per_set
from .chains import ChainBound
from .cpsat import Status, run_model
from .cyclic.search import least_cycle
from .cyclic.starts.copies import copied
from .cyclic.starts.groups import retimed
from .found import Found
from .model.build import build_model, lowest_cycle
from .several.bounds import lower_bound as lowest_of_several
from .size import model_bytes

__all__ = [
    "ChainBound",
    "Found",
    "Status",
    "build_model",
    "copied",
    "least_cycle",
    "least_per_set",
    "lowest_cycle",
    "lowest_of_several",
    "model_bytes",
    "retimed",
    "run_model",
]

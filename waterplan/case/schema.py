"""The choices of a case under the name that they had before; `choices`, `measurement` and `fillings` hold them."""

from waterplan.case.choices import Filter, Shape, Use, Walls
from waterplan.case.fillings import Reads
from waterplan.case.measurement import By

__all__ = ["By", "Filter", "Reads", "Shape", "Use", "Walls"]

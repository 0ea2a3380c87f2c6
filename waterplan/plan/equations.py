"""Every published equation of the rooms below the plan, whether a plan has used it or not."""

import importlib
import pkgutil
from collections.abc import Mapping

from waterplan import published

_ROOMS = ("water", "vessel", "fish", "tank", "dose")


def all_equations() -> Mapping[str, published.Equation]:
    """The equations by name, after every file of those rooms has been read."""
    for room in _ROOMS:
        package = importlib.import_module(f"waterplan.{room}")
        for module in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            importlib.import_module(module.name)
    return dict(sorted(published.EQUATIONS.items()))

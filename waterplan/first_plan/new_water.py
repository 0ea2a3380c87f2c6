"""The water that a hospital tank is changed with: which it is, and the ammonia that it brings."""

import numpy as np

from waterplan.dose import neutralise
from waterplan.errors import Unanswerable
from waterplan.first_plan.desk import HOME, MAINS, Desk
from waterplan.first_plan.first_case.schema import Use
from waterplan.published import FloatArray, remark


def source_name(desk: Desk) -> str:
    """The water that the tank is changed with: the tap where the tank is filled from it or it was tested."""
    from_mains = any(tank.filled_with == MAINS for tank in desk.case.vessels_for(Use.HOSPITAL))
    return MAINS if from_mains or desk.latest(MAINS, "tan") is not None else HOME


def source_tan_mg_n_per_l(desk: Desk) -> FloatArray:
    """Total ammonia of the water that the tank is changed with, what chloramine leaves behind counted in."""
    water = source_name(desk)
    if desk.latest(water, "tan") is None:
        remark(f"The ammonia of the {water} was not measured: none is counted. Measure it.")
        values = np.zeros(desk.draws.count + 1)
    else:
        values = desk.water(water, "tan")
    disinfectant = desk.case.mains_water.disinfectant
    if water == MAINS and not disinfectant:
        remark("What disinfects the tap water was not said: chloramine would leave ammonia that is not counted. Ask.")
    if water == MAINS and disinfectant == "chloramine":
        if desk.latest(MAINS, "chlorine") is None:
            raise Unanswerable("[mains_water] chlorine: chloramine leaves ammonia behind when it is neutralised")
        left = neutralise.ammonia_from_chloramine_mg_n_per_l(desk.water(MAINS, "chlorine"))
        values = values + left
    return values

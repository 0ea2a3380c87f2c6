"""Carbon dioxide: as it was read or as pH and alkalinity have it, and as it gathers where nothing carries it off."""

from dataclasses import replace

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.limits import at_most, water_limit
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import Q
from waterplan.stay.record import WaterKind
from waterplan.water.carbonate import co2_mg_per_l


def hazard(subject: Subject) -> Assessed:
    """The most carbon dioxide of a stretch; in a closed bag against what fish stand on the way."""
    limit, harm = water_limit("carbon_dioxide", "limit"), water_limit("carbon_dioxide", "harm")
    if subject.kind is WaterKind.BAG:
        limit = tables.row("defaults", what="carbon dioxide on the way")
        harm = replace(limit, value=limit.high)
    state = levels.state_of(subject)
    given = {"alkalinity_mg_caco3_per_l": state[Q.ALKALINITY], "water_temp_c": state[Q.TEMPERATURE], "ph": state[Q.PH]}
    rests = (Q.CARBON_DIOXIDE, Q.PH, Q.ALKALINITY, Q.VOLUME)
    return at_most(subject, *rests, limit=limit, harm=harm, equations=(co2_mg_per_l,), given=given)

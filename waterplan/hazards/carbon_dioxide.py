"""Carbon dioxide: as it was read or as pH and alkalinity have it, and as it gathers where nothing carries it off."""

from waterplan import tables
from waterplan.hazards import levels
from waterplan.hazards.record import Hazard, Side
from waterplan.hazards.subject import Assessed, Subject
from waterplan.stay.quantities import UNITS, Q
from waterplan.stay.record import ActEnd, WaterKind
from waterplan.water.carbonate import co2_mg_per_l


def hazard(subject: Subject) -> Assessed:
    """The most carbon dioxide of a stretch; in a closed bag against what fish stand on the way."""
    limit = tables.row("water_limits", quantity="carbon_dioxide", group="any", level="limit")
    harm_row = tables.row("water_limits", quantity="carbon_dioxide", group="any", level="harm")
    harm = harm_row.value
    if subject.kind is WaterKind.BAG:
        limit = harm_row = tables.row("defaults", what="carbon dioxide on the way")
        harm = limit.high
    state = levels.state_of(subject)
    return Assessed(
        quantity=Q.CARBON_DIOXIDE,
        which="highest",
        values=levels.most(subject, Q.CARBON_DIOXIDE),
        unit=UNITS[Q.CARBON_DIOXIDE],
        act_end=ActEnd.HIGH,
        side=Side.AT_MOST,
        limit=limit.value,
        limit_row=limit,
        harm=harm,
        until_harm_h=levels.until(subject, Q.CARBON_DIOXIDE, harm, falls=False),
        clock_unit=levels.clock_unit(subject),
        rests=levels.rests(subject, Hazard.CARBON_DIOXIDE, Q.CARBON_DIOXIDE, Q.PH, Q.ALKALINITY, Q.VOLUME),
        equations=(co2_mg_per_l,),
        given={
            "ph": state[Q.PH],
            "alkalinity_mg_caco3_per_l": state[Q.ALKALINITY],
            "water_temp_c": state[Q.TEMPERATURE],
        },
        rows=(harm_row.id,),
    )

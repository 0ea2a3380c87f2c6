"""Moment 3, the procedure: how long each tub carries the fish, and the wound."""

import numpy as np

from waterplan import tables
from waterplan.dose import iodine
from waterplan.errors import Refused, Unanswerable
from waterplan.findings import Caution, Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import oxygen_level
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Use
from waterplan.first_plan.prepare import iodine_bath
from waterplan.published import FloatArray
from waterplan.spread import band
from waterplan.tank import decline

_MOMENT = Moment.PROCEDURE


def procedure(desk: Desk) -> None:
    """How long the water of the induction tub and the reservoir lasts, and what may touch the wound."""
    desk.answer(_MOMENT, "uptake", "Oxygen the patient takes", uptake)
    tubs = [vessel for use in (Use.INDUCTION, Use.IRRIGATION) for vessel in desk.case.vessels_for(use)]
    if not tubs:
        desk.answer(_MOMENT, "check-by", "How long the tub lasts", _no_tub, "induction")
    for vessel in tubs:
        times_of(desk, _MOMENT, vessel, state="anaesthetised")
    wound_l = tables.row("defaults", what="wound swab").value
    desk.answer(_MOMENT, "iodine: wound", "Povidone-iodine for the wound", iodine_bath, "wound", wound_l)
    desk.answer(_MOMENT, "iodine: fish", "Povidone-iodine bath for the whole fish", whole_fish_iodine)
    desk.step(_MOMENT, Who.NURSE, "Every 5 minutes write down temperature, oxygen, breathing and gill flow.")
    desk.step(
        _MOMENT,
        Who.NURSE,
        f"Swap the water when it has drifted by more than {amount(1, unit='°C step')}, its oxygen is below "
        f"{amount(oxygen_level(desk, 'anaesthetised', 'alarm'), unit='mg/L')}, its pH has fallen by more than 0.5, or "
        "a tenth of it is lost.",
    )
    desk.step(
        _MOMENT,
        Who.NURSE,
        "Water goes in at the mouth and out at the gills, never the other way; keep skin and eyes wet.",
    )


def _no_tub(_: Desk, use: str) -> Answer:
    raise Unanswerable(f'a vessel with use = "{use}"')


def whole_fish_iodine(_: Desk) -> Answer:
    """Refused for every fish, with the reason."""
    try:
        iodine.refuse_iodine_immersion()
    except Refused as refusal:
        raise Refused(str(refusal), standing=True) from None


def uptake(desk: Desk) -> Answer:
    """Oxygen the patient takes when handled, with what it takes at rest."""
    tubs = [*desk.case.vessels_for(Use.INDUCTION), *desk.case.vessels]
    temp = desk.temperature_c(tubs[0].name)
    handled = desk.demand_mg_per_h(temp, state="handled") / desk.weight_kg()
    rest = desk.demand_mg_per_h(temp, state="at rest") / desk.weight_kg()
    return Answer(
        text=f"{amount(handled[0], unit='mg/kg/h')} handled, {amount(rest[0], unit='mg/kg/h')} at rest, at "
        f"{amount(temp[0], unit='°C')} and {amount(desk.weight_kg()[0], unit='kg')}.",
        unit="mg/kg/h",
        values=handled,
        method="equation of the species' group x spread x stress factor",
    )


def hours_to(desk: Desk, vessel: Vessel, level: float, *, state: str = "handled") -> FloatArray:
    """Hours until a vessel with its air off has fallen to a level, the patient handled or at rest."""
    temp = desk.temperature_c(vessel.name)
    return np.asarray(
        decline.hours_to_level(
            desk.free_l(vessel),
            start_do_mg_per_l=np.maximum(desk.start_oxygen_mg_per_l(vessel.name), 0.0),
            level_do_mg_per_l=level,
            demand_mg_per_h=desk.demand_mg_per_h(temp, state=state),
        )
    )


def check_by_min(desk: Desk, vessel: Vessel, state: str) -> float:
    """Whole minutes until somebody looks again, rounded down."""
    minutes = hours_to(desk, vessel, oxygen_level(desk, state, "alarm")) * 60.0
    return float(np.floor(0.5 * band(minutes).low))


def times_of(desk: Desk, moment: Moment, vessel: Vessel, *, state: str) -> None:
    """The three findings of a tub with its air off: to the alarm, to the emergency, and when to look."""
    for level in ("alarm", "emergency"):
        desk.answer(
            moment,
            f"{level}: {vessel.name}",
            f"{vessel.name}, air off: to the {level} level",
            time_to,
            vessel,
            state,
            level,
        )
    desk.answer(
        moment,
        f"check-by: {vessel.name}",
        f"{vessel.name}, air off: look again within",
        check_by,
        vessel,
        state,
    )


def time_to(desk: Desk, vessel: Vessel, state: str, level: str) -> Answer:
    """Minutes until the unaerated tub has fallen to one of the patient's levels."""
    bound = oxygen_level(desk, state, level)
    values = hours_to(desk, vessel, bound) * 60.0
    least = tables.row("defaults", what="time to work in").value
    if values[0] <= 0.0:
        text = f"No time at all: it holds no more than {amount(bound, unit='mg/L')} now. Cool it or give oxygen."
    else:
        text = f"{amount(values[0], unit='min')} to {amount(bound, unit='mg/L')} for a handled {desk.species.words}."
    return Answer(
        text=text,
        unit="min",
        values=values,
        limit=Limit(value=least, side=Side.AT_LEAST, words=f"at least {amount(least, unit='min')} to work in"),
        method="oxygen in the tub over what the fish takes; nothing counted for the surface",
    )


def check_by(desk: Desk, vessel: Vessel, state: str) -> Answer:
    """When to look again: half of the unfavourable end, stressed, to the patient's own action level."""
    bound = oxygen_level(desk, state, "alarm")
    look = check_by_min(desk, vessel, state)
    text = f"{amount(look, unit='min')}: half of the short end of the time to {amount(bound, unit='mg/L')}."
    if look < 1.0:
        text = f"At once, and do not look away: it may reach {amount(bound, unit='mg/L')} within two minutes, or has."
    return Answer(
        text=text,
        unit="min",
        values=look,
        verdict=Verdict.ACT if look < 1.0 else None,
        method="half of the 5th percentile, handled, to the patient's own action level",
        cautions=(
            Caution(text="Fish signs outrank the meter: gasping or spread gill covers mean act now.", serious=True),
        ),
    )

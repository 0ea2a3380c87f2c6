"""Moment 2, prepare: volumes, oxygen, matched water, disinfection of what is not the fish."""

from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.dose import iodine, neutralise
from waterplan.dose.rounding import Safe, round_safely
from waterplan.errors import Unanswerable
from waterplan.findings import Caution, Moment, Verdict, Who, amount
from waterplan.first_plan import call, tracer_salt, volumes
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import HOME, MAINS, Desk
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Use
from waterplan.published import remark
from waterplan.spread import band

_MOMENT = Moment.PREPARE
_TUBS = (Use.INDUCTION, Use.IRRIGATION, Use.REVIVAL)
# Iodine harms what lives and fails on what does not by being too weak: the two are rounded apart.
_TOUCHES_LIFE = frozenset({"wound", "eggs"})


def prepare(desk: Desk) -> None:
    """What must stand ready before the fish is lifted out."""
    desk.answer(_MOMENT, "pond volume", "Water in the home pond", pond_volume)
    for vessel in desk.case.vessels:
        desk.answer(
            _MOMENT,
            f"volume: {vessel.name}",
            f"Water in the {vessel.name}",
            vessel_volume,
            vessel,
        )
    for body in (None, *desk.case.vessels):
        volumes.volume_findings(desk, _MOMENT, body)
    if tracer_salt.is_wanted(desk):
        desk.answer(_MOMENT, "tracer salt", "Salt to weigh for a better volume of the pond", tracer_salt.tracer_salt)
    desk.answer(_MOMENT, "pressure", "Air pressure at the place", pressure)
    desk.answer(_MOMENT, "saturation", "Oxygen that this water can hold", saturation)
    desk.answer(_MOMENT, "matched water", "Matched water to have ready", matched_water)
    desk.answer(_MOMENT, "mains chlorine", "Chlorine in the tap water", mains_chlorine)
    if desk.latest(MAINS, "chlorine") is not None:
        desk.answer(_MOMENT, "dechlorinate", "To neutralise tap water", dechlorinate)
    for use, what in (("instruments", "instrument bath"), ("nets", "net bath"), ("eggs", "egg bath")):
        desk.answer(
            _MOMENT,
            f"iodine: {use}",
            f"Povidone-iodine for {use}",
            iodine_bath,
            use,
            tables.row("defaults", what=what).value,
        )
    _steps(desk)


def vessel_volume(desk: Desk, vessel: Vessel) -> Answer:
    """Litres in a vessel, low, best and high."""
    values = desk.vessel_l(vessel)
    low, best, high = band(values)
    how = f"{vessel.body.volume.how}" if vessel.body.volume else f"{vessel.body.shape}, measured"
    water = desk.measured_water(vessel)
    if water is not None and water.together is not None:
        how = water.together.method.value
    return Answer(
        text=f"{amount(best, unit='L')} ({amount(low, high, unit='L')}).{volumes.together_text(water)} Go by the low end "
        "for oxygen, for ammonia and for whatever harms when it is too strong.",
        unit="L",
        values=values,
        method=how,
    )


def pond_volume(desk: Desk) -> Answer:
    """Litres in the home pond, low, best and high."""
    values = desk.pond_l()
    low, best, high = band(values)
    body = desk.case.home_pond.body if desk.case.home_pond else None
    how = body.volume.how if body and body.volume else f"{body.shape if body else ''}, sides' slope from the table"
    water = desk.measured_water(None)
    if water is not None and water.together is not None:
        how = water.together.method.value
    text = f"{amount(best, unit='L')} ({amount(low, high, unit='L')}).{volumes.together_text(water)}"
    return Answer(text=text, unit="L", values=values, method=how)


def pressure(desk: Desk) -> Answer:
    """Air pressure where the water is, on which its oxygen depends."""
    values = desk.air_pressure_kpa()
    measured = desk.case.place.station_pressure is not None
    return Answer(
        text=f"{amount(values[0], unit='kPa')}. A weather report is reduced to sea level: do not use it as it stands.",
        unit="kPa",
        values=values,
        method="reading" if measured else "standard atmosphere at the altitude; the band holds the weather",
    )


def saturation(desk: Desk) -> Answer:
    """Oxygen of the home water at saturation with air, against the level that the anaesthetised patient needs."""
    values = desk.saturation_mg_per_l(HOME)
    level = call.oxygen_level(desk, "anaesthetised", "alarm")
    return Answer(
        text=f"{amount(values[0], unit='mg/L')} at {amount(desk.temperature_c(HOME)[0], unit='°C')} when fully "
        f"aerated; an anaesthetised {desk.species.words} is to have {amount(level, unit='mg/L')} or more.",
        unit="mg/L",
        values=values,
        limit=Limit(value=level, side=Side.AT_LEAST),
        method="saturation for temperature, salt and air pressure",
    )


def matched_water(desk: Desk) -> Answer:
    """Litres of matched water for the tubs of the procedure, with a full set in reserve."""
    tubs = [vessel for use in _TUBS for vessel in desk.case.vessels_for(use)]
    if not tubs:
        raise Unanswerable('a vessel with use = "induction", "irrigation" or "revival"')
    times = tables.row("defaults", what="spare water").value
    values = times * sum((desk.vessel_l(vessel) for vessel in tubs), np.zeros(desk.draws.count + 1))
    ready = band(values).high
    names = ", ".join(vessel.name for vessel in tubs)
    share = ""
    if desk.is_known(None):
        share = f" That is {100 * ready / desk.pond_l()[0]:.1f} % of the pond."
    return Answer(
        text=f"{amount(ready, unit='L')}: {times:g} times what the {names} hold, from the fish's own water "
        f"unless that water is the trouble.{share}",
        unit="L",
        values=values,
        method="sum of the tubs, high end",
    )


def mains_chlorine(desk: Desk) -> Answer:
    """Chlorine of the tap water; grey where it was not tested."""
    if desk.latest(MAINS, "chlorine") is None:
        text = "Not measured: treat tap water as chlorinated until a test has shown otherwise."
        return Answer(text=text, verdict=Verdict.NOT_MEASURED)
    return call.chlorine(desk, MAINS)


def dechlorinate(desk: Desk) -> Answer:
    """Thiosulphate for 100 L of tap water at the high end of its chlorine, and the ammonia chloramine leaves."""
    chlorine = desk.water(MAINS, "chlorine")
    values = np.asarray(
        neutralise.neutraliser_g(100.0 * chlorine / 1000.0, oxidant="chlorine", neutraliser="thiosulphate pentahydrate")
    )
    division = tables.row("defaults", what="fine scale division").value
    grams = round_safely(band(values).high, division=division, safe=Safe.UP).amount
    text = (
        f"{amount(grams, unit='g')} of sodium thiosulphate crystals (pentahydrate) for each {amount(100.0, unit='L')}, "
        "then test for none left."
    )
    if desk.case.mains_water.disinfectant == "chloramine":
        left = np.asarray(neutralise.ammonia_from_chloramine_mg_n_per_l(chlorine))
        text += f" Chloramine leaves {amount(left[0], unit='mg/L as N')} of ammonia behind: count it."
    return Answer(
        text=text,
        unit="g",
        values=values,
        method="high end of the chlorine, rounded up: an antidote fails by too little",
        cautions=(Caution(text="A dechlorinator on the shelf has its own dose: follow its label, and test."),),
    )


def iodine_bath(desk: Desk, use: str, volume_l: float) -> Answer:
    """Stock of povidone-iodine for a bath of things that are not a living fish."""
    row = iodine.iodine_use(use)
    strength = iodine_stock_percent(desk)
    exact = float(iodine.iodine_stock_ml(volume_l, iodine_mg_available_per_l=row.value, pvp_iodine_percent=strength))
    division = tables.row("defaults", what="syringe division").value
    drawn = round_safely(exact, division=division, safe=Safe.DOWN if use in _TOUCHES_LIFE else Safe.UP)
    cautions = [Caution(text=_sentence(row["notes"]))]
    if drawn.below_resolution:
        cautions.insert(
            0,
            Caution(
                text=f"A syringe that shows {amount(division, unit='mL')} is too coarse for this: draw it with a finer one, "
                "or make up more."
            ),
        )
    millilitres = exact if drawn.below_resolution else drawn.amount
    spread = f" (range {amount(row.low, row.high, unit='mg/L')})" if row.high > row.low else ""
    return Answer(
        text=f"{amount(millilitres, unit='mL')} of the {strength:g} % PVP-I stock made up to "
        f"{amount(volume_l, unit='L')}: {amount(row.value, unit='mg/L')} available iodine{spread}, "
        f"{row['contact_words']}.",
        unit="mL",
        values=exact,
        method="dilution of the stock's available iodine, rounded to the syringe: down where it touches a wound or eggs",
        cautions=tuple(cautions),
    )


def iodine_stock_percent(desk: Desk) -> float:
    """Povidone-iodine on the bottle: as the case says, or the usual one, said as a remark [%]."""
    stock = desk.case.intended.iodine_stock
    if stock is not None:
        return stock.measured.best
    usual = tables.row("defaults", what="povidone-iodine stock").value
    remark(f"The bottle was not named: {usual:g} % povidone-iodine is assumed. Read the label.")
    return usual


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else text


def _steps(desk: Desk) -> None:
    operation = desk.case.intended.operation_at
    before = operation - timedelta(hours=1) if operation else None
    desk.step(
        _MOMENT,
        Who.NURSE,
        "Measure the pond (temperature, oxygen, pH, ammonia, nitrite, alkalinity) and test the hose for chlorine.",
        before,
    )
    desk.step(
        _MOMENT,
        Who.NURSE,
        "Fill the revival tub first, aerate it, and write down its temperature, oxygen and pH.",
        before,
    )
    desk.step(_MOMENT, Who.NURSE, "Run the battery air pump for ten minutes: it must carry every tub.")
    desk.step(_MOMENT, Who.NURSE, "Only then catch the fish.", operation)

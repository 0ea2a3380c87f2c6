"""Salt in the hospital: to a level, as a dip, and against nitrite."""

from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.case.schema import Use
from waterplan.dose import salt
from waterplan.dose.rounding import Safe, round_safely
from waterplan.errors import Refused
from waterplan.findings import Caution, Moment, Verdict, Who, amount
from waterplan.plan.answers import Answer, Limit, Side
from waterplan.plan.desk import HOME, Desk
from waterplan.published import FloatArray, remark
from waterplan.spread import band

_MOMENT = Moment.HOSPITAL


def salt_to_level(desk: Desk) -> Answer:
    """Grams of salt from the present level to the intended one, by the low end of the volume."""
    tank = desk.hospital_tank()
    intended = desk.case.intended.salt
    if intended is None:
        return Answer(text="No salt is intended.", method="as the case says")
    target = intended.measured.best
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED)
    if target > ceiling.high:
        raise Refused(
            f"{amount(target, unit='g/L')} for days is over the {amount(ceiling.high, unit='g/L')} ceiling for "
            f"{desk.species.words}; {ceiling.reason or 'no figure supports it'}"
        )
    present = desk.water(tank.name, "salinity")
    volume = desk.vessel_l(tank)
    grams = np.asarray(salt.salt_to_add_g(volume, present_g_per_l=present, intended_g_per_l=target))
    safe = float(
        np.asarray(salt.salt_to_add_g(band(volume).low, present_g_per_l=band(present).high, intended_g_per_l=target))
    )
    division = tables.row("defaults", what="scale division").value
    weighed = round_safely(safe, division=division, safe=Safe.DOWN).amount
    reached = band(present + weighed / volume)
    _salt_steps(desk, tank.name, weighed, salt.salt_steps(float(present[0]), intended_g_per_l=target))
    has_zeolite = desk.case.home_pond is not None and desk.case.home_pond.zeolite == "yes"
    cautions = [
        Caution(
            text="Plain salt without anticaking agents that hold cyanide, and no iodised or road salt. Dissolve it first."
        ),
        Caution(text="Take zeolite out first: salt makes it give its ammonia back.", serious=has_zeolite),
    ]
    if target > ceiling.value:
        cautions.insert(
            0, Caution(text="Above the usual ceiling for days: only with the veterinarian's word.", serious=True)
        )
    if desk.case.home_pond and desk.case.home_pond.plants == "yes" and target >= 1.0:
        cautions.append(Caution(text="Pond plants suffer from about 1 g/L: the salt stays in the tank."))
    return Answer(
        text=f"{amount(weighed, unit='g')} in all, to reach {amount(reached.low, reached.high, unit='g/L')} (asked for "
        f"{amount(target, unit='g/L')}). Top up evaporation with fresh water only; each change of water needs its own salt.",
        unit="g",
        values=grams,
        limit=Limit(
            value=band(volume).low * max(ceiling.high - float(present[0]), 0.0),
            side=Side.AT_MOST,
            words=f"ceiling for days {amount(ceiling.high, unit='g/L')}",
        ),
        method="low end of the volume, high end of the salt that is in it, rounded down",
        cautions=tuple(cautions),
    )


def _salt_steps(desk: Desk, tank: str, weighed_g: float, steps: tuple[salt.SaltStep, ...]) -> None:
    """The parts in which the salt goes in: equal, rounded down, the remainder in the last."""
    begin = desk.start()
    part = weighed_g // max(len(steps), 1)
    for number, step in enumerate(steps, 1):
        grams = part if number < len(steps) else weighed_g - part * (len(steps) - 1)
        at = begin + timedelta(hours=step.at_h) if begin else None
        later = "" if at or not step.at_h else f", {step.at_h:g} h after the first"
        what = f"{tank}: dissolve {amount(grams, unit='g')} of salt in tank water and add it slowly{later}."
        desk.step(_MOMENT, Who.NURSE, what, at)


def salt_dip(desk: Desk) -> Answer:
    """Grams for the salt dip that the case intends."""
    intended = desk.case.intended.salt_dip
    if intended is None:
        return Answer(text="No salt dip is intended.", method="as the case says")
    tubs = desk.case.vessels_for(Use.DIP)
    if tubs:
        return short_salt(
            desk, salt.Exposure.DIP, intended.measured.best, desk.vessel_l(tubs[0]), f"the {tubs[0].name}"
        )
    litres = tables.row("defaults", what="dip volume").value
    volume = np.full(desk.draws.count + 1, litres)
    return short_salt(desk, salt.Exposure.DIP, intended.measured.best, volume, amount(litres, unit="L"))


def short_salt(desk: Desk, exposure: salt.Exposure, strength: float, volume_l: FloatArray, where: str) -> Answer:
    """Grams for a salt bath or dip of a strength [g/L], with its attended time and the species' ceiling."""
    ceiling = salt.salt_ceiling(desk.species.salt_group, exposure)
    if desk.case.patient.condition == "weak":
        raise Refused("a weak fish is never dipped, nor one that is short of oxygen or just out of an anaesthetic")
    if strength > ceiling.high:
        raise Refused(
            f"{amount(strength, unit='g/L')} is over the {amount(ceiling.high, unit='g/L')} ceiling of a {exposure} for "
            f"{desk.species.words}: {ceiling.reason or 'no figure supports it'}"
        )
    time = salt.salt_time(exposure)
    grams = np.asarray(salt.salt_to_add_g(volume_l, present_g_per_l=0.0, intended_g_per_l=strength))
    weighed = round_safely(
        band(grams).low, division=tables.row("defaults", what="scale division").value, safe=Safe.DOWN
    ).amount
    cautions = [
        Caution(text="One fish at a time, never left alone; never a fish just out of an anaesthetic.", serious=True)
    ]
    if strength > ceiling.value:
        cautions.append(Caution(text=f"Above the usual {exposure}: only with the veterinarian's word.", serious=True))
    return Answer(
        text=f"{amount(weighed, unit='g')} in {where} for {amount(strength, unit='g/L')}; "
        f"{amount(time.low, time.value, unit='min')} with the net in hand, out at the first loss of balance.",
        unit="g",
        values=grams,
        limit=Limit(
            value=volume_l * ceiling.high,
            side=Side.AT_MOST,
            words=f"{exposure} ceiling {amount(ceiling.high, unit='g/L')}",
        ),
        method="low end of the volume, rounded down",
        cautions=tuple(cautions),
    )


def nitrite_guard(desk: Desk) -> Answer:
    """Chloride that keeps nitrite out of the fish; no dose while the nitrite's basis is unknown."""
    tank = desk.hospital_tank()
    where = tank.name if desk.latest(tank.name, "nitrite") is not None else HOME
    reading = desk.latest(where, "nitrite")
    if reading is None:
        return Answer(text="Nitrite was not measured.", verdict=Verdict.NOT_MEASURED)
    if reading.basis_unknown:
        raise Refused("the nitrite's basis is not known, and the dose differs 3.3 times: ask what the kit reports")
    ratio = tables.row("water_limits", quantity="chloride_ratio", group="any", level="least").value
    present = np.zeros(desk.draws.count + 1)
    if desk.latest(where, "chloride") is not None:
        present = desk.water(where, "chloride")
    else:
        remark(f"The chloride of the {where} was not measured: none is counted.")
    need = np.maximum(ratio * desk.water(where, "nitrite") - present, 0.0)
    salt_level = need / (0.6066 * 1000.0)
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED)
    return Answer(
        text=f"{amount(band(need).high, unit='mg/L')} more of chloride, which {amount(band(salt_level).high, unit='g/L')} of "
        f"salt gives, keeps {ratio:g} to 1 over the nitrite of the {where}. It keeps nitrite out; it does not remove it.",
        unit="g/L",
        values=salt_level,
        limit=Limit(value=ceiling.high, side=Side.AT_MOST, words=f"salt for days {amount(ceiling.high, unit='g/L')}"),
        method="chloride to nitrite by mass, high end: an antidote fails by too little",
    )

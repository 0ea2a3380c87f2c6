"""Salt in the hospital: to a level, as a dip, and against nitrite."""

from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.dose import changes, salt
from waterplan.dose.banded import DoseVolume, Purpose, banded_dose
from waterplan.dose.rounding import Safe, round_safely
from waterplan.errors import Refused
from waterplan.findings import Caution, Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.dose_cards import CardDraft, Portion, SaltPart, Told
from waterplan.first_plan.dose_waters import DoseWater, kitchen_scale_g, vessel_water
from waterplan.first_plan.first_case.model import Vessel
from waterplan.first_plan.first_case.schema import Use
from waterplan.published import Numbers, Status, remark
from waterplan.spread import band
from waterplan.water import nitrite as water_nitrite

_MOMENT = Moment.HOSPITAL
_MG_PER_G = 1000.0
_EVAPORATED = 0.9


def salt_wanted_g_per_l(desk: Desk) -> float | None:
    """The salt that the hospital tank is to hold, by [intended] or by one dose: none where both ask, or where it is refused."""
    tank, intended = desk.hospital_tank(), desk.case.intended.salt
    doses = [
        dose
        for dose in desk.case.doses
        if (dose.substance, dose.use, dose.into) == ("salt", salt.Exposure.PROLONGED, tank.name)
    ]
    asked = [dose.strength for dose in doses] if intended is None else [intended, *(dose.strength for dose in doses)]
    if len(asked) != 1 or asked[0] is None:
        return None
    wanted = asked[0].measured.best
    return wanted if wanted <= salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED).high else None


def salt_to_level(desk: Desk) -> Answer:
    """Grams of salt from the present level of the hospital tank to the intended one."""
    place = vessel_water(desk, desk.hospital_tank())
    intended = desk.case.intended.salt
    if intended is None:
        return Answer(text="No salt is intended.", method="as the case says")
    return level_of_salt(desk, place, intended.measured.best, CardDraft())


def grade_cautions(grade: str = "") -> tuple[Caution, ...]:
    """What is to be said of the salt that is used, or which there are where it was not named; a grade that harms is refused."""
    if grade:
        row = salt.salt_grade(grade)
        if row["use"] == "yes":
            return ()
        said = {"check": "Read the bag first", "prefer without": "Better without"}[row["use"]]
        return (Caution(text=f"{said}: {grade}, {row.reason} ({row.cited})."),)
    by_use: dict[str, list[str]] = {}
    for row in salt.salt_grades():
        by_use.setdefault(row["use"], []).append(row["grade"])
    heads = {"yes": "Salt to use", "check": "read the bag of", "prefer without": "better not", "no": "never"}
    told = "; ".join(f"{words}: {', or '.join(by_use[use])}" for use, words in heads.items())
    return (Caution(text=f"{told}. Dissolve it first."),)


def level_of_salt(desk: Desk, place: DoseWater, target: float, draft: CardDraft, *, grade: str = "") -> Answer:
    """Grams of salt from the present level of a water to a target held for days, by the low end of the volume."""
    graded = grade_cautions(grade)
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED)
    draft.wanted, draft.ceiling, draft.told = target, ceiling.high, _told(ceiling)
    judged = salt.salt_verdict(target, group=desk.species.salt_group, exposure=salt.Exposure.PROLONGED)
    present, volume = desk.water(place.water, "salinity"), place.litres
    grams = np.asarray(salt.salt_to_add_g(volume, present_g_per_l=present, intended_g_per_l=target))
    weighed, cautions = _weigh(place.volume, target, band(present).high, ceiling.high)
    if weighed == 0.0 and band(present).best >= target:
        text = f"None: the {place.name} holds {amount(present[0], unit='g/L')} already (asked for {amount(target, unit='g/L')})."
        return Answer(text=text, unit="g", values=grams, method="salt that is in it against the level asked for")
    values = present + weighed / volume
    reached = draft.level = band(values)
    _portion(draft, weighed, place.name)
    _salt_steps(desk, place.name, weighed, salt.salt_steps(float(present[0]), intended_g_per_l=target), draft)
    has_zeolite = desk.case.home_pond is not None and desk.case.home_pond.zeolite == "yes"
    cautions += [
        *graded,
        Caution(text="Take zeolite out first: salt makes it give its ammonia back.", serious=has_zeolite),
    ]
    if judged is salt.SaltVerdict.CONFIRM:
        cautions.insert(
            0, Caution(text="Above the usual ceiling for days: only with the veterinarian's word.", serious=True)
        )
    if desk.case.home_pond and desk.case.home_pond.plants == "yes" and target >= 1.0:
        cautions.append(Caution(text="Pond plants suffer from about 1 g/L: the salt stays in the tank."))
    used, holds = amount(place.volume.low_l, unit="L"), amount(band(present).high, unit="g/L")
    return Answer(
        text=f"{amount(weighed, unit='g')} in all, worked out for {used}, the low end of the volume, with {holds} in it "
        f"already, the high end, so that it is never more than was asked for: by the errors it reaches "
        f"{amount(reached.low, reached.high, unit='g/L')} (asked for {amount(target, unit='g/L')}). Top up evaporation with "
        "fresh water only; each change of water needs its own salt.",
        unit="g",
        values=grams,
        limit=Limit(
            value=place.volume.low_l * max(ceiling.high - float(present[0]), 0.0),
            side=Side.AT_MOST,
            words=f"ceiling for days {amount(ceiling.high, unit='g/L')}",
        ),
        method="low end of the volume, high end of the salt that is in it, rounded down",
        cautions=tuple(cautions),
    )


def _weigh(volume: DoseVolume, target: float, present_high: float, ceiling: float) -> tuple[float, list[Caution]]:
    """Salt to weigh for the low end of the volume, rounded down, and a caution where the scale is too coarse for it.

    A narrow margin is refused on a volume that was guessed.
    """
    worked = banded_dose(
        volume,
        wanted_mg_per_l=target * _MG_PER_G,
        purpose=Purpose.HARMS_IN_EXCESS,
        present_mg_per_l=present_high * _MG_PER_G,
        ceiling_mg_per_l=max(ceiling, present_high) * _MG_PER_G,
    )
    division = kitchen_scale_g()
    rounded = round_safely(worked.amount_g, division=division, safe=Safe.DOWN)
    if not rounded.below_resolution:
        return rounded.amount, []
    text = (
        f"{amount(worked.amount_g, unit='g')} is too little for a scale that shows {amount(division, unit='g')}: weigh it on "
        "a finer one, or weigh out more, dissolve it and measure out a part."
    )
    return rounded.amount, [Caution(text=text)]


def _portion(draft: CardDraft, weighed_g: float, into: str) -> None:
    draft.portions.append(Portion(what="salt", amount=weighed_g, unit="g", digits=0, into=into))


def _told(ceiling: tables.Row) -> Told:
    words = f"usual up to {ceiling.low:g} g/L, ceiling {ceiling.value:g} g/L ({ceiling.status})"
    return Told(low=0.0, high=ceiling.value, words=words, status=Status(ceiling.status))


def _salt_steps(desk: Desk, tank: str, weighed_g: float, steps: tuple[salt.SaltStep, ...], draft: CardDraft) -> None:
    """The parts in which the salt goes in: equal, rounded down, the remainder in the last."""
    if not weighed_g:
        return
    begin = desk.start()
    part = weighed_g // max(len(steps), 1)
    for number, step in enumerate(steps, 1):
        grams = part if number < len(steps) else weighed_g - part * (len(steps) - 1)
        at = begin + timedelta(hours=step.at_h) if begin else None
        later = "" if at or not step.at_h else f", {step.at_h:g} h after the first"
        what = f"{tank}: dissolve {amount(grams, unit='g')} of salt in tank water and add it slowly{later}."
        desk.step(_MOMENT, Who.NURSE, what, at)
        when = f"{step.at_h:g} h after the first" if step.at_h else "first"
        draft.order.append(f"{when[0].upper()}{when[1:]}: {amount(grams, unit='g')}, dissolved in tank water, slowly.")
        draft.salt_parts.append(SaltPart(at_h=step.at_h, grams=grams, level_g_per_l=step.level_g_per_l))


def salt_dip(desk: Desk) -> Answer:
    """Grams for the salt dip that the case intends."""
    intended = desk.case.intended.salt_dip
    if intended is None:
        return Answer(text="No salt dip is intended.", method="as the case says")
    tubs = desk.case.vessels_for(Use.DIP)
    if tubs:
        tub = tubs[0].name
        present = desk.water(tub, "salinity") if desk.latest(tub, "salinity") is not None else 0.0
        place = vessel_water(desk, tubs[0])
        return short_salt(desk, salt.Exposure.DIP, intended.measured.best, place, f"the {tub}", present)
    litres = tables.row("defaults", what="dip volume").value
    volume = np.full(desk.draws.count + 1, litres)
    name = amount(litres, unit="L")
    place = DoseWater(name=name, litres=volume, guessed=False, water=HOME)
    return short_salt(desk, salt.Exposure.DIP, intended.measured.best, place, name)


def short_salt(
    desk: Desk,
    exposure: salt.Exposure,
    strength: float,
    place: DoseWater,
    where: str,
    present_g_per_l: Numbers = 0.0,
    draft: CardDraft | None = None,
    grade: str = "",
) -> Answer:
    """Grams for a salt bath or dip of a strength [g/L], with its attended time and the species' ceiling."""
    draft, graded = draft or CardDraft(), grade_cautions(grade)
    ceiling = salt.salt_ceiling(desk.species.salt_group, exposure)
    draft.wanted, draft.ceiling, draft.told = strength, ceiling.high, _told(ceiling)
    if desk.case.patient.condition == "weak":
        raise Refused("a weak fish is never dipped, nor one that is short of oxygen or just out of an anaesthetic")
    judged = salt.salt_verdict(strength, group=desk.species.salt_group, exposure=exposure)
    time = salt.salt_time(exposure)
    grams = np.asarray(salt.salt_to_add_g(place.litres, present_g_per_l=present_g_per_l, intended_g_per_l=strength))
    weighed, cautions = _weigh(place.volume, strength, band(present_g_per_l).high, ceiling.high)
    draft.level = band(np.asarray(present_g_per_l) + weighed / place.litres)
    _portion(draft, weighed, place.name)
    draft.order.append("Dissolve it in a jug, pour it in, stir, air on: one fish at a time, net in hand.")
    attended = amount(time.low, time.value, unit="min")
    draft.order.append(f"{attended}, clock running; out at the first loss of balance.")
    cautions += [
        Caution(text="One fish at a time, never left alone; never a fish just out of an anaesthetic.", serious=True),
        *graded,
    ]
    if judged is salt.SaltVerdict.CONFIRM:
        cautions.append(Caution(text=f"Above the usual {exposure}: only with the veterinarian's word.", serious=True))
    used = amount(place.volume.low_l, unit="L")
    return Answer(
        text=f"{amount(weighed, unit='g')} in {where} for {amount(strength, unit='g/L')}, worked out for {used}, the low end of "
        f"its volume: {amount(draft.level.low, draft.level.high, unit='g/L')} by its error; {attended} with the net in hand, "
        "out at the first loss of balance.",
        unit="g",
        values=grams,
        limit=Limit(
            value=place.litres * np.maximum(ceiling.high - np.asarray(present_g_per_l), 0.0),
            side=Side.AT_MOST,
            words=f"{exposure} ceiling {amount(ceiling.high, unit='g/L')}",
        ),
        method="low end of the volume, high end of the salt that is in it, rounded down",
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
    need = np.asarray(
        water_nitrite.chloride_needed_mg_per_l(desk.water(where, "nitrite"), ratio=ratio, chloride_mg_per_l=present)
    )
    salt_level = np.asarray(water_nitrite.salt_for_chloride_mg_per_l(need)) / _MG_PER_G
    # An antidote: both at their high ends, rounded up.
    grams = band(salt_level).high * vessel_water(desk, tank).volume.high_l
    weighed = round_safely(grams, division=kitchen_scale_g(), safe=Safe.UP).amount
    ceiling = salt.salt_ceiling(desk.species.salt_group, salt.Exposure.PROLONGED)
    return Answer(
        text=f"{amount(band(need).high, unit='mg/L')} more of chloride, which {amount(band(salt_level).high, unit='g/L')} of "
        f"salt gives ({amount(weighed, unit='g')} in the {tank.name}), keeps {ratio:g} to 1 over the nitrite of the {where}. "
        "It keeps nitrite out; it does not remove it.",
        unit="g/L",
        values=salt_level,
        limit=Limit(value=ceiling.high, side=Side.AT_MOST, words=f"salt for days {amount(ceiling.high, unit='g/L')}"),
        method="chloride to nitrite by mass, high end: an antidote fails by too little",
    )


def salt_of_changes(desk: Desk) -> Answer:
    """The ledger of the salt: what each change of water takes, and what evaporation does not."""
    tank, intended = desk.hospital_tank(), desk.case.intended.salt
    if intended is None:
        return Answer(text="No salt is intended.", method="as the case says")
    target = intended.measured.best
    salt.salt_verdict(target, group=desk.species.salt_group, exposure=salt.Exposure.PROLONGED)
    litres, share = desk.vessel_l(tank), tables.row("defaults", what="unsalting change").value
    source = _new_water_salt(desk, tank)
    wanted = max(target - source, 0.0) * _MG_PER_G
    grams = np.asarray(changes.put_back_g(litres, changed_fraction=share, wanted_mg_per_l=wanted))
    weighed = round_safely(band(grams).low, division=kitchen_scale_g(), safe=Safe.DOWN).amount
    left = changes.level_after_changes_mg_per_l(
        target * _MG_PER_G, changed_fraction=share, changes=3, source_mg_per_l=source * _MG_PER_G
    )
    low_l = float(litres[0])
    dry = changes.level_after_evaporation_mg_per_l(target * _MG_PER_G, volume_l=low_l, remaining_l=_EVAPORATED * low_l)
    return Answer(
        text=f"Each change of a quarter ({amount(share * litres[0], unit='L')}) takes {amount(weighed, unit='g')} in the new "
        f"water before it goes in. Three changes without it leave {amount(float(left) / _MG_PER_G, unit='g/L')}. Evaporation "
        f"takes no salt: with a tenth gone it reads {amount(float(dry) / _MG_PER_G, unit='g/L')}; top up with fresh water.",
        unit="g",
        values=grams,
        method="share changed x litres x (level - what the new water holds), low end, rounded down",
    )


def unsalting(desk: Desk) -> Answer:
    """Changes of water until the salt has come down again."""
    tank, intended = desk.hospital_tank(), desk.case.intended.salt
    if intended is None:
        return Answer(text="No salt is intended.", method="as the case says")
    if salt_wanted_g_per_l(desk) is None:
        return Answer(text="No salt goes in as things are: there is none to bring down.", method="as the case says")
    return unsalting_from(intended.measured.best, _new_water_salt(desk, tank))


def unsalting_from(target: float, source: float) -> Answer:
    """Changes of water that bring a level of salt [g/L] down again, with new water of a salt of its own [g/L]."""
    end, share = tables.row("defaults", what="unsalted").value, tables.row("defaults", what="unsalting change").value
    if source >= end:
        text = f"The new water holds {amount(source, unit='g/L')} itself: it comes down to that and no further."
        return Answer(text=text, method="mixing")
    count = changes.changes_to_reach(
        target * _MG_PER_G, end_mg_per_l=end * _MG_PER_G, changed_fraction=share, source_mg_per_l=source * _MG_PER_G
    )
    return Answer(
        text=f"{count} changes of a quarter without salt bring {amount(target, unit='g/L')} down to "
        f"{amount(end, unit='g/L')} or less: one a day, and read the meter.",
        unit="changes",
        values=float(count),
        method="equal changes, each well mixed",
    )


def _new_water_salt(desk: Desk, tank: Vessel) -> float:
    """Salt of the water that a change brings: none where it was not measured."""
    known = desk.latest(tank.filled_with, "salinity")
    return 0.0 if known is None else float(desk.water(tank.filled_with, "salinity")[0])

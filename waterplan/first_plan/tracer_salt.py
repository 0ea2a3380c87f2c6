"""How much salt a tracer test of the home pond takes, and what speaks against it."""

import math

from waterplan import tables
from waterplan.dose.salt import Exposure, salt_ceiling
from waterplan.errors import Refused
from waterplan.findings import Caution, amount
from waterplan.first_plan.answers import Answer
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.schema import By
from waterplan.first_plan.volumes import marked
from waterplan.fish.species import species
from waterplan.published import remark
from waterplan.spread import COVERAGE, band
from waterplan.vessel.tracer import Signal
from waterplan.vessel.tracer_salt import Keeps, salt_to_weigh
from waterplan.vessel.volume import relative_sd

# Half the width of the band that is aimed at where the case says nothing of it, as a share of the volume.
_WANTED = 0.05
_STURGEON = "sturgeon"


def is_wanted(desk: Desk) -> bool:
    """Whether the home pond has a volume, and no weighed salt has given it."""
    water = desk.measured_water(None)
    traced = water is not None and any(
        way.volume is not None and way.given is not None and way.given.by is By.TRACER for way in water.ways
    )
    return not traced and desk.is_known(None)


def tracer_salt(desk: Desk) -> Answer:
    """The salt that makes the pond's volume as sure as is wanted, under the ceiling of its most sensitive fish."""
    volume, half_band = band(desk.pond_l()), _wanted(desk)
    wanted = f"{100.0 * half_band:g} %"
    if volume.low == volume.high or (volume.high - volume.low) / (2.0 * volume.best) <= half_band:
        return Answer(text=f"Not needed: the volume is known to within {wanted} of itself.")
    meter = tables.row("vessel_tracer", rule="repeat of a reading").value
    stations = int(tables.row("vessel_tracer", rule="stations").value)
    fixed = math.hypot(relative_sd("conductivity meter"), relative_sd("conductivity of NaCl"))
    present = float(desk.salinity_g_per_l(HOME)[0])
    try:
        found = salt_to_weigh(
            volume,
            half_band=half_band,
            signal=Signal.SALINITY,
            reads_now=present,
            reading_error=meter / COVERAGE,
            fixed_error=fixed,
            readings_before=stations,
            readings_after=stations,
            salt_now_g_per_l=present,
            ceiling_g_per_l=_ceiling(desk),
            keeps=_keeps(desk),
        )
    except Refused as refused:
        cautions = tuple(Caution(text=text) for text in _warned(desk))
        return Answer(text=f"Not by salt as things are. {marked(str(refused))}", cautions=cautions)
    text = (
        f"{amount(found.salt_g, unit='g')} of pure salt for a band of ± {wanted}, read with a conductivity meter that "
        f"repeats to ± {amount(meter, unit='g/L')}, at {stations} places before and after: it brings the water to "
        f"{amount(found.salinity_g_per_l, unit='g/L')} at most. Weigh it, dissolve it, spread it, and give the readings in "
        "[[volumes]]."
    )
    cautions = tuple(Caution(text=text) for text in found.cautions)
    return Answer(text=text, unit="g", values=found.salt_g, cautions=cautions, method="rise over the meter's own error")


def _wanted(desk: Desk) -> float:
    pond = desk.case.home_pond
    return pond.wanted_within.measured.best / 100.0 if pond is not None and pond.wanted_within is not None else _WANTED


def _everyone(desk: Desk) -> list[str]:
    return [desk.case.patient.species, *(sort.species for sort in desk.case.other_fish if sort.count)]


def _ceiling(desk: Desk) -> float:
    """The ceiling for days of whichever fish bears least [g/L]."""
    groups = {species(name).salt_group for name in _everyone(desk)}
    return min(salt_ceiling(group, Exposure.PROLONGED).value for group in groups)


def _keeps(desk: Desk) -> frozenset[Keeps]:
    pond = desk.case.home_pond
    found = {Keeps.STURGEON} if _STURGEON in _everyone(desk) else set()
    if pond is not None and pond.plants == "yes":
        found.add(Keeps.PLANTS)
    told = any(one.what == "zeolite" and one.where in {"", "home pond"} for one in desk.case.already)
    if told or (pond is not None and pond.zeolite == "yes"):
        found.add(Keeps.ZEOLITE)
    if pond is None or not (pond.plants and (pond.zeolite or told)):
        remark("Whether there are plants or zeolite in the pond was not said: neither goes with a salt test.")
    return frozenset(found)


def _warned(desk: Desk) -> list[str]:
    return [
        f"There is {what} in the pond, which does not go with salt."
        for what in sorted(_keeps(desk))
        if what != "plants"
    ]

"""Salt to weigh for a tracer test of the home pond, where its volume is not sure enough for what is asked of it."""

import math
from collections.abc import Collection, Iterator
from functools import partial
from typing import Any

from waterplan import tables
from waterplan.actions.needs import need_of
from waterplan.actions.proposing import Context, Proposal, codes
from waterplan.actions.record import Kind, Who
from waterplan.case.model import Case
from waterplan.case.names import HOME_POND
from waterplan.case.values import Reading
from waterplan.case.volume.measurement import By
from waterplan.dose.salt import Exposure, salt_ceiling
from waterplan.errors import Refused
from waterplan.hazards.record import Hazard, Why
from waterplan.spread import COVERAGE, Band, band
from waterplan.stay.figures import Figures
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, Origin
from waterplan.stay.volume.found import Found
from waterplan.stay.waters import HOME
from waterplan.vessel.tracer_salt import Keeps, SaltToWeigh, salt_to_weigh
from waterplan.vessel.volume import relative_sd


def tracer_salt(context: Context) -> Iterator[Proposal]:
    """The salt that makes the pond's volume as sure as is wanted, under the ceiling of its most sensitive fish."""
    case, found = context.ground.case, context.ground.found.get(HOME)
    calls = tuple(one.id for one in context.calling(Hazard.VOLUME) if one.water == HOME)
    if any(one.water == HOME for one in context.calling(Hazard.SIGN, Hazard.DISEASE)):
        return  # first the fish: while they are ill in it nobody salts a pond to learn its litres
    if found is None or not _is_wanted(case, found, called=bool(calls)):
        return
    pond, litres = case.home_pond, band(found.litres.draws)
    within = wanted_within(None if pond is None else pond.wanted_within)
    if (litres.high - litres.low) / (2.0 * litres.best) <= within:
        return
    keeps, need = _keeps(context), need_of(context, context.stay[HOME])
    weigh = weighed(
        context.figures,
        litres,
        within=within,
        present_g_per_l=band(need.state[Q.SALT]).high,
        salt_groups={fish.species.salt_group for fish in context.ground.fish.values() if fish.count},
        keeps=keeps,
    )
    due: dict[str, Any] = {"moment": Moment.PREPARE, "who": Who.VET, "by": None, "done": None}
    words = {"quantity": Q.VOLUME.value, "with": By.TRACER.value}
    made = partial(need.proposal, Kind.MEASURE, "salt", substance="salt", words=words, **due)
    not_stated = pond is None or pond.plants is None or (pond.zeolite is None and Keeps.ZEOLITE not in keeps)
    cautions = cautions_of(keeps) + codes("tracer-plants-or-zeolite-not-stated" if not_stated else "")
    if isinstance(weigh, Why):
        yield made(refused_because=(weigh,), cautions=cautions)
        return
    rows = tuple(f"vessel_tracer/{rule}" for rule in ("wanted within", "repeat of a reading", "stations"))
    unusual = weigh.rise_g_per_l > tables.row("vessel_tracer", rule="salt allowance").high
    yield made(
        amounts={
            "salt": need.put("tracer-salt", weigh.salt_g, "g", rows=rows, worked_out_for="high"),
            "level reached": need.put("salt/after-tracer", weigh.salinity_g_per_l, "g/L", act_end=ActEnd.HIGH),
        },
        answers=calls,
        worked_out_for={"volume": "high"},
        cautions=cautions + codes("tracer-rise-unusual" if unusual else ""),
    )


def _is_wanted(case: Case, found: Found, *, called: bool) -> bool:
    """Whether the pond has a volume that no salt has given, and somebody needs it surer."""
    traced = any(way.by == By.TRACER and not way.refused for way in found.record.ways)
    stated = case.home_pond is not None and case.home_pond.wanted_within is not None
    return found.litres.origin is Origin.MEASURED and not traced and (called or stated)


def wanted_within(stated: Reading | None) -> float:
    """Half the width of the band that is aimed at, as a share of the volume; the ordinary wish where none is stated."""
    if stated is not None:
        return stated.measured.best / 100.0
    return tables.row("vessel_tracer", rule="wanted within").value


def _keeps(context: Context) -> frozenset[Keeps]:
    """What else is in the pond that does not go with salt."""
    case, pond = context.ground.case, context.ground.case.home_pond
    zeolite = any(one.what == "zeolite" and one.where in {"", HOME_POND} for one in case.already)
    there = {
        Keeps.STURGEON: any(one.species.name == Keeps.STURGEON.value for one in context.ground.fish.values()),
        Keeps.PLANTS: pond is not None and pond.plants,
        Keeps.ZEOLITE: zeolite or (pond is not None and pond.zeolite),
    }
    return frozenset(keeps for keeps, is_there in there.items() if is_there)


def weighed(
    figures: Figures,
    litres: Band,
    *,
    within: float,
    present_g_per_l: float,
    salt_groups: Collection[str],
    keeps: Collection[Keeps],
) -> SaltToWeigh | Why:
    """The salt of a tracer test of the home pond with a meter of salinity, or why none may be weighed in.

    Parameters
    ----------
    figures : Figures
        Where the numbers of a reason go.
    litres : Band
        The volume as far as it is known [L].
    within : float
        Wanted half-width of the 90 % band, as a fraction.
    present_g_per_l : float
        Salt in the water now [g/L].
    salt_groups : collection of str
        The groups of the fish in it; the ceiling is that of the most sensitive.
    keeps : collection of Keeps
        What else is in it.

    Returns
    -------
    SaltToWeigh or Why
        The weight and what it makes of the water.
    """
    if Keeps.ZEOLITE in keeps:
        return Why(code="tracer-with-zeolite")
    try:
        return salt_to_weigh(
            litres._replace(low=min(litres.low, litres.best), high=max(litres.high, litres.best)),
            half_band=within,
            reading_error=tables.row("vessel_tracer", rule="repeat of a reading").value / COVERAGE,
            fixed_error=math.hypot(relative_sd("conductivity meter"), relative_sd("conductivity of NaCl")),
            readings=int(tables.row("vessel_tracer", rule="stations").value),
            salt_now_g_per_l=present_g_per_l,
            ceiling_g_per_l=min(salt_ceiling(group, Exposure.PROLONGED).value for group in salt_groups or {"other"}),
        )
    except Refused as error:
        told = {
            key: figures.put(f"{HOME}/tracer-salt/{key.replace(' ', '-')}", value, unit=unit)
            for key, (value, unit) in error.figures.items()
        }
        return Why(code=error.code, figures=told)


def cautions_of(keeps: Collection[Keeps]) -> tuple[Why, ...]:
    """What is said about the salt where something in the water may suffer from it."""
    return codes(*(f"tracer-with-{one}" for one in sorted(keeps) if one is not Keeps.ZEOLITE))

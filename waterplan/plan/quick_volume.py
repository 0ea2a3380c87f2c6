"""The volume of one water from a survey, a test or its sizes, and the salt for a test: values in, a plan's record out."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from waterplan.actions.record import Action, Kind, Who
from waterplan.actions.tracer_salt import cautions_of, wanted_within, weighed
from waterplan.case.reading import read_case
from waterplan.case.volume.measurement import By
from waterplan.case.volume.measuring import Progress
from waterplan.case.volume.rows import numbers_in, split_rows
from waterplan.errors import CaseError
from waterplan.hazards.record import Why
from waterplan.plan.quick import Values
from waterplan.plan.record import Plan
from waterplan.spread import band
from waterplan.stay.record import ActEnd, Moment, VolumeFound, Water, WaterKind
from waterplan.stay.volume.found import find_volume
from waterplan.units import Family, to_core
from waterplan.vessel.outline import Outline
from waterplan.vessel.tracer_salt import Keeps

WATER = "home-pond"
WHERE = "volumes[1]"
_POND = Water(id=WATER, name="", kind=WaterKind.HOME)


def quick_volume(table: Mapping[str, Any], *, progress: Progress | None = None) -> Plan:
    """The volume of a water from one table of `[[volumes]]`.

    Parameters
    ----------
    table : mapping
        Keys of the table and their texts, without `of`.
    progress : callable, optional
        Told the share of a long survey that is done.

    Returns
    -------
    Plan
        One water, `home-pond`, its figures, and how its volume was found.

    Raises
    ------
    CaseError
        The key and row of all that is wrong.
    """
    values = Values()
    case = read_case({"volumes": [{**table, "of": "home pond"}]}, file="volume")
    found = find_volume(case, values.inputs, values.figures, water=WATER, vessel=None, progress=progress)
    return values.plan("volume").model_copy(update={"waters": (_POND,), "volumes": (found.record,)})


def quick_tracer_salt(
    *, volume: str, within: str, salinity: str, species_name: str, plants: bool = False, zeolite: bool = False
) -> Plan:
    """How much salt a tracer test takes.

    Parameters
    ----------
    volume : str
        The water as far as it is known, such as "9000 L, owner's word".
    within : str
        How near it is wanted, such as "5 %"; the ordinary wish where it is empty.
    salinity : str
        Salt in it now, with its unit; none where it is empty.
    species_name : str
        The species in it that bears the least salt.
    plants, zeolite : bool
        What else is in it.

    Returns
    -------
    Plan
        One action, with the salt to weigh or the reason why there is none.

    Raises
    ------
    CaseError
        What cannot be read, all together.
    """
    values = Values()
    litres = values.reading("volume", volume)
    values.need("volume", litres, "write the litres, such as '9000 L, owner's word'")
    share = values.reading("within", within, "wanted_within")
    salt = values.draws("salinity", salinity)
    kind = values.species(species_name)
    values.stop_if_wrong()
    assert litres is not None
    drawn = values.inputs.of_reading("volume", litres)
    present = 0.0 if salt is None else band(np.maximum(salt, 0.0)).high
    there = {Keeps.PLANTS: plants, Keeps.ZEOLITE: zeolite, Keeps.STURGEON: kind.name == Keeps.STURGEON.value}
    keeps = [one for one, is_there in there.items() if is_there]
    weigh = weighed(
        values.figures,
        band(drawn),
        within=wanted_within(share),
        present_g_per_l=present,
        salt_groups={kind.salt_group},
        keeps=keeps,
    )
    amounts: dict[str, str] = {}
    if not isinstance(weigh, Why):
        amounts["salt"] = values.figures.put(f"{WATER}/tracer-salt", weigh.salt_g, unit="g")
        values.figures.put(f"{WATER}/salt/after-tracer", weigh.salinity_g_per_l, unit="g/L", act_end=ActEnd.HIGH)
    action = Action(
        id=f"{Moment.PREPARE}/{Kind.MEASURE}/{WATER}/salt",
        kind=Kind.MEASURE,
        moment=Moment.PREPARE,
        water=WATER,
        who=Who.VET,
        amounts=amounts,
        substance="salt",
        words={"quantity": "volume", "with": By.TRACER.value},
        worked_out_for={"volume": "high"} if amounts else {},
        refused_because=(weigh,) if isinstance(weigh, Why) else (),
        cautions=cautions_of(keeps),
    )
    return values.plan("tracer salt", actions=[action]).model_copy(update={"waters": (_POND,)})


def shore_so_far(table: Mapping[str, str]) -> Plan | None:
    """A plan with nothing but the shore and the soundings, as far as they can be read while they are typed; None without."""
    unit = table.get("unit", "")
    if unit not in Family.LENGTH.units:
        return None
    metres = to_core(1.0, unit, Family.LENGTH)
    corners = [row[:2] for row in _figures(table.get("outline", ""), 2)]
    try:
        outline = Outline.traced(np.asarray(corners) * metres, curved=table.get("shore") == "curved")
    except CaseError:
        return None
    soundings = [row[:3] for row in _figures(table.get("soundings", ""), 3)]
    found = VolumeFound(
        water=WATER,
        figure="",
        ways=(),
        outline_m=tuple((float(x), float(y)) for x, y in outline.ring),
        soundings_m=tuple((x * metres, y * metres, depth * metres) for x, y, depth in soundings),
    )
    return Values().plan("volume").model_copy(update={"waters": (_POND,), "volumes": (found,)})


def _figures(text: str, least: int) -> list[list[float]]:
    """The rows that are finite numbers, `least` or more of them; what is still being typed is passed over."""
    rows = (numbers_in(row) for row in split_rows(text))
    return [row for row in rows if row is not None and len(row) >= least]

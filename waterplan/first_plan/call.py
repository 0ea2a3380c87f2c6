"""Moment 1, the call: is the water itself the emergency?"""

from collections.abc import Callable
from functools import partial

import numpy as np

from waterplan import tables
from waterplan.findings import Finding, Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.schema import WATER_KEYS
from waterplan.fish.species import temperature_range_c
from waterplan.published import FloatArray, Trail, relay
from waterplan.water import ammonia
from waterplan.water.nitrite import nitrogen_from_no2_mg_per_l

_MOMENT = Moment.CALL
_SPELT = {"ph": "pH", "tan": "ammonia"}
# What leaves a question open; it is never counted as good.
UNKNOWN = frozenset({Verdict.NOT_MEASURED, Verdict.QUESTION, Verdict.REFUSED})


def call(desk: Desk) -> None:
    """Judges the home water by what was measured, and says what was not."""
    desk.answer(_MOMENT, "scope", "Is this within what the tool has figures for?", scope)
    makers: dict[str, tuple[str, Callable[[Desk], Answer]]] = {
        "oxygen": ("Oxygen in the home pond", home_oxygen),
        "tan": ("Un-ionised ammonia in the home pond", partial(unionised_ammonia, water=HOME)),
        "nitrite": ("Nitrite in the home pond", partial(nitrite, water=HOME)),
        "chlorine": ("Chlorine in the home pond", partial(chlorine, water=HOME)),
        "ph": ("pH of the home pond", home_ph),
        "temperature": ("Temperature of the home pond", home_temperature),
        "alkalinity": ("Alkalinity of the home pond", home_alkalinity),
    }
    for key, (title, make) in makers.items():
        if desk.latest(HOME, key) is None:
            desk.not_measured(_MOMENT, f"home {key}", title, key if key != "tan" else "total ammonia")
        else:
            desk.answer(_MOMENT, f"home {key}", title, make)
    desk.answer(_MOMENT, "emergency", "Is the water the emergency?", emergency)
    desk.answer(_MOMENT, "density before", "Stocking of the home pond without the patient", density)
    desk.step(
        _MOMENT, Who.VET, "Ask what was put into the water in the last two weeks, and when each reading was taken."
    )
    desk.step(_MOMENT, Who.OWNER, "No food for the patient for 24 hours before the operation.")
    desk.step(_MOMENT, Who.OWNER, "No tap water into the pond or a tub unless it has been treated and tested.")
    if {"oxygen", "tan"} & {key for key in WATER_KEYS if desk.latest(HOME, key) is None}:
        desk.step(
            _MOMENT, Who.OWNER, "Measure oxygen and ammonia before dawn if you can: that is when oxygen is lowest."
        )


def scope(desk: Desk) -> Answer:
    """Whether the patient and its water are such as the tables have figures for."""
    heaviest = tables.row("water_limits", quantity="scope_weight", group="any", level="limit").value
    saltiest = tables.row("water_limits", quantity="scope_salinity", group="any", level="limit").value
    outside = []
    if desk.weight_kg()[0] > heaviest:
        outside.append(f"the fish is over {amount(heaviest, unit='kg')}")
    if desk.salinity_g_per_l(HOME)[0] > saltiest:
        outside.append(
            f"its water holds more than {amount(saltiest, unit='g/L')} of salt, as brackish and sea water do"
        )
    if outside:
        text = f"No: {' and '.join(outside)}. What follows is arithmetic without figures behind it: do not rely on it."
        return Answer(text=text, verdict=Verdict.ACT)
    return Answer(text="Yes: a freshwater fish of a known species and ordinary size.", verdict=Verdict.PASS)


def home_oxygen(desk: Desk) -> Answer:
    """Oxygen of the home pond against the species' alarm level."""
    level = oxygen_level(desk, "settled", "alarm")
    values = desk.water(HOME, "oxygen")
    share = values / desk.saturation_mg_per_l(HOME) * 100.0
    text = f"{amount(values[0], unit='mg/L')}, {share[0]:.0f} % of saturation; oxygen is lowest before dawn."
    limit = Limit(value=level, side=Side.AT_LEAST)
    return Answer(text=text, unit="mg/L", values=values, limit=limit, method="reading; saturation for this place")


def oxygen_level(desk: Desk, state: str, level: str) -> float:
    """The oxygen at which this patient needs attention ("alarm") or help at once ("emergency") [mg/L]."""
    return tables.row("oxygen_levels", group=desk.species.oxygen_group, state=state, level=level).value


def unionised_ammonia(desk: Desk, water: str) -> Answer:
    """Un-ionised ammonia of a water against the limit of the patient's kind."""
    tan = desk.water(water, "tan")
    values = np.asarray(ammonia.nh3_mg_n_per_l(tan, ph=desk.water(water, "ph"), water_temp_c=desk.temperature_c(water)))
    limit = tables.row("water_limits", quantity="nh3", group=desk.species.law_group, level="limit").value
    cap = tables.row("water_limits", quantity="tan", group="any", level="cap").value
    reading = desk.latest(water, "tan")
    text = f"{amount(values[0], unit='mg/L as N')} of the total {amount(tan[0], unit='mg/L as N')}."
    if reading is not None and reading.as_other_basis is not None:
        share = values[0] / tan[0] if tan[0] > 0.0 else 0.0
        text = (
            f"If the kit reports nitrogen {amount(values[0], unit='mg/L as N')} of the total "
            f"{amount(tan[0], unit='mg/L as N')}; if it reports NH3 "
            f"{amount(share * reading.as_other_basis, unit='mg/L as N')} of the total "
            f"{amount(reading.as_other_basis, unit='mg/L as N')}. The first is acted on: ask which it is."
        )
    if reading is not None and reading.measured.censored:
        text = f"At most {amount(values[1:].max(), unit='mg/L as N')}: the kit showed no colour it could read."
    if tan[0] > cap:
        text += f" Total ammonia is over {amount(cap, unit='mg/L as N')}, whatever the pH."
    return Answer(
        text=text + " It is highest in the afternoon, when the pH is.",
        unit="mg/L as N",
        values=values,
        limit=Limit(value=limit, side=Side.AT_MOST),
        verdict=Verdict.ACT if tan[0] > cap else None,
        method="total ammonia x un-ionised fraction for pH and temperature",
    )


def nitrite(desk: Desk, water: str) -> Answer:
    """Nitrite of a water, the worse of two bases where the basis is not known."""
    values = desk.water(water, "nitrite")
    watch = tables.row("water_limits", quantity="nitrite", group="any", level="watch").value
    act = tables.row("water_limits", quantity="nitrite", group="any", level="act").value
    reading = desk.latest(water, "nitrite")
    as_n = float(nitrogen_from_no2_mg_per_l(float(values[0])))
    text = f"{amount(values[0], unit='mg/L as NO2')}, which is {amount(as_n, unit='mg/L as N')}."
    if reading is not None and reading.as_other_basis is not None:
        text = (
            f"If the kit reports nitrogen {amount(values[0], unit='mg/L as NO2')}; if it reports the ion "
            f"{amount(reading.as_other_basis, unit='mg/L as NO2')}. The first is acted on: ask which it is."
        )
    return Answer(
        text=text,
        unit="mg/L as NO2",
        values=values,
        limit=Limit(value=watch, side=Side.AT_MOST, worst=act),
        method="reading",
    )


def chlorine(desk: Desk, water: str) -> Answer:
    """Total chlorine of a water; a kit that shows nothing has not shown that there is none."""
    values = desk.water(water, "chlorine")
    limit = tables.row("water_limits", quantity="chlorine", group="any", level="limit").value
    reading = desk.latest(water, "chlorine")
    if reading is not None and reading.measured.censored:
        seen = amount(reading.measured.ceiling, unit="mg/L")
        return Answer(
            text=f"None seen, but the test says only that it is below {seen}; harm begins at about "
            f"{amount(limit, unit='mg/L')}. Neutralise any tap water by its dose and test again.",
            unit="mg/L",
            values=values,
            method="reading below what the test can see",
        )
    return Answer(
        text=f"{amount(values[0], unit='mg/L')} of total chlorine: no chlorine is safe for gills.",
        unit="mg/L",
        values=values,
        limit=Limit(value=limit, side=Side.AT_MOST),
        method="reading",
    )


def home_ph(desk: Desk) -> Answer:
    """pH of the home pond against a band on both sides."""
    values = desk.water(HOME, "ph")
    watch = tables.row("water_limits", quantity="ph", group="any", level="watch")
    act = tables.row("water_limits", quantity="ph", group="any", level="act")
    inside = (values >= watch.low) & (values <= watch.high)
    far = not act.low <= values[0] <= act.high
    verdict = Verdict.ACT if far else Verdict.PASS if inside[0] and inside[1:].mean() >= 0.95 else Verdict.WATCH
    limit = watch.low if abs(values[0] - watch.low) < abs(values[0] - watch.high) else watch.high
    side = Side.AT_LEAST if limit == watch.low else Side.AT_MOST
    words = amount(watch.low, watch.high, unit="")
    return Answer(
        text=f"{amount(values[0], unit='')}; {words} is wanted.",
        values=values,
        limit=Limit(value=limit, side=side, words=words),
        verdict=verdict,
        method="reading",
    )


def home_temperature(desk: Desk) -> Answer:
    """Temperature of the home pond against what the species tolerates and prefers."""
    values = desk.temperature_c(HOME)
    low, high = temperature_range_c(desk.species.name, "tolerated")
    best_low, best_high = temperature_range_c(desk.species.name, "preferred")
    inside = low <= values[0] <= high
    preferred = best_low <= values[0] <= best_high
    near_high = abs(values[0] - high) < abs(values[0] - low)
    return Answer(
        text=f"{amount(values[0], unit='°C')}; best for {desk.species.words}: {amount(best_low, best_high, unit='°C')}.",
        unit="°C",
        values=values,
        limit=Limit(
            value=high if near_high else low,
            side=Side.AT_MOST if near_high else Side.AT_LEAST,
            words=f"{amount(low, high, unit='°C')} tolerated",
        ),
        verdict=Verdict.ACT if not inside else Verdict.PASS if preferred else Verdict.WATCH,
        method="reading",
    )


def home_alkalinity(desk: Desk) -> Answer:
    """Alkalinity of the home pond: what holds the pH when an acid drug goes in."""
    values = desk.water(HOME, "alkalinity")
    watch = tables.row("water_limits", quantity="alkalinity", group="any", level="watch").value
    act = tables.row("water_limits", quantity="alkalinity", group="any", level="act").value
    return Answer(
        text=f"{amount(values[0], unit='mg/L as CaCO3')}: it holds the pH when an acid anaesthetic goes in.",
        unit="mg/L as CaCO3",
        values=values,
        limit=Limit(value=watch, side=Side.AT_LEAST, worst=act),
        method="reading",
    )


def density(desk: Desk) -> Answer:
    """Stocking of the home pond with its other fish alone."""
    return stocking(desk, desk.other_fish_kg())


def stocking(desk: Desk, biomass_kg: FloatArray) -> Answer:
    """Stocking of the home pond with a weight of fish."""
    values = biomass_kg / desk.pond_l() * 1000.0
    watch = tables.row("water_limits", quantity="density_pond", group="any", level="watch").value
    act = tables.row("water_limits", quantity="density_pond", group="any", level="act").value
    return Answer(
        text=f"{amount(biomass_kg[0], unit='kg')} of fish in {amount(desk.pond_l()[0], unit='L')}: "
        f"{amount(values[0], unit='kg/m3')}.",
        unit="kg/m3",
        values=values,
        limit=Limit(value=watch, side=Side.AT_MOST, worst=act),
        method="weight of the fish over the volume of the pond",
    )


def home_findings(desk: Desk) -> list[Finding]:
    """What was found of the home pond; whoever watches hears of the sources that those findings rest on."""
    found = [finding for finding in desk.findings if finding.moment is _MOMENT and finding.key.startswith("home ")]
    for finding in found:
        relay(Trail(citations=dict.fromkeys(finding.citations)))
    return found


def emergency(desk: Desk) -> Answer:
    """What the readings taken together say; what was not measured is named and never counted as good."""
    judged = home_findings(desk)
    red = [finding.title for finding in judged if finding.verdict is Verdict.ACT]
    grey = [finding.key.removeprefix("home ") for finding in judged if finding.verdict in UNKNOWN]
    unknown = f" Not known: {', '.join(_SPELT.get(key, key) for key in grey)}." if grey else ""
    if red:
        return Answer(text=f"Yes: {'; '.join(red)}. See to the water first.{unknown}", verdict=Verdict.ACT)
    if {"oxygen", "tan"} & set(grey):
        text = f"It cannot be said: oxygen and ammonia decide, and not both are known.{unknown}"
        return Answer(text=text, verdict=Verdict.QUESTION)
    watched = [finding.title for finding in judged if finding.verdict is Verdict.WATCH]
    if watched:
        return Answer(text=f"Not by these readings, but watch: {'; '.join(watched)}.{unknown}", verdict=Verdict.WATCH)
    return Answer(text=f"Not by these readings.{unknown}", verdict=Verdict.PASS)

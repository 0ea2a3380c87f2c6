"""Moment 6, home: the pond that it goes back to, and what the owner does each day."""

from datetime import timedelta

import numpy as np

from waterplan import tables
from waterplan.errors import Unanswerable
from waterplan.findings import Moment, Verdict, Who, amount
from waterplan.first_plan.answers import Answer, Limit, Side
from waterplan.first_plan.call import UNKNOWN, home_findings, stocking
from waterplan.first_plan.daily_change import advised_change_l
from waterplan.first_plan.desk import HOME, Desk
from waterplan.first_plan.first_case.schema import Use

_MOMENT = Moment.HOME


def home(desk: Desk) -> None:
    """Whether the fish may go home, into what, and what its owner does."""
    desk.answer(_MOMENT, "density after", "Stocking of the home pond with the patient back", density_after)
    desk.answer(_MOMENT, "step home", "Temperature step, tank to pond", step_home)
    desk.answer(_MOMENT, "pond fit", "Is the pond fit to go back to?", pond_fit)
    desk.answer(_MOMENT, "feed", "Feeding at the intended temperature", feeding)
    _owner_days(desk)
    _going_home(desk)


def density_after(desk: Desk) -> Answer:
    """Stocking of the home pond with the patient back."""
    return stocking(desk, desk.other_fish_kg() + desk.weight_kg())


def step_home(desk: Desk) -> Answer:
    """Difference between the hospital tank and the pond, against the law's step for a healthy fish."""
    change = desk.temperature_c(HOME) - desk.hospital_temperature_c()
    colder = change[0] < 0.0
    row = tables.row("temperature_steps", situation="healthy", limit="colder step" if colder else "warmer step")
    values = np.abs(change)
    word = "colder" if colder else "warmer"
    text = f"The pond is {word} by {amount(values[0], unit='°C step')}; at most {amount(row.value, unit='°C step')} at once."
    if values[0] > row.value:
        hours = tables.row("temperature_steps", situation="convalescent", limit="per day")
        text += f" Bring the tank to the pond's temperature first, at most {amount(hours.value, unit='°C step')} a day."
    return Answer(
        text=text,
        unit="°C step",
        values=values,
        limit=Limit(value=row.value, side=Side.AT_MOST),
        verdict=Verdict.WATCH if values[0] > row.value else None,
        method="difference of the pond as measured and the tank as intended; measure both on the day",
    )


def pond_fit(desk: Desk) -> Answer:
    """What the call found in the home pond, as the question of going back to it."""
    found = home_findings(desk)
    red = [finding.title for finding in found if finding.verdict is Verdict.ACT]
    grey = [finding.title for finding in found if finding.verdict in UNKNOWN]
    if red:
        return Answer(text=f"Not yet: {'; '.join(red)}. Put that right and test again.", verdict=Verdict.ACT)
    if len(grey) == len(found):
        raise Unanswerable("[home_water]: nothing was measured")
    missing = f" Measure first: {'; '.join(grey)}." if grey else ""
    watch = [finding.title for finding in found if finding.verdict is Verdict.WATCH]
    text = (
        f"Yes by the last readings{', watching ' + '; '.join(watch) if watch else ''}. Test again on the day.{missing}"
    )
    return Answer(text=text, verdict=Verdict.WATCH if watch or grey else Verdict.PASS)


def feeding(desk: Desk) -> Answer:
    """Feed at the temperature of the hospital tank, as a share of body weight."""
    temp = desk.hospital_temperature_c()
    bounds = (
        (8.0, "below 8 °C"),
        (12.0, "8 to 12 °C"),
        (15.0, "12 to 15 °C"),
        (20.0, "15 to 20 °C"),
        (26.0, "20 to 26 °C"),
    )
    name = next((label for bound, label in bounds if temp[0] < bound), "above 26 °C")
    row = tables.row("feeding", water=name)
    if row.value == 0.0:
        text = f"None at {amount(temp[0], unit='°C')}."
        return Answer(text=text, unit="%/day", values=0.0, method="table by temperature")
    grams = row.value / 100.0 * desk.weight_kg()[0]
    text = (
        f"None on the day. A quarter of {amount(grams, unit='kg')} a day once it has swum normally for a day or two and "
        "the filter is proven; double every two days while ammonia stays in band. Take out what is left after 10 minutes."
    )
    return Answer(text=text, unit="%/day", values=row.value, method="table by temperature")


def _owner_days(desk: Desk) -> None:
    operation = desk.case.intended.operation_at
    day = (lambda days: operation + timedelta(days=days)) if operation else (lambda _: None)
    desk.step(_MOMENT, Who.OWNER, "Look at the fish morning and evening: breathing, posture, wound. Write it down.")
    desk.step(
        _MOMENT, Who.OWNER, "Read the thermometer and write it down every day: the date for the stitches depends on it."
    )
    desk.step(_MOMENT, Who.OWNER, "Test ammonia, nitrite and pH daily for the first week; send a photo of the tubes.")
    litres = advised_change_l(desk)
    if litres is not None:
        desk.step(
            _MOMENT,
            Who.OWNER,
            f"Change {amount(litres, unit='L')} of the hospital tank's water each day, with treated water of the same "
            "temperature and salt.",
        )
    elif desk.case.vessels_for(Use.HOSPITAL):
        desk.step(
            _MOMENT, Who.OWNER, "Ask the practice how much water to change each day before you take the fish home."
        )
    desk.step(_MOMENT, Who.OWNER, "Do not feed until the practice says so.", day(0))
    desk.step(
        _MOMENT, Who.OWNER, "The practice calls: is it upright, breathing quietly, and is the water right?", day(1)
    )
    desk.step(
        _MOMENT, Who.OWNER, "Send the readings and a photo of the wound: the first three days matter most.", day(3)
    )
    desk.step(
        _MOMENT, Who.OWNER, "No other pond treatment, no untreated tap water, lid or net on, air running day and night."
    )


def _going_home(desk: Desk) -> None:
    """The intended last day in hospital, and the water that the stay takes."""
    intended, operation = desk.case.intended.days, desk.case.intended.operation_at
    if intended is None:
        return
    days = intended.measured.best / 1440.0
    at = operation + timedelta(days=days) if operation else None
    litres = advised_change_l(desk)
    water = f" The stay takes {amount(litres * days, unit='L')} of new water." if litres is not None else ""
    desk.step(
        _MOMENT,
        Who.VET,
        f"Day {days:.0f}: home as intended, if the wound, the fish and both waters allow, by the temperature step above.{water}",
        at,
    )

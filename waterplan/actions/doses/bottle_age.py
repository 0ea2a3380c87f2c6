"""Whether a bottle may still be used: the date on its label, and how long it keeps once it is opened or made up."""

from collections.abc import Iterator
from datetime import datetime

from waterplan.actions.doses.draft import Reason, Stopped, reason
from waterplan.case.bottle import Bottle
from waterplan.case.model import Dose
from waterplan.dose import substances
from waterplan.dose.stock import past_keeping
from waterplan.dose.substances import Kind as Sum

_STRONG_BLEACH_MG_PER_ML = 100.0
_DRY = "opened powder or tablets"
_DAY_S = 86400.0


def date_passed(
    expires: datetime | None, day: datetime | None, what: str, *, antidote: bool = False
) -> Iterator[Reason]:
    """A bottle past the date on its label: Stopped, or where an antidote is all that there is, a reason to be told."""
    if expires is None or day is None or day.date() <= expires.date():
        return
    past = reason("past-its-date", {"substance": what, "date": expires.date().isoformat()})
    if not antidote:
        raise Stopped(past)
    yield past


def age_of(dose: Dose, day: datetime | None) -> Iterator[Reason]:
    """What is to be said of the age of a dose's bottle; Stopped where the table says that such a stock is not used."""
    antidote = substances.kind_of(dose.substance, use=dose.use) is Sum.DECHLORINATE
    yield from date_passed(dose.expires, day, dose.substance, antidote=antidote)
    stock, of = _stock_name(dose.substance, dose.bottle), {"substance": dose.substance}
    if not stock:
        return
    if dose.opened is None or day is None:
        if dose.expires is None:
            yield reason("age-of-stock-not-known", of)
        return
    age_d = (day.replace(tzinfo=None) - dose.opened.replace(tzinfo=None)).total_seconds() / _DAY_S
    if age_d < 0.0:
        raise Stopped(reason("opened-after-the-day-of-the-plan", of))
    kept = past_keeping(stock, age_d=age_d)
    if kept is None:
        return
    old = reason("stock-too-old", of | {"table": kept.id}, age=(float(int(age_d)), "d"), kept=(kept.value, "d"))
    if kept["then"] == "refuse" and not antidote:
        raise Stopped(old)
    yield old


def _stock_name(substance: str, bottle: Bottle | None) -> str:
    """What the table `stock_keeping` calls a bottle; empty where it says nothing of it."""
    row = substances.substance(substance)
    if row["agent"] == "salt":
        return ""
    strength = bottle.mg_per_ml if bottle is not None else None
    if strength is None and row.unit not in {"uL/L", "% v/v"}:
        return _DRY if row["form"] == "powder" or (bottle is not None and bottle.tablet_mg is not None) else ""
    if row["stock"] == "hypochlorite household" and strength is not None and strength >= _STRONG_BLEACH_MG_PER_ML:
        return "hypochlorite strong"
    return row["stock"]

"""Whether a bottle may still be used: the date on its label, and how long it keeps once it is opened or made up."""

from datetime import datetime

from waterplan.dose import substances
from waterplan.dose.stock import stock_keeping
from waterplan.dose.substances import Kind
from waterplan.errors import Refused, Unanswerable
from waterplan.findings import Caution
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.model import Dose

_STRONG_BLEACH_MG_PER_ML = 100.0
_DRY = "opened powder or tablets"
_DAY_S = 86400.0


def check_expiry(expires: datetime | None, start: datetime | None, what: str, *, refuse: bool) -> tuple[Caution, ...]:
    """A bottle past the date on its label: refused, or where an antidote is all that there is, cautioned."""
    if expires is None or start is None or start.date() <= expires.date():
        return ()
    words = f"the {what} is past the date on its label, {expires:%d %b %Y}"
    if refuse:
        raise Refused(f"{words}: open a fresh one")
    return (
        Caution(text=f"{words[0].upper()}{words[1:]}: use it only where there is no other, and test.", serious=True),
    )


def check_age(desk: Desk, dose: Dose, number: int) -> tuple[Caution, ...]:
    """Refuses a stock that is past its time where the table says so, and cautions where it says that."""
    start = desk.start()
    antidote = substances.kind_of(dose.substance, use=dose.use) is Kind.DECHLORINATE
    said = check_expiry(dose.expires, start, dose.substance, refuse=not antidote)
    stock = _stock_of(dose)
    if not stock:
        return said
    if dose.opened is None or start is None:
        if dose.expires is not None:
            return said
        return (*said, Caution(text=f"The age of the {dose.substance} was not given: read the date on the bottle."))
    age_d = (start - dose.opened).total_seconds() / _DAY_S
    if age_d < 0.0:
        raise Unanswerable(f"doses[{number}] opened: it lies after the day of the plan")
    kept = stock_keeping(stock, age_d=age_d)
    words = f"opened or made {age_d:.0f} days ago, kept {kept.row.value:.0f} at the most: {kept.row.reason}"
    if kept.refuse and not antidote:
        raise Refused(f"the stock is too old: {words} ({kept.row.cited})")
    old = (Caution(text=f"The stock is old: {words} ({kept.row.cited}).", serious=True),) if kept.past else ()
    return (*said, *old)


def _stock_of(dose: Dose) -> str:
    """What the table `stock_keeping` calls this bottle; empty where it says nothing of it."""
    row, bottle = substances.substance(dose.substance), dose.bottle
    if row["agent"] == "salt":
        return ""
    strength = bottle.mg_per_ml if bottle is not None else None
    if row.unit in {"uL/L", "% v/v"}:
        return str(row["stock"])
    if strength is None:
        return _DRY if row["form"] == "powder" or (bottle is not None and bottle.tablet_mg is not None) else ""
    if row["stock"] == "hypochlorite household" and strength >= _STRONG_BLEACH_MG_PER_ML:
        return "hypochlorite strong"
    return str(row["stock"])

"""Until when a paper holds, which papers belong to a moment, and the page that lists them all with a picture of each."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from waterplan.actions.record import Kind
from waterplan.papers.drawings import Drawings
from waterplan.papers.parts import Values
from waterplan.plan.record import Plan
from waterplan.stay.record import Moment, WaterKind

INDEX = "index.html"
# The papers that are taken up in each moment.
SETS: Mapping[Moment, tuple[str, ...]] = {
    Moment.CALL: ("triage.html", "contingency.html"),
    Moment.PREPARE: ("van.html", "volume.html", "tub-cards.html", "dose-cards.html"),
    Moment.PROCEDURE: ("procedure-log.html", "drug-record.html", "dose-cards.html", "time-cards.html"),
    Moment.REVIVAL: ("procedure-log.html", "time-cards.html", "tub-cards.html"),
    Moment.HOSPITAL: ("hospital.html", "handover.html", "filter-note.html", "contingency.html"),
    Moment.HOME: ("owner.html", "transport.html", "acclimation.html", "filter-note.html"),
    Moment.RECHECK: ("recheck.html", "owner.html", "plan.html"),
}
_OPERATION = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL, WaterKind.DIP)
# The waters whose fish a paper is for: once they have left, it holds no longer.
_FOR: Mapping[str, tuple[WaterKind, ...]] = {
    "procedure-log.html": _OPERATION,
    "drug-record.html": _OPERATION,
    "dose-cards.html": _OPERATION,
    "van.html": _OPERATION,
    "hospital.html": (WaterKind.HOSPITAL,),
    "handover.html": (WaterKind.HOSPITAL,),
    "transport.html": (WaterKind.BAG, WaterKind.BOX),
}
_TO_THE_RECHECK = frozenset({"owner.html", "recheck.html", "plan.html", "triage.html", "contingency.html"})
# What a picture of a paper is drawn of, from the top: a line of text, a table, a box, two columns, a curve.
_PICTURES: Mapping[str, str] = {
    "triage.html": "ll2bl",
    "van.html": "2t2t",
    "volume.html": "bblc",
    "tub-cards.html": "btlt",
    "dose-cards.html": "blll",
    "procedure-log.html": "2tt",
    "drug-record.html": "ltb",
    "time-cards.html": "bbl",
    "hospital.html": "2ttt",
    "handover.html": "blt",
    "filter-note.html": "llt",
    "transport.html": "bbbl",
    "acclimation.html": "btl",
    "owner.html": "b2tt",
    "recheck.html": "ltc",
    "contingency.html": "bt22",
    "plan.html": "lltcl2",
}
_HIGH = {"l": 6, "t": 18, "b": 9, "2": 15, "c": 15}
_WIDE, _TOP, _GAP = 50, 12, 3


def holds_until(plan: Plan, name: str) -> datetime | None:
    """The last time of which a paper speaks; None where the plan has no clock."""
    kinds = _FOR.get(name, tuple(WaterKind))
    left = [one.until for water in plan.waters if water.kind in kinds for one in water.occupants if one.until]
    if name in _TO_THE_RECHECK:
        left += [one.until for one in plan.actions if one.kind is Kind.WAIT and one.until]
    return max(left, default=None)


def of_moment(names: Iterable[str], moment: Moment | str | None) -> tuple[str, ...]:
    """Those of some papers that belong to a moment; all of them where none is named."""
    return tuple(names) if moment is None else tuple(one for one in names if one in SETS[Moment(moment)])


def index_page(drawings: Drawings, names: Iterable[str]) -> Values:
    """The papers that were made, a picture of each, and the set of each moment."""
    made = [name for name in names if name != INDEX]
    return {
        "papers": [(name, _picture(_PICTURES.get(name, "lll"))) for name in made],
        "sets": [(moment, found) for moment in Moment if (found := of_moment(made, moment))],
    }


def _picture(blocks: str) -> list[tuple[str, int, int, int, int]]:
    """What is drawn, from the top: sort, left, top, width, height."""
    drawn, top = [], _TOP
    for sort in blocks:
        half = (_WIDE - _GAP) // 2
        parts = [(5, half), (5 + half + _GAP, half)] if sort == "2" else [(5, _WIDE)]
        drawn += [(sort, left, top, wide, _HIGH[sort]) for left, wide in parts]
        top += _HIGH[sort] + _GAP
    return [one for one in drawn if one[2] + one[4] <= 80]

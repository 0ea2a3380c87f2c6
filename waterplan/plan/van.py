"""What to load into the van: litres by container, and the plan's own amounts added up with something to spare."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from math import ceil

from waterplan import tables
from waterplan.actions.amounts import up
from waterplan.actions.heat.heating import ICE
from waterplan.actions.record import Action, Kind
from waterplan.plan.record import VanItem
from waterplan.stay.figures import Figures
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, Moment, Origin, Water, WaterKind
from waterplan.stay.waters import HOME

_VISIT = (Moment.CALL, Moment.PREPARE, Moment.PROCEDURE, Moment.REVIVAL)
_OPERATION = (WaterKind.INDUCTION, WaterKind.IRRIGATION, WaterKind.REVIVAL)
_NOT_CARRIED = (WaterKind.HOME, WaterKind.SOURCE)
# What is added up, with something to spare; of air and oxygen each water has its own.
_ADDED = frozenset({"reagent", "drug", "ice"})


def van(
    waters: Sequence[Water], actions: Sequence[Action], figures: Figures, operation_at: datetime | None
) -> tuple[VanItem, ...]:
    """What the open actions of the visit take, from their own amounts.

    Parameters
    ----------
    waters : sequence of Water
        The waters as the record has them.
    actions : sequence of Action
        The actions as the record has them; refused ones and those that are done take nothing.
    figures : Figures
        Where the amounts are, and where what is loaded is put.
    operation_at : datetime, optional
        When the operation begins; what is due more than a day later is not carried.

    Returns
    -------
    tuple of VanItem
        Nothing where no tub is to be got ready.
    """
    due = [one for one in actions if one.is_open and _is_carried(one, operation_at)]
    tubs = [one for one in waters if one.kind not in _NOT_CARRIED and one.id != HOME]
    if not tubs or not any(one.moment is not Moment.CALL for one in due):
        return ()
    return (*_litres(tubs, figures), *_amounts(waters, due, figures), *_kit(figures))


def to_fill(waters: Iterable[Water], loaded: Iterable[VanItem], as_of: datetime | None) -> list[str]:
    """The litres, among what is loaded, of tubs into which a fish is still to go."""
    waiting = {
        one.id for one in waters if any(as_of is None or not each.start or each.start > as_of for each in one.occupants)
    }
    return [one.figure for one in loaded if one.what == "litres" and waiting.issuperset(one.waters)]


def _is_carried(one: Action, operation_at: datetime | None) -> bool:
    """Whether it is of the visit, or due within a day of the operation."""
    if one.moment in _VISIT:
        return True
    last = timedelta(hours=tables.row("van_spares", part="hours").value)
    soon = operation_at is not None and one.at is not None and one.at <= operation_at + last
    return one.moment is Moment.HOSPITAL and soon


# -- water ----------------------------------------------------------------------------------------------------------


def _litres(tubs: Iterable[Water], figures: Figures) -> Iterator[VanItem]:
    """What each container holds, those apart that are filled already, and a reserve for those of the operation."""
    volumes = [(one, _volume(one)) for one in tubs]
    items = [
        VanItem(part="filled" if _is_filled(one) else "water", what="litres", figure=path, waters=(one.id,))
        for one, path in volumes
    ]
    yield from (one for one in items if one.part == "water")
    reserved = [path for one, path in volumes if one.kind in _OPERATION]
    spare = tables.row("van_spares", part="water")
    if reserved:
        litres = spare.value * sum(_acted_on(path, figures) for path in reserved)
        figure = _put(figures, "reserve", litres, "L", spare.id)
        yield VanItem(part="water", what="reserve", figure=figure, of=tuple(reserved), spare=spare.id)
    yield from (one for one in items if one.part == "filled")


def _is_filled(water: Water) -> bool:
    """Whether anything was read in the water of a tub: then there is water in it."""
    found = water.states[0].quantities
    return any(one.origin is Origin.MEASURED for name, one in found.items() if name != Q.VOLUME)


def _volume(water: Water) -> str:
    """The litres of a water as its fish go into it."""
    *_, last = (one for one in water.states if not one.hypothetical)
    return last.quantities[Q.VOLUME.value].figure


# -- amounts --------------------------------------------------------------------------------------------------------


def _amounts(waters: Sequence[Water], due: Iterable[Action], figures: Figures) -> Iterator[VanItem]:
    """Each amount of the actions; what is weighed or drawn is added up over them, in the unit in which they have it."""
    added: dict[tuple[str, str, str], list[tuple[str, int, str]]] = defaultdict(list)
    alone: list[VanItem] = []
    for action, row, path in _taken(due):
        part, unit = row["part"], figures.record(path).unit
        named = action.words.get("neutraliser") if row["amount"] == "neutraliser" else row["what"]
        what, where = named or action.substance or str(action.kind), action.water or ""
        if action.kind is Kind.AIR and "within" in action.amounts:
            what = "back-up"
        if part not in _ADDED:
            alone.append(
                VanItem(part=part, what=what, figure=path, waters=(where,) if path.startswith(f"{where}/") else ())
            )
        elif times := _batches(action, waters, due, figures):
            added[part, what, unit].append((path, times, where))
    for (part, what, unit), found in added.items():
        spare = tables.row("van_spares", part=part)
        total = sum(times * _acted_on(path, figures) for path, times, _ in found)
        yield VanItem(
            part=part,
            what=what,
            figure=_put(figures, f"{part}/{what}/{unit}", total * (1.0 + spare.value), unit, spare.id),
            of=tuple(path for path, _, _ in found),
            times=tuple(times for _, times, _ in found),
            waters=tuple(dict.fromkeys(where for _, _, where in found if where)),
            spare=spare.id,
        )
    yield from dict.fromkeys(alone)


def _taken(due: Iterable[Action]) -> Iterator[tuple[Action, tables.Row, str]]:
    """The amounts of each action that are loaded: of a dilution what goes into it, and not what comes out."""
    for action in due:
        for row in tables.table("van_loads"):
            path = action.amounts.get(row["amount"])
            if path is not None and row["unless"] not in action.amounts:
                yield action, row, path


def _batches(action: Action, waters: Sequence[Water], due: Iterable[Action], figures: Figures) -> int:
    """How often an amount is taken: once, but of new water for each batch of what fills the tubs.

    None of it where the tubs are treated themselves; one batch where they are filled already, for what is changed.
    """
    source = next((one for one in waters if one.id == action.water and one.kind is WaterKind.SOURCE), None)
    if source is None:
        return 1
    treated = {one.water for one in due if one.kind is action.kind and one.kind is Kind.NEUTRALISE}
    into = [one for one in waters if one.id in source.pours_into and one.id not in (*treated, HOME)]
    empty = [one for one in into if not _is_filled(one)]
    if into and not empty:
        return 1
    litres = sum(_acted_on(_volume(one), figures) for one in empty)
    return ceil(litres / _acted_on(action.amounts["litres"], figures))


def _acted_on(path: str, figures: Figures) -> float:
    return figures.record(path).act_on or 0.0


def _put(figures: Figures, what: str, amount: float, unit: str, *rows: str) -> str:
    loaded = up(amount, ICE if what.startswith("ice/") else unit)
    return figures.put(f"van/{what}", amount, unit=unit, act_end=ActEnd.HIGH, act_on=loaded, rows=rows)


# -- kit ------------------------------------------------------------------------------------------------------------


def _kit(figures: Figures) -> Iterator[VanItem]:
    """Meters and kits, with what keeps them going."""
    for row in tables.table("van_kit"):
        yield VanItem(part="kit", what=row["item"], figure=_put(figures, row["item"], row.value, "pieces", row.id))

"""What changed against the last plan of a case, found by the identities of the two records, and what it rests on."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import from_json

from waterplan.actions.record import Action, Kind
from waterplan.case.document import read_text
from waterplan.errors import CaseError
from waterplan.hazards.record import Judgement, Verdict, Why
from waterplan.plan.ordering import as_they_stand
from waterplan.plan.record import Changes, Difference, Differs, MeasureNext, Plan, Rewritten
from waterplan.plan.trends import against_course
from waterplan.stay.record import ActEnd, Figure, Fish

_LARGEST = 64_000_000
_FILE = "plan.json"
_UNKNOWN = "unknown"
_TIMES = ("at", "by", "until")
# Of an action, what is read beside its amounts and times.
_READ = ("who", "substance", "source", "parts", "part_amounts", "every_h", "words")
_REASONS = ("steps", "cautions", "costs", "refused_because")
_AGED = "readings-too-old"
_DEGREE_DAYS, _COUNTED = "degree-days", "days counted"


# -- the last plan --------------------------------------------------------------------------------------------------


def read_last(source: Path) -> Plan:
    """The last plan, from its `plan.json` or from the folder of its papers.

    Raises
    ------
    CaseError
        It is no plan, or one of another form.
    """
    path = source / _FILE if source.is_dir() else source
    text = read_text(path, largest=_LARGEST, what="plan")
    would_do = f"name the {_FILE} among the papers of the last plan"
    try:
        raw = from_json(text)
    except ValueError:
        raise CaseError.of(str(path), where="file", read="no JSON", would_do=would_do) from None
    form = raw.get("waterplan_plan") if isinstance(raw, dict) else None
    if form != Plan.model_fields["waterplan_plan"].default:
        read = "no plan" if form is None else f"a plan of the form {form}"
        raise CaseError.of(str(path), where="waterplan_plan", read=read, would_do=would_do)
    try:
        return Plan.model_validate_json(text)
    except ValidationError:
        read = "a plan of another version"
        again = "make that plan again from its case and its readings, with --as-of, and compare with that"
        raise CaseError.of(str(path), where="file", read=read, would_do=again) from None


def since(now: Plan, last: Plan, *, file: str = "the last plan") -> Plan:
    """A plan with what reads differently in it than in the last plan of the same case.

    Parameters
    ----------
    now, last : Plan
        The two records.
    file : str
        What a mistake calls the last plan.

    Returns
    -------
    Plan
        The plan, its `changes` and their figures among its own.

    Raises
    ------
    CaseError
        The last plan is of another patient or another place, or of a later time.
    """
    _same_case(now, last, file)
    found = _Compared(now, last)
    differences = tuple(sorted(found.differences(), key=_place))
    had, has = set(last.read), set(now.read)
    before = {(one.section, one.ordinal, one.key): one.text for one in last.written}
    after = {(one.section, one.ordinal, one.key): one.text for one in now.written}
    changes = Changes(
        since=last.made.as_of,
        version=last.made.version,
        tables=last.made.tables,
        differences=differences,
        read=tuple(one for one in now.read if one not in had),
        taken_back=tuple(one for one in last.read if one not in has),
        written=tuple(
            Rewritten(section=key[0], ordinal=key[1], key=key[2], before=before.get(key, ""), now=after.get(key, ""))
            for key in dict.fromkeys((*after, *before))
            if before.get(key) != after.get(key)
        ),
        actions=tuple(one for one in last.actions if one.id not in found.actions[1]),
        judgements=tuple(one for one in last.judgements if one.id not in {each.id for each in now.judgements}),
    )
    over_time, expected = against_course(now, last)
    figures = {**now.figures, **found.figures, **expected}
    return now.model_copy(update={"changes": changes, "trends": over_time, "figures": figures})


def _same_case(now: Plan, last: Plan, file: str) -> None:
    """Whether both are plans of one case, the last one not made for a later time."""
    mine, theirs = ({one.id: one for one in plan.fish if one.patient} for plan in (now, last))
    pairs = [(mine[path], theirs[path]) for path in mine if path in theirs]
    other = next(((one, was) for one, was in pairs if not _alike(one, was)), None)
    would_do = "name the last plan of this case"
    if other is not None:
        read = f"a plan for {_called(other[1])}, and this case is of {_called(other[0])}"
        raise CaseError.of(file, where="patient", read=read, would_do=would_do)
    here, there = (plan.title.get("place", "") for plan in (now, last))
    named = any(one.name and was.name for one, was in pairs)
    if not named and here and there and here.casefold() != there.casefold():
        read = f"a plan for {there!r}, and this case is at {here!r}"
        raise CaseError.of(file, where="place", read=read, would_do=would_do)
    time, earlier = now.made.as_of or now.made.operation_at, last.made.as_of
    if time is not None and earlier is not None and earlier > time:
        read = f"a plan as of {earlier.isoformat(timespec='minutes')}, which is later than this one"
        raise CaseError.of(file, where="as_of", read=read, would_do="give the time of this plan with --as-of")


def _alike(one: Fish, was: Fish) -> bool:
    species = _UNKNOWN in (one.species, was.species) or one.species == was.species
    return species and (not one.name or not was.name or one.name.casefold() == was.name.casefold())


def _called(fish: Fish) -> str:
    return f"{fish.name!r}, {fish.species}" if fish.name else fish.species


def _place(one: Difference) -> tuple[int, int, str]:
    """In the order of what matters; among verdicts the worst first."""
    worst = -Verdict(one.now).rank if one.what is Differs.WORSE and one.now else 0
    return list(Differs).index(one.what), worst, one.of


# -- compared by identity -------------------------------------------------------------------------------------------


class _Compared:
    """Two plans of one case: what differs, and the figures that say why."""

    def __init__(self, now: Plan, last: Plan) -> None:
        self.now, self.last = now, last
        self.figures: dict[str, Figure] = {}
        self.actions = ({one.id: one for one in last.actions}, {one.id: one for one in now.actions})
        self.judged = ({one.id: one for one in last.judgements}, {one.id: one for one in now.judgements})
        self.read_anew = _read_anew(now, last)

    def differences(self) -> Iterator[Difference]:
        yield from self._verdicts()
        yield from self._moments()
        for path in dict.fromkeys((*self.actions[1], *self.actions[0])):
            yield from self._action(path)
        yield from self._to_measure()

    def _verdicts(self) -> Iterator[Difference]:
        """Each judgement as it stands once all is done; not what was and is within its limit, nor what is over."""
        was, now = (
            {one.before or one.id: one for one in as_they_stand(plan.judgements)} for plan in (self.last, self.now)
        )
        for path in dict.fromkeys((*now, *was)):
            before, after = (found[path].verdict if path in found else None for found in (was, now))
            ranks = [-1 if one is None else one.rank for one in (before, after)]
            one = now[path] if path in now else was[path]
            if before is after or max(ranks) <= 0 or one.is_over(self.now.made.as_of):
                continue
            aged = [why for why in one.why if why.code == _AGED and path in now]
            yield Difference(
                of=one.id,
                what=Differs.WORSE if ranks[1] > ranks[0] else Differs.BETTER,
                before=before,
                now=after,
                because=self._rests(one),
                why=tuple(aged),
            )

    def _moments(self) -> Iterator[Difference]:
        before = {one.moment: one for one in self.last.moments}
        for one in self.now.moments:
            was = before.get(one.moment, one)
            if (one.state, one.because, one.is_empty) != (was.state, was.because, was.is_empty):
                yield Difference(of=one.moment, what=Differs.MOMENT, before=was.state, now=one.state)

    def _action(self, path: str) -> Iterator[Difference]:
        was, now = (found.get(path) for found in self.actions)
        if was is None or now is None:
            there = now or was
            assert there is not None
            what = Differs.GONE if now is None else Differs.REFUSED if now.refused_because else Differs.NEW
            yield Difference(of=path, what=what, because=self._behind(there))
            return
        because = self._behind(now)
        before, what = _stands(was), _stands(now)
        if what is not before:
            done = now.done if what is not Differs.REFUSED else None
            yield Difference(of=path, what=what, now=_written(done), because=because)
        if now.done is not None:
            return  # what is done is read no more
        yield from self._times(was, now)
        yield from self._amounts(was, now, because)
        if _otherwise(self.last, was) != _otherwise(self.now, now):
            yield Difference(of=path, what=Differs.OTHERWISE, because=because)

    def _times(self, was: Action, now: Action) -> Iterator[Difference]:
        """The times that differ; of the recheck they are its dates, with the days that moved them."""
        moved = [name for name in _TIMES if getattr(was, name) != getattr(now, name)]
        a_recheck = now.kind is Kind.WAIT and _DEGREE_DAYS in now.amounts
        why = self._days_since(was, now) if a_recheck and moved else ()
        for name in moved:
            before, after = _written(getattr(was, name)), _written(getattr(now, name))
            what = Differs.DATE if a_recheck else Differs.TIME
            yield Difference(of=now.id, what=what, name=name, before=before, now=after, why=why)
        due = was.words.get("due"), now.words.get("due")
        if a_recheck and due[0] != due[1]:
            yield Difference(of=now.id, what=Differs.DATE, name="due", before=due[0], now=due[1])

    def _days_since(self, was: Action, now: Action) -> tuple[Why, ...]:
        """How many days are logged more than before, and their mean temperature: what moved the dates."""
        days = [float(one.words.get(_COUNTED, "0")) for one in (was, now)]
        sums = [plan.figures[one.amounts[_DEGREE_DAYS]].best for plan, one in ((self.last, was), (self.now, now))]
        more = days[1] - days[0]
        if more <= 0.0 or None in sums:
            return ()
        mean = (sums[1] - sums[0]) / more  # type: ignore[operator]
        named = {
            "days": self._put(f"{now.id}/since/days", more, "d"),
            "mean": self._put(f"{now.id}/since/mean", mean, "°C"),
        }
        return (Why(code="days-logged-since", figures=named),)

    def _put(self, path: str, value: float, unit: str) -> str:
        value = round(value, 1)
        self.figures[path] = Figure(best=value, low=value, high=value, unit=unit, act_on=value, act_end=ActEnd.BEST)
        return path

    def _amounts(self, was: Action, now: Action, because: tuple[str, ...]) -> Iterator[Difference]:
        for name in dict.fromkeys((*now.amounts, *was.amounts)):
            before = self.last.figures.get(was.amounts.get(name, ""))
            after = self.now.figures.get(now.amounts.get(name, ""))
            if _shown(before) != _shown(after):
                path = now.amounts.get(name)
                yield Difference(of=now.id, what=Differs.AMOUNT, name=name, was=before, figure=path, because=because)

    def _to_measure(self) -> Iterator[Difference]:
        def keyed(one: MeasureNext) -> tuple[str, str, str]:
            return one.water, one.quantity, one.measured_with

        was, now = ({keyed(one): one for one in plan.first_page.measure_next} for plan in (self.last, self.now))
        for key in dict.fromkeys((*now, *was)):
            if was.get(key) != now.get(key):
                before, after = ("" if key in found else None for found in (was, now))
                yield Difference(of=f"{key[0]}/{key[1]}", what=Differs.MEASURE, name=key[2], before=before, now=after)

    def _rests(self, one: Judgement) -> tuple[str, ...]:
        """The inputs of a judgement that are read anew, or are others than they were."""
        before = self.judged[0].get(one.id)
        inputs = (*one.inputs, *(before.inputs if before else ()))
        paths = dict.fromkeys(f"{each.water}/{each.quantity}" for each in inputs)
        return tuple(path for path in paths if path in self.read_anew)

    def _behind(self, one: Action) -> tuple[str, ...]:
        """The same of all that an action answers."""
        answered = (self.judged[1].get(path) or self.judged[0].get(path) for path in one.answers)
        return tuple(dict.fromkeys(path for each in answered if each is not None for path in self._rests(each)))


def _read_anew(now: Plan, last: Plan) -> frozenset[str]:
    """The quantities of waters as they were found, and the weights of fish, that are known otherwise than before."""

    def found(plan: Plan) -> Iterator[tuple[str, Any]]:
        for water in plan.waters:
            for name, one in (water.states[0].quantities if water.states else {}).items():
                yield f"{water.id}/{name}", (one.text, one.taken, one.origin)
        for fish in plan.fish:
            figure = plan.figures.get(fish.weight or "")
            yield f"{fish.id}/weight", None if figure is None else (figure.low, figure.best, figure.high)

    before, after = dict(found(last)), dict(found(now))
    return frozenset(path for path in after if path in before and after[path] != before[path])


def _shown(figure: Figure | None) -> tuple[float | None, str] | None:
    """What of a figure is read: the number that is acted on; beyond its rounding nothing differs."""
    return None if figure is None else (figure.act_on, figure.unit)


def _stands(action: Action) -> Differs:
    """Whether an action is refused, open, done, or was due and nobody wrote down that it was done."""
    if action.refused_because:
        return Differs.REFUSED
    if action.done is None:
        return Differs.OPEN
    return Differs.WAS_DUE if action.was_due else Differs.DONE


def _otherwise(plan: Plan, one: Action) -> object:
    """What else of an action is read: its words and its reasons with their numbers."""

    def said(reasons: Iterable[Why]) -> list[object]:
        return [
            (why.code, why.words, {name: _shown(plan.figures.get(path)) for name, path in why.figures.items()})
            for why in reasons
        ]

    words = {name: text for name, text in one.words.items() if name not in ("due", "days logged", _COUNTED)}
    own: Mapping[str, object] = {name: getattr(one, name) for name in _READ} | {"words": words}
    ways = [(way.kind, said(way.because)) for way in one.instead]
    return own, [said(getattr(one, name)) for name in _REASONS], ways


def _written(time: datetime | None) -> str | None:
    return None if time is None else time.isoformat()

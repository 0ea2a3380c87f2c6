"""What changed since the last plan, in lines: the dates first, then what is worse, then what to do otherwise."""

from collections.abc import Iterator
from datetime import datetime
from itertools import groupby

from waterplan.plan.record import Changes, Difference, Differs
from waterplan.words.speaker import Speaker, capital


def since_title(speaker: Speaker) -> str:
    """The heading: since which plan; "" where the plan is compared with none."""
    changes = speaker.plan.changes
    return "" if changes is None else speaker.say("since.title", at=speaker.clock(changes.since))


def since_lines(speaker: Speaker, most: int | None = None) -> list[str]:
    """What reads differently than in the last plan, the first ones or all, and what was read and written since."""
    changes = speaker.plan.changes
    if changes is None:
        return []
    lines: list[str] = []
    for _, found in groupby(changes.differences, key=lambda one: one.what):
        lines += _lines(speaker, list(found))
    lines = list(dict.fromkeys(lines)) or [speaker.say("since.nothing")]
    if most is not None and len(lines) > most:
        lines = [*lines[:most], speaker.say("since.more", n=len(lines) - most)]
    return [*lines, *_behind(speaker, changes)]


def _lines(speaker: Speaker, found: list[Difference]) -> Iterator[str]:
    """A line for each date; else one for all that comes to the same by the same readings, or that is of one action."""
    alike: dict[tuple[str, ...], list[Difference]] = {}
    for one in found:
        if one.what is Differs.DATE:
            yield _date(speaker, one)
            continue
        now = one.now or "" if one.what in (Differs.WORSE, Differs.BETTER) else ""
        of = one.of if one.what is Differs.AMOUNT else ""
        alike.setdefault((now, of, *one.because, *(why.code for why in one.why)), []).append(one)
    for those in alike.values():
        first = those[0]
        yield speaker.say(
            f"since.{first.what}",
            what=speaker.join(dict.fromkeys(_told(speaker, one) for one in those)),
            of=capital(_called(speaker, first)),
            now=speaker.say(f"verdict.{first.now}")
            if first.what in (Differs.WORSE, Differs.BETTER) and first.now
            else "",
            because=speaker.join(map(speaker.word, first.because)),
            why=speaker.reasons(first.why),
        )


def _date(speaker: Speaker, one: Difference) -> str:
    """A date of the recheck, and what moved it."""
    times = {
        name: speaker.clock(datetime.fromisoformat(time)) if time and one.name != "due" else time
        for name, time in (("before", one.before), ("now", one.now))
    }
    return speaker.say(f"since.date {one.name}", why=speaker.reasons(one.why), **times)


def _told(speaker: Speaker, one: Difference) -> str:
    """What differs, and what it was where that is short."""
    if one.what is Differs.AMOUNT:
        was = one.was
        return speaker.say(
            "since.one amount",
            name=speaker.word(one.name),
            figure=speaker.figure(one.figure) if one.figure else "",
            was="" if was is None or was.act_on is None else speaker.amount(was.act_on, was.unit, was.act_end),
        )
    if one.what in (Differs.WORSE, Differs.BETTER):
        before = speaker.say(f"verdict.{one.before}") if one.before else ""
        return speaker.say("since.one verdict", what=_called(speaker, one), before=before)
    if one.what is Differs.MOMENT:
        states = {"before": speaker.say(f"readiness.{one.before}"), "now": speaker.say(f"readiness.{one.now}")}
        return speaker.say("since.one moment", what=_called(speaker, one), **states)
    return _called(speaker, one)


def _called(speaker: Speaker, one: Difference) -> str:
    if one.what is Differs.MOMENT:
        return speaker.say(f"moment.{one.of}")
    return speaker.word(one.of) if one.what is Differs.MEASURE else speaker.title(one.of)


def _behind(speaker: Speaker, changes: Changes) -> Iterator[str]:
    """What was read, and what was written otherwise, since the last plan."""
    for key, rows in (("read", changes.read), ("taken back", changes.taken_back)):
        if rows:
            waters = {(one.water, one.quantity): None for one in rows}
            what = speaker.join((speaker.word(f"{water}/{quantity}") for water, quantity in waters), ", ")
            yield speaker.say(f"since.{key}", n=len(rows), what=what)
    for one in changes.written:
        place = speaker.path(f"{one.section}[{one.ordinal}].{one.key}")
        path = f"{one.section}/{one.ordinal}/{one.key}"
        texts = {"before": speaker.case(one.before, path), "now": speaker.case(one.now, path)}
        yield speaker.say("since.written", place=place, **texts)
    made = speaker.plan.made
    if (changes.version, changes.tables) != (made.version, made.tables):
        yield speaker.say("since.tables")

"""What was asked and what came of it: an answer knows the inputs that it was made from, and says where they have changed."""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import streamlit as st

from waterplan.case import fields
from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.plan.record import Plan
from waterplan.screens import kept
from waterplan.screens.reader import plain, say
from waterplan.words.catalogue import language
from waterplan.words.speaker import capital

# What a plan is made from, flat: the place of each field and what stands in it.
Inputs = Mapping[str, object]
# Plans that a session keeps, by what they were made from; they hold no draws.
_PLANS, _MOST_PLANS, _MOST_TOLD, _LONGEST = "plans", 6, 6, 60
_PHRASES = ("case.one of", "case.sections", "inputs", "sum")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The last plan and the inputs it was made from; and of the last try what was wrong, and its inputs."""

    given: Inputs = field(default_factory=dict)
    plan: Plan | None = None
    tried: Inputs = field(default_factory=dict)
    mistakes: tuple[Mistake, ...] = ()

    @property
    def asked(self) -> bool:
        """Whether anything was asked."""
        return self.plan is not None or bool(self.mistakes)

    def is_old(self, inputs: Inputs) -> bool:
        """Whether the plan was made from other inputs than these."""
        return self.plan is not None and bool(_changed(self.given, inputs))

    def wrong(self, inputs: Inputs) -> tuple[Mistake, ...]:
        """The mistakes whose fields still say what was tried."""
        fresh = _changed(self.tried, inputs)
        return tuple(one for one in self.mistakes if not any(_is_of(key, one.where) for key in fresh))


def _changed(before: Inputs, now: Inputs) -> list[str]:
    """Which inputs differ; an empty field and none are the same, a table that came or went is not."""
    keys = dict.fromkeys((*before, *now))
    return [key for key in keys if key not in before or key not in now or before[key] != now[key]]


def _is_of(key: str, where: str) -> bool:
    """Whether a field is the one of a mistake, or belongs to its table."""
    return key == where or key.startswith(f"{where}.") or key == where.rpartition(".")[2]


def digest(inputs: Inputs | str) -> str:
    """A short fingerprint of inputs."""
    return hashlib.sha256(json.dumps(inputs, sort_keys=True, default=str).encode()).hexdigest()[:24]


def answer(name: str) -> Answer:
    """What was answered last under a name."""
    found: Answer = st.session_state.get(f"answer {name}") or Answer()
    return found


def keep(name: str, made: Answer) -> None:
    """Puts an answer in place of the last one."""
    st.session_state[f"answer {name}"] = made
    kept.put(f"answer {name}", made)


def ask(name: str, inputs: Inputs, make: Callable[[], Plan]) -> None:
    """Makes a plan of these inputs, or takes the one that was made of the same; what is wrong leaves the last one standing."""
    plans: dict[str, Plan] = st.session_state.setdefault(_PLANS, {})
    last, key = answer(name), f"{name} {digest(inputs)}"
    try:
        plans[key] = plan = plans.pop(key, None) or make()
    except (CaseError, ImpossibleInput) as error:
        keep(name, Answer(given=last.given, plan=last.plan, tried=inputs, mistakes=mistakes_of(error)))
    else:
        for old in list(plans)[:-_MOST_PLANS]:
            del plans[old]
        keep(name, Answer(given=inputs, plan=plan))


def mistakes_of(error: CaseError | ImpossibleInput) -> tuple[Mistake, ...]:
    """All that is wrong, a mistake each."""
    if isinstance(error, CaseError):
        return tuple(error.mistakes)
    would_do = say("must be", limits=error.limits)
    return (Mistake(where=error.argument, read=str(error.value), would_do=would_do),)


@contextmanager
def dated(name: str, inputs: Inputs, *, part: str = "") -> Iterator[bool]:
    """A place for an answer, told whether it is old: then it says what has changed since, and is grey.

    A further `part` of the same page is grey too, and says nothing again.
    """
    last = answer(name)
    old = last.is_old(inputs)
    if old and not part:
        st.warning("\n".join((say("old"), *(f"- {line}" for line in changes(last.given, inputs)))))
    with st.container(key=f"{'old' if old else 'of'}-{name}{part}"):
        yield old


def changes(before: Inputs, now: Inputs) -> list[str]:
    """What differs between two sets of inputs, a line each, for a place that reads Markdown; of very many the first."""
    changed = _changed(before, now)
    lines = [
        say("change", what=_place_words(key), before=_short(before.get(key)), now=_short(now.get(key)))
        for key in changed[:_MOST_TOLD]
    ]
    return [*lines, say("changes more", n=len(changed) - _MOST_TOLD)] if len(changed) > _MOST_TOLD else lines


def _place_words(where: str) -> str:
    """The place of a field or of a table in words, as the form has them; one that the form does not know as it is."""
    table, _, key = where.rpartition(".")
    section, _, number = (table or key).partition("[")
    known = {one.key: one.name for one in fields() if not table or one.section == section}
    if not table and number:
        return _table_words(section, number)
    words = capital(known[key]) if key in known else _own_words(key)
    alone = say(f"water of.{section}") if f"screen.water of.{section}" in language() and table else ""
    of = _table_words(section, number) if number else alone
    return say("place", words=words, table=of) if of else words


def _table_words(section: str, number: str) -> str:
    return plain(say("case.numbered", kind=_own_words(section), n=number.strip("]"), name=""))


def _own_words(key: str) -> str:
    """The words of the screens for a name that is no key of the case, or the name."""
    found = next((one for one in _PHRASES if f"screen.{one}.{key}" in language()), None)
    return say(f"{found}.{key}") if found else plain(key.replace("_", " "))


def _short(value: object) -> str:
    text = ", ".join(map(str, value)) if isinstance(value, list | tuple) else "" if value is None else str(value)
    text = " ".join(text.split())
    return plain(text if len(text) <= _LONGEST else f"{text[:_LONGEST]}…")


def list_mistakes(mistakes: tuple[Mistake, ...]) -> None:
    """All mistakes with the words of their fields."""
    if mistakes:
        st.error(say("put right", n=len(mistakes)))
    for one in mistakes:
        st.markdown(f"- **{_place_words(one.where)}**: {mistake_words(one)}")


def mistake_words(one: Mistake) -> str:
    """A mistake in a sentence, for a place that reads Markdown."""
    return plain(say("mistake", read=one.read, would_do=one.would_do))

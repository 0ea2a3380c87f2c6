"""What was asked and what came of it: an answer knows the inputs that it was made from, and says where they have changed."""

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import streamlit as st

from waterplan.errors import CaseError, ImpossibleInput, Mistake
from waterplan.plan.record import Plan
from waterplan.screens.reader import plain, say

# Plans that a session keeps, by what they were made from; they hold no draws.
_PLANS, _MOST_PLANS = "plans", 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The plan that an act made, or what was wrong, with the digest of its inputs; nothing where nothing was asked."""

    asked: str = ""
    plan: Plan | None = None
    mistakes: tuple[Mistake, ...] = ()

    def is_old(self, inputs: object) -> bool:
        """Whether it was made from other inputs than these."""
        return self.asked not in {"", digest(inputs)}


def digest(inputs: object) -> str:
    """A short fingerprint of texts and numbers, whatever the order of their keys."""
    return hashlib.sha256(json.dumps(inputs, sort_keys=True, default=str).encode()).hexdigest()[:24]


def answer(name: str) -> Answer:
    """What was answered last under a name."""
    found: Answer = st.session_state.get(f"answer {name}") or Answer()
    return found


def keep(name: str, made: Answer) -> None:
    """Puts an answer in place of the last one."""
    st.session_state[f"answer {name}"] = made


def ask(name: str, inputs: object, make: Callable[[], Plan]) -> None:
    """Makes a plan of these inputs, or takes the one that was made of the same, and keeps it as the answer."""
    asked = digest(inputs)
    plans: dict[str, Plan] = st.session_state.setdefault(_PLANS, {})
    key = f"{name} {asked}"
    try:
        plans[key] = plan = plans.pop(key, None) or make()
    except CaseError as error:
        keep(name, Answer(asked=asked, mistakes=error.mistakes))
    except ImpossibleInput as error:
        would_do = say("must be", limits=error.limits)
        wrong = Mistake(where=error.argument, read=str(error.value), would_do=would_do)
        keep(name, Answer(asked=asked, mistakes=(wrong,)))
    else:
        for old in list(plans)[:-_MOST_PLANS]:
            del plans[old]
        keep(name, Answer(asked=asked, plan=plan))


@contextmanager
def dated(name: str, inputs: object) -> Iterator[bool]:
    """A place for an answer, told whether it is old: then it says so and is grey."""
    old = answer(name).is_old(inputs)
    if old:
        st.warning(say("old"))
    with st.container(key=f"{'old' if old else 'of'}-{name}"):
        yield old


def mistake_words(one: Mistake) -> str:
    """A mistake in a sentence, for a place that reads Markdown."""
    return plain(say("mistake", read=one.read, would_do=one.would_do))


def list_mistakes(mistakes: tuple[Mistake, ...], *, leave_out: str = "") -> None:
    """All mistakes with their places; `leave_out` is the part of a place that a reader need not see."""
    if mistakes:
        st.error(say("put right", n=len(mistakes)))
    for one in mistakes:
        where = one.where.removeprefix(leave_out)
        st.markdown(f"- **{plain(where)}**: {mistake_words(one)}")

"""Where every number comes from: the rows and sources of the plan in hand, all sources, the equations, the glossary."""

from collections.abc import Iterable

import streamlit as st

from waterplan import tables
from waterplan.plan.equations import all_equations
from waterplan.plan.record import Plan
from waterplan.screens import kept, planning
from waterplan.screens.answers import answer
from waterplan.screens.going import asked_for
from waterplan.screens.reader import SEARCH, say, speaker, table, titled

# How many rows a table shows at once, and what of them only a file has.
_MOST, _PATHS = 12, frozenset({"row", "key", "name"})
# How many of the judgements that a row decides are named beside it until it is searched for.
_NAMED = 2
_SEARCHED = f"{kept.QUICK}{SEARCH}"


def page() -> None:
    """Four tables and one field that searches them."""
    titled("sources")
    st.caption(say("sources.status"))
    (asked,) = asked_for(SEARCH)
    if asked:
        st.session_state[_SEARCHED] = asked
    wanted = st.text_input(say("sources.search"), key=_SEARCHED).strip().casefold()
    plan = answer(planning.CASE).plan
    made = {
        "plan": _of_plan(plan) if plan is not None else (),
        "sources": ({"key": key, "source": _source(key)} for key in tables.sources()),
        "equations": _equations(),
        "glossary": (
            {"name": name, "words": term.words, "unit": term.unit} for name, term in tables.glossary().items()
        ),
    }
    for tab, (name, rows) in zip(st.tabs([say(f"sources.{name}") for name in made]), made.items(), strict=True):
        with tab:
            found = [row for row in rows if wanted in " ".join(row.values()).casefold()]
            if found:
                st.caption(say("sources.found", n=len(found), shown=min(len(found), _MOST)))
                table([_shown(row, wanted) for row in found[:_MOST]])
            else:
                st.info(say("sources.no plan" if name == "plan" and plan is None else "sources.nothing"))


def _shown(row: dict[str, str], wanted: str) -> dict[str, str]:
    """A row under the words of its columns, what was searched for first of what it decides; the paths that only a file
    has are searched and not shown."""
    named = sorted(row.get("decides", "").split("; "), key=lambda one: wanted not in one.casefold())
    if more := named[_NAMED:]:
        row = row | {"decides": f"{'; '.join(named[:_NAMED])} {say('changes more', n=len(more))}"}
    return {say(f"sources.column.{key}"): text for key, text in row.items() if key not in _PATHS}


def _of_plan(plan: Plan) -> Iterable[dict[str, str]]:
    """The rows that a plan used, those that decided something first."""
    spoken = speaker(plan)
    for path, row in sorted(plan.rows.items(), key=lambda found: not found[1].decides):
        ends = [value for value in dict.fromkeys((row.low, row.value, row.high)) if value is not None]
        yield {
            "row": path,
            "words": row.words,
            "value": " – ".join(spoken.amount(value, row.unit, like=ends[-1]) for value in ends),
            "status": spoken.word(row.status),
            "source": ", ".join(text for text in (_source(row.source), row.locator) if text),
            "printed": row.printed,
            "decides": spoken.titles(row.decides),
        }


def _equations() -> Iterable[dict[str, str]]:
    for one in all_equations().values():
        fitted = (
            f"{tables.glossary()[name].words} {limits} {tables.glossary()[name].unit}".strip()
            for name, limits in one.fitted.items()
        )
        yield {
            "words": one.summary,
            "status": str(one.status),
            "source": f"{_source(one.source)}, {one.locator}",
            "fitted": "; ".join(fitted),
        }


def _source(key: str) -> str:
    found = tables.sources().get(key)
    return f"{' '.join(filter(None, (found['who'], found['year'])))}: {found['title']}" if found else key

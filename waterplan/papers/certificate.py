"""The volume certificates of a plan: a page for each water that was measured."""

from collections.abc import Sequence

from waterplan.charts.pond import pond_chart
from waterplan.charts.svg import svg
from waterplan.first_plan.certificates import Certificate, Section
from waterplan.papers.sheet import DEFER, source_words
from waterplan.units import Display

_CHANGE_PERCENT = 10.0
# What fits on a page beside everything else.
_READINGS_SHOWN = 14


def pages(
    certificates: Sequence[Certificate], display: Display, *, paper: str, subtitle: str = "", made_with: str = ""
) -> dict[str, object]:
    """What the template of the certificates is filled with."""
    return {
        "certificates": [_page(one, display) for one in certificates],
        "subtitle": subtitle,
        "made_with": made_with,
        "defer": DEFER,
        "paper": paper,
    }


def _page(one: Certificate, display: Display) -> dict[str, object]:
    page: dict[str, object] = {
        "of": one.of,
        "low": "",
        "words": display.render(one.words),
        "warnings": [display.render(text) for text in one.warnings],
        "uses": [(use, display.number(litres, "L"), why) for use, litres, why in one.uses],
        "level": _level(one, display),
        "sections": [_section(section, display) for section in one.sections],
        "chart": svg(pond_chart(one.sketch, display, width=320, tallest=280)) if one.sketch else "",
        "status": one.status,
        "sources": "; ".join(source_words(key) for key in one.sources),
    }
    if one.band is not None:
        page |= {end: display.number(value, "L") for end, value in one.band._asdict().items()}
    return page


def _level(one: Certificate, display: Display) -> str:
    if one.band is None:
        return ""
    tenth = display.number(one.band.best * _CHANGE_PERCENT / 100.0, "L")
    said = f"{_CHANGE_PERCENT:g} % of the water is {tenth}."
    if one.per_cm_l is None:
        return said
    return f"{said} {display.number(1.0, 'cm')} of its level, at the surface, is {display.number(one.per_cm_l, 'L')}."


def _section(section: Section, display: Display) -> dict[str, object]:
    low_high = ""
    if section.band is not None:
        low, best, high = section.band
        low_high = f"{display.number(best, 'L')} ({display.band(low, high, 'L', like=best)})"
    return {
        "label": section.label,
        "band": low_high,
        "words": display.render(section.words),
        "readings": section.readings[:_READINGS_SHOWN],
        "more": max(len(section.readings) - _READINGS_SHOWN, 0),
        "cautions": [display.render(text) for text in section.cautions],
    }

"""The card of a dose for the tub, and the sheet of an anaesthetic: what to look at and when."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from waterplan import tables
from waterplan.charts.doses import level_chart, measure_chart, syringe_chart
from waterplan.charts.svg import svg
from waterplan.dose import anaesthesia
from waterplan.findings import Verdict
from waterplan.first_plan.dose_cards import DoseCard, InjectionCard
from waterplan.first_plan.dose_waters import level_words, reader_units
from waterplan.papers.sheet import Line, line
from waterplan.papers.templating import templates
from waterplan.units import Display


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownDose:
    """A card in the reader's units: the answer, what to weigh, the order, what must not meet, what follows."""

    card: DoseCard
    answer: Line
    volume: str
    wanted: str
    portions: tuple[str, ...]
    order: tuple[str, ...]
    conflicts: tuple[tuple[bool, str], ...]
    after: tuple[str, ...]
    ledger: tuple[tuple[str, str, str, str], ...]
    stop: str
    further: tuple[Line, ...]
    founded: str


def shown_dose(card: DoseCard, display: Display) -> ShownDose:
    """A card in the reader's units."""
    keys = dict.fromkeys(citation.source for citation in card.finding.citations)
    who = (tables.short_source(key) for key in keys)
    return ShownDose(
        card=card,
        answer=line(card.finding, display),
        volume=display.render(card.volume_words),
        wanted="" if card.wanted is None else display.render(level_words(card.wanted, card.unit)),
        portions=tuple(f"{portion.counted} of {portion.what}" for portion in card.portions),
        order=tuple(display.render(text) for text in card.order),
        conflicts=tuple(
            (clash.severity.rank < 2, display.render(reader_units(f"{clash.rule}: {clash.words}")))
            for clash in card.conflicts
        ),
        after=tuple(display.render(text) for text in card.after),
        ledger=tuple(
            (row.when, display.render(row.done), display.render(row.held), display.render(row.level))
            for row in card.ledger
        ),
        stop="" if card.portions else stop_words(card.finding.verdict),
        further=tuple(line(finding, display) for finding in card.findings),
        founded=f"Founded on ({card.finding.status}): {'; '.join(who)}." if keys else "",
    )


def stop_words(verdict: Verdict) -> str:
    """What stands in large letters on a card with nothing to weigh, so that no older card is taken for it."""
    if verdict is Verdict.REFUSED:
        return "⊘ REFUSED: nothing is mixed or drawn up"
    if verdict is Verdict.QUESTION:
        return "? NOT WORKED OUT: nothing is mixed or drawn up yet"
    return "Nothing is added"


def dose_cards(
    cards: Iterable[DoseCard],
    display: Display,
    *,
    heading: str,
    made_with: str,
    injections: Iterable[InjectionCard] = (),
) -> str:
    """A page for each dose and injection, A5: worked out, or refused and why; for an anaesthetic its sheet behind it."""
    pages: list[dict[str, object]] = []
    cards = tuple(cards)
    # One sheet serves the fish, however many tubs hold the drug.
    sheet_of = next((card for card in cards if card.anaesthetic and card.portions), None)
    expected = dict.fromkeys(
        display.render(text) for card in cards if card.anaesthetic and card.portions for text in card.times
    )
    for card in cards:
        level = level_chart(card, width=330)
        pages.append(
            {
                "shown": shown_dose(card, display),
                "measure": svg(measure_chart(card, display, width=430)) if card.portions else "",
                "level": svg(level) if level is not None else "",
                "sheet": card is sheet_of,
            }
        )
    return (
        templates()
        .get_template("dose-card.html")
        .render(
            pages=pages,
            injections=[_injection(card, display) for card in injections],
            heading=heading,
            times=[(_when(row), row["words"]) for row in anaesthesia.time_sheet()],
            expected=list(expected),
            stages=anaesthesia.anaesthesia_stages(),
            breathing=anaesthesia.revival_steps(),
            made_with=made_with,
        )
    )


def _injection(card: InjectionCard, display: Display) -> dict[str, object]:
    picture = syringe_chart(card, width=430)
    return {
        "card": card,
        "answer": line(card.finding, display),
        "patient": display.render(card.patient),
        "order": [display.render(text) for text in card.order],
        "picture": svg(picture) if picture is not None else "",
        "stop": "" if card.draw_ml is not None else stop_words(card.finding.verdict),
    }


def _when(row: tables.Row) -> str:
    """The moment of a line of the time sheet, in words."""
    if row["when"].isdigit():
        return f"{row['when']} min in"
    if row["when"] == "out":
        return f"{row.value:g} min out"
    return "before" if math.isnan(row.value) else f"{row.value:g} h before"

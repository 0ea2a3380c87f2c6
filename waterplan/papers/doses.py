"""The card of a dose for the tub, and the sheet of an anaesthetic: what to look at and when."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from waterplan import tables
from waterplan.charts.doses import level_chart, measure_chart
from waterplan.charts.svg import svg
from waterplan.dose import anaesthesia
from waterplan.papers.sheet import Line, line
from waterplan.papers.templating import templates
from waterplan.plan.dose_cards import DoseCard
from waterplan.plan.dose_waters import reader_units
from waterplan.units import Display


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownDose:
    """A card in the reader's units: the answer, what to weigh, the order, what must not meet, what follows."""

    card: DoseCard
    answer: Line
    volume: str
    portions: tuple[str, ...]
    order: tuple[str, ...]
    conflicts: tuple[tuple[bool, str], ...]
    after: tuple[str, ...]
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
        portions=tuple(f"{portion.counted} of {portion.what}" for portion in card.portions),
        order=tuple(display.render(text) for text in card.order),
        conflicts=tuple(
            (clash.severity.rank < 2, display.render(reader_units(f"{clash.rule}: {clash.words}")))
            for clash in card.conflicts
        ),
        after=tuple(display.render(text) for text in card.after),
        further=tuple(line(finding, display) for finding in card.findings),
        founded=f"Founded on ({card.finding.status}): {'; '.join(who)}." if keys else "",
    )


def dose_cards(cards: Iterable[DoseCard], display: Display, *, heading: str, made_with: str) -> str:
    """A page for each dose that was worked out, A5, and for an anaesthetic its sheet behind it."""
    pages: list[dict[str, object]] = []
    for card in cards:
        if not card.portions:
            continue
        level = level_chart(card, width=330)
        pages.append(
            {
                "shown": shown_dose(card, display),
                "measure": svg(measure_chart(card, display, width=430)),
                "level": svg(level) if level is not None else "",
                # One sheet serves the fish, however many tubs hold the drug.
                "sheet": card.anaesthetic and not any(page["sheet"] for page in pages),
            }
        )
    return (
        templates()
        .get_template("dose-card.html")
        .render(
            pages=pages,
            heading=heading,
            times=[(_when(row), row["words"]) for row in anaesthesia.time_sheet()],
            stages=anaesthesia.anaesthesia_stages(),
            breathing=anaesthesia.revival_steps(),
            made_with=made_with,
        )
    )


def _when(row: tables.Row) -> str:
    """The moment of a line of the time sheet, in words."""
    if row["when"].isdigit():
        return f"{row['when']} min in"
    if row["when"] == "out":
        return f"{row.value:g} min out"
    return "before" if math.isnan(row.value) else f"{row.value:g} h before"

"""The papers of a plan: text, pages to print, a table and JSON."""

import csv
import io
import json
import math
from dataclasses import asdict
from pathlib import Path
from typing import Any

from waterplan import tables
from waterplan.case.writing import save_text
from waterplan.charts.oxygen import decline_chart, saturation_chart
from waterplan.charts.svg import svg
from waterplan.charts.tank_view import tank_chart
from waterplan.findings import Moment, Verdict, Who
from waterplan.first_plan.certificates import Certificate
from waterplan.first_plan.tank_ahead import Ahead, ahead
from waterplan.first_plan.whole import Plan
from waterplan.papers import certificate
from waterplan.papers.doses import dose_cards
from waterplan.papers.sheet import Sheet, clock, sheet, task
from waterplan.papers.tank_charts import clock_drawings, course_drawings, region_drawing
from waterplan.papers.tank_papers import contingency_page, course_words, hospital_page, ledger
from waterplan.papers.templating import templates
from waterplan.units import Display

_RISKY_FIRST = ("=", "+", "-", "@", "\t", "\r")


def plan_text(plan: Plan, display: Display) -> str:
    """The plan as plain text for a terminal or a file."""
    return templates().get_template("plan.txt").render(sheet=sheet(plan, display))


def plan_page(plan: Plan, display: Display, *, days: Ahead | None = None) -> str:
    """The whole plan as one HTML page, with its charts and all its sources: the record of the case.

    `days` is the course of the tank, where it is at hand; else it is made here.
    """
    pictures, days = plan.pictures, days or ahead(plan)
    charts = clock_drawings(plan, display)
    if pictures.tank:
        charts[Moment.HOSPITAL].insert(0, svg(tank_chart(pictures.tank, display, width=620)))
    if pictures.saturation:
        charts[Moment.PREPARE].insert(0, svg(saturation_chart(pictures.saturation, display, width=560)))
    if region := region_drawing(plan, display):
        charts[Moment.HOSPITAL].append(region)
    return (
        templates()
        .get_template("plan.html")
        .render(
            sheet=sheet(plan, display),
            charts=charts,
            course=course_drawings(days, display),
            course_words=course_words(days, display),
            ledger=ledger(days.course, display) if days.course else [],
            readings=_readings(plan),
        )
    )


def fragment(shown: Sheet, moment: Moment | None) -> str:
    """One moment of a plan as HTML for a screen; without a moment, what comes first."""
    part = None if moment is None else shown.part(moment)
    return templates().get_template("fragment.html").render(sheet=shown, part=part)


def owner_page(plan: Plan, display: Display, *, paper: str = "A4") -> str:
    """One page for the owner: what to do each day, when to phone, no probabilities."""
    checks = tables.rows("owner_checks")
    mine = [task(step, display) for part in plan.moments for step in part.steps if step.who is Who.OWNER]
    before = {
        task(step, display).what
        for part in plan.moments
        if part.moment in {Moment.CALL, Moment.PREPARE}
        for step in part.steps
        if step.who is Who.OWNER
    }
    removal = plan.finding("removal")
    return (
        templates()
        .get_template("owner.html")
        .render(
            patient=plan.case.patient,
            operation=clock(plan.case.intended.operation_at),
            before=[one for one in mine if one.what in before],
            daily=[one for one in mine if one.what not in before and not one.when],
            dated=sorted((one for one in mine if one.what not in before and one.when), key=mine.index),
            removal=display.render(removal.answer) if removal.verdict is not Verdict.QUESTION else "",
            checks=checks,
            limits=_owner_limits(plan, display),
            paper=paper,
            made_with=sheet(plan, display).made_with,
        )
    )


def tub_cards(plan: Plan, display: Display) -> str:
    """A card for each tub: litres, what to check by when, and the oxygen after the air stops."""
    cards = []
    curves = {decline.vessel: decline for decline in plan.pictures.declines}
    shown = sheet(plan, display)
    lines = {line.key: line for part in shown.parts for line in part.lines}
    for vessel in plan.case.vessels:
        curve = curves.get(vessel.name)
        cards.append(
            {
                "name": vessel.name,
                "use": vessel.use,
                "volume": lines[f"volume: {vessel.name}"],
                "times": [lines[key] for part in ("alarm", "emergency") if (key := f"{part}: {vessel.name}") in lines],
                "check": lines.get(f"check-by: {vessel.name}"),
                "alarm": f"{curve.alarm_mg_per_l:g} mg/L" if curve else "",
                "chart": svg(decline_chart(curve, display, width=400, height=170)) if curve else "",
            }
        )
    return (
        templates().get_template("cards.html").render(cards=cards, sheet=shown, degree=display.number(1.0, "°C step"))
    )


def dose_pages(plan: Plan, display: Display) -> str:
    """The cards of the doses and injections of a plan, one page each; of those that are refused too."""
    shown = sheet(plan, display)
    return dose_cards(
        plan.dose_cards,
        display,
        heading=shown.title,
        made_with=shown.made_with,
        injections=plan.injection_cards,
    )


def volume_page(plan: Plan, display: Display, *, paper: str = "A4") -> str:
    """A volume certificate for each water that was measured, a page each."""
    shown = sheet(plan, display)
    filled = certificate.pages(
        plan.pictures.certificates, display, subtitle=shown.subtitle, made_with=shown.made_with, paper=paper
    )
    return templates().get_template("volume.html").render(**filled)


def certificate_page(one: Certificate, display: Display, *, paper: str = "A4") -> str:
    """The volume certificate of one water by itself."""
    return templates().get_template("volume.html").render(**certificate.pages([one], display, paper=paper))


def findings_table(plan: Plan, display: Display) -> str:
    """The findings as CSV, a row each, in the reader's units."""
    shown = sheet(plan, display)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = ("moment", "key", "title", "verdict", "answer", "value", "low", "high", "unit", "limit", "chance")
    writer.writerow((*columns, "method", "status", "sources"))
    by_key = {(part.moment, line.key): line for part in shown.parts for line in part.lines}
    for finding in plan.findings:
        line = by_key[finding.moment, finding.key]
        figures = [
            _convert(value, finding.unit, display, like=finding.high)
            for value in (finding.value, finding.low, finding.high)
        ]
        unit = display.unit(finding.unit, like=finding.high) if finding.high is not None else finding.unit
        row = [finding.moment, finding.key, finding.title, finding.verdict, line.answer, *figures, unit, line.limit]
        row += ["" if finding.chance is None else f"{finding.chance:.3f}", line.method, line.status]
        row.append("; ".join(dict.fromkeys(citation.source for citation in finding.citations)))
        writer.writerow([_harmless(str(cell)) for cell in row])
    return out.getvalue()


def plan_json(plan: Plan, display: Display) -> str:
    """The plan as JSON: values in the core's units, answers in the reader's; never and unknown are null."""
    document = {
        "waterplan": plan.version,
        "tables": plan.tables_digest,
        "draws": plan.draws,
        "seed": plan.seed,
        "as_of": plan.as_of.isoformat() if plan.as_of else None,
        "case": Path(plan.case.file).name,
        "patient": {"name": plan.case.patient.name, "species": plan.case.patient.species},
        "moments": [
            {
                "moment": part.moment,
                "findings": [
                    {
                        **{name: _finite(value) for name, value in asdict(finding).items()},
                        "answer": display.render(finding.answer),
                        "limit_words": display.render(finding.limit_words),
                        "cautions": [
                            {"text": display.render(caution.text), "serious": caution.serious}
                            for caution in finding.cautions
                        ],
                    }
                    for finding in part.findings
                ],
                "steps": [
                    {
                        "who": step.who,
                        "what": display.render(step.what),
                        "at": step.at.isoformat() if step.at else None,
                    }
                    for step in part.steps
                ],
                "cautions": [
                    {"text": display.render(caution.text), "serious": caution.serious} for caution in part.cautions
                ],
            }
            for part in plan.moments
        ],
        "sources": {key: dict(record) for key, record in plan.sources().items()},
    }
    return json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def write_papers(plan: Plan, folder: Path | str, display: Display) -> tuple[Path, ...]:
    """Writes all papers of a plan into a folder, each moved into place whole; gives their paths."""
    days = ahead(plan)
    made = {
        "plan.txt": plan_text(plan, display),
        "plan.html": plan_page(plan, display, days=days),
        "owner.html": owner_page(plan, display),
        "tub-cards.html": tub_cards(plan, display),
        "contingency.html": contingency_page(plan, display),
        "findings.csv": findings_table(plan, display),
        "plan.json": plan_json(plan, display),
    }
    if plan.dose_cards or plan.injection_cards:
        made["dose-cards.html"] = dose_pages(plan, display)
    if plan.pictures.certificates:
        made["volume.html"] = volume_page(plan, display)
    if plan.pictures.sheet is not None:
        made["hospital.html"] = hospital_page(plan, days, display)
    paths = []
    for name, text in made.items():
        path = Path(folder) / name
        save_text(path, text)
        paths.append(path)
    return tuple(paths)


def _finite(value: Any) -> Any:
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _convert(value: float | None, unit: str, display: Display, *, like: float | None) -> str:
    if value is None:
        return ""
    if not math.isfinite(value):
        return "never"
    shown, _ = display.convert(value, unit, like=like if like is not None and math.isfinite(like) else None)
    return f"{shown:.6g}"


def _harmless(cell: str) -> str:
    """A cell that a spreadsheet will not run: text that begins like a formula gets an apostrophe; numbers do not."""
    if not cell.startswith(_RISKY_FIRST):
        return cell
    try:
        float(cell)
    except ValueError:
        return f"'{cell}"
    return cell


def _readings(plan: Plan) -> list[tuple[str, str, str, str]]:
    """What was measured: water, quantity, as written, when."""
    waters = [("home water", plan.case.home_water), ("mains water", plan.case.mains_water)]
    waters += [(vessel.name, vessel.water) for vessel in plan.case.vessels]
    return [
        (name, key, reading.text, clock(reading.taken or water.taken))
        for name, water in waters
        for key, reading in water.readings.items()
    ]


def _owner_limits(plan: Plan, display: Display) -> list[tuple[str, str]]:
    """The few numbers that an owner with a drop kit acts on."""
    limits = []
    oxygen = [finding for finding in plan.findings if finding.key.startswith("check-by: ")]
    if oxygen:
        last = oxygen[-1]
        name = last.key.removeprefix("check-by: ")
        if last.value is not None and math.isfinite(last.value):
            soon = f"within {display.number(last.value, last.unit)}" if last.value > 0 else "at once"
            limits.append((f"If the air stops ({name})", f"be there {soon}"))
    found = {finding.key: finding for finding in plan.findings}
    nitrite = tables.row("water_limits", quantity="nitrite", group="any", level="watch").value
    limits.append(("Ammonia", "any colour on the test: phone today"))
    limits.append(("Nitrite", f"over {display.number(nitrite, 'mg/L as NO2')}: phone today"))
    limits.append(("pH", "changed by more than 0.5 in a day: phone today"))
    ramp = found.get("ramp")
    if ramp is not None:
        limits.append(("Temperature", f"changed by more than {display.number(2.0, '°C step')} in a day: phone today"))
    return limits

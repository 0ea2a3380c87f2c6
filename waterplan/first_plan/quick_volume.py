"""The volume of one water from a survey, a test or its sizes, without a case around it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from waterplan.errors import CaseError
from waterplan.findings import Finding, Moment
from waterplan.first_plan.certificates import Certificate, Sketch, certificates, outline_sketch
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.measuring import split_rows
from waterplan.first_plan.first_case.reading import case_from_document
from waterplan.first_plan.first_case.schema import VERSION, VERSION_KEY
from waterplan.first_plan.first_case.shaping import Progress
from waterplan.first_plan.prepare import pond_volume
from waterplan.first_plan.volumes import POND, volume_findings
from waterplan.spread import Draws
from waterplan.units import FAMILIES, Family, to_core
from waterplan.vessel.outline import Outline

WHERE = "volumes[1]"
# What the reader asks of every case and a volume does not need.
AROUND: Mapping[str, Any] = {
    VERSION_KEY: VERSION,
    "patient": {"species": "goldfish", "weight": "1 kg"},
    "vessels": [{"name": "tub", "use": "dip", "volume": "1 L"}],
}


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickVolume:
    """The findings of one water, and its certificate."""

    findings: tuple[Finding, ...]
    certificate: Certificate


def quick_volume(table: Mapping[str, Any], *, progress: Progress | None = None) -> QuickVolume:
    """The volume of a water from one table of `[[volumes]]`; CaseError with the key and row of all that is wrong.

    Parameters
    ----------
    table : mapping
        Keys of the case and their texts, without `of`.
    progress : callable, optional
        Told the share of a long survey that is done.
    """
    document = {**AROUND, "volumes": [{"of": POND, **table}]}
    desk = Desk(case=case_from_document(document, file="volume"), draws=Draws(), progress=progress)
    desk.answer(Moment.PREPARE, "pond volume", "Water", pond_volume)
    volume_findings(desk, Moment.PREPARE, None)
    # One way alone says the same twice.
    findings = tuple(finding for finding in desk.findings if not finding.key.startswith("volume by"))
    return QuickVolume(findings=findings, certificate=certificates(desk)[0])


def sketch_so_far(table: Mapping[str, str]) -> Sketch | None:
    """The shore and the soundings as far as they can be drawn while they are being typed; None without a shore."""
    unit = table.get("unit", "")
    if unit not in FAMILIES[Family.LENGTH][1]:
        return None
    metres = to_core(1.0, unit, Family.LENGTH)
    shore = [row[:2] for row in _figures(table.get("outline", ""), 2)]
    try:
        outline = Outline.traced(np.asarray(shore) * metres, curved=table.get("shore") == "curved")
    except CaseError:
        return None
    soundings = [row[:3] for row in _figures(table.get("soundings", ""), 3)]
    return outline_sketch(outline, np.asarray(soundings).reshape(-1, 3) * metres)


def _figures(text: str, least: int) -> list[list[float]]:
    """The rows that are finite numbers, `least` or more of them; what is still being typed is passed over."""
    found = []
    for row in split_rows(text):
        try:
            figures = [float(cell) for cell in row]
        except ValueError:
            continue
        if len(figures) >= least and np.isfinite(figures).all():
            found.append(figures)
    return found

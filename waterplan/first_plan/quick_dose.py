"""One dose or one injection without a plan: a few texts in, the card and its findings out."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from waterplan.errors import CaseError, Mistake
from waterplan.findings import Finding
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.dose_cards import DoseCard, InjectionCard
from waterplan.first_plan.dosing import dosing
from waterplan.first_plan.first_case.reading import case_from_document
from waterplan.first_plan.first_case.schema import SECTIONS, VERSION, VERSION_KEY, WATER_KEYS
from waterplan.first_plan.injecting import injection_card
from waterplan.spread import Draws

TUB = "tub"
DOSE_KEYS = tuple(field.key for field in SECTIONS["doses"].fields)
INJECTION_KEYS = tuple(field.key for field in SECTIONS["injections"].fields)
# A patient needs a weight, and no sum of a bath asks for it.
_ANY_WEIGHT = "1 kg, scales"


def quick_dose(
    texts: Mapping[str, str],
    *,
    already: Sequence[str] = (),
    document: Mapping[str, Any] | None = None,
    today: datetime | None = None,
) -> tuple[DoseCard, tuple[Finding, ...]]:
    """The card of one dose, and all its findings.

    `texts` holds the keys of `[[doses]]`, with `into` a vessel of the case in `document` or litres, and without such a
    case the keys of a water, `species` and `eaten`. CaseError tells of everything that is wrong, by the names of the texts.
    """
    given = {key: text.strip() for key, text in texts.items() if text.strip()}
    dose = {key: given[key] for key in DOSE_KEYS if key in given}
    fields = dict(document) if document is not None else _tub(given, dose)
    fields["doses"] = [dose]
    fields["already"] = [*fields.get("already", ()), *({"what": what} for what in already)]
    fields.pop("injections", None)
    desk = _desk(fields, today)
    cards = dosing(desk, whole_case=document is not None).doses
    findings = tuple(_unnumbered(finding) for finding in desk.findings)
    if not cards:
        raise CaseError("this dose", [Mistake(where="into", read="no volume", would_do=findings[0].answer)])
    card = cards[0]
    further = tuple(_unnumbered(finding) for finding in card.findings)
    return replace(card, finding=_unnumbered(card.finding), findings=further), findings


def quick_injection(texts: Mapping[str, str], *, today: datetime | None = None) -> InjectionCard:
    """What to draw up of one drug: `texts` holds the keys of `[[injections]]`, `species`, `weight`, `length`, `eaten`."""
    given = {key: text.strip() for key, text in texts.items() if text.strip()}
    patient = {key: given[key] for key in ("species", "weight", "length", "eaten") if key in given}
    injection = {key: given[key] for key in INJECTION_KEYS if key in given}
    fields = {
        VERSION_KEY: VERSION,
        "patient": patient,
        "vessels": [{"name": TUB, "use": "hospital", "volume": "100 L, marked tub"}],
        "injections": [injection],
    }
    desk = _desk(fields, today)
    card = injection_card(desk, desk.case.injections[0], 1)
    return replace(card, finding=_unnumbered(card.finding))


def _tub(given: Mapping[str, str], dose: dict[str, str]) -> dict[str, Any]:
    """A case that holds one tub of the litres given, and the water that was described."""
    water = {key: given[key] for key in WATER_KEYS if key in given}
    volume = dose.get("into", "")
    if volume:
        dose["into"] = TUB
    patient = {key: given[key] for key in ("species", "eaten", "wound") if key in given}
    fields: dict[str, Any] = {
        VERSION_KEY: VERSION,
        "patient": {**patient, "weight": _ANY_WEIGHT},
        "vessels": [{"name": TUB, "use": "hospital", "volume": volume or "1 L, marked tub", **water}],
    }
    if "disinfectant" in given:
        fields["mains_water"] = {"disinfectant": given["disinfectant"]}
    return fields


def _desk(fields: Mapping[str, Any], today: datetime | None) -> Desk:
    try:
        case = case_from_document(fields, file="these values")
    except CaseError as wrong:
        told = [Mistake(where=_plain(one.where), read=one.read, would_do=one.would_do) for one in wrong.mistakes]
        # The litres are asked for once, as the water of the dose.
        unique = {(one.where, one.read): one for one in told}
        raise CaseError("these values", list(unique.values())) from None
    # The age of a bottle counts to the day of the operation, or to today where there is none.
    as_of = None if case.intended.operation_at else today or datetime.now()
    return Desk(case=case, draws=Draws(), as_of=as_of)


def _plain(where: str) -> str:
    """A place in a case by the name that the text was asked for by."""
    key = where.rpartition(".")[2] if "." in where else where
    return {"volume": "into"}.get(key, key) if where.startswith("vessels[1]") else key


def _unnumbered(finding: Finding) -> Finding:
    """There is no list here, so what is lacking is not named by its number."""
    answer = (
        finding.answer.replace(" (doses[1] again)", "")
        .replace(" (injections[1] again)", "")
        .replace("doses[1] ", "the ")
        .replace("injections[1] ", "the ")
        .replace("[patient] eaten: ", "")
        .replace(", or of the home water", "")
    )
    return replace(finding, answer=answer)

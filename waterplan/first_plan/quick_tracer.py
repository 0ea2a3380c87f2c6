"""How much salt a tracer test takes, without a case around it."""

from collections.abc import Mapping

from waterplan.findings import Finding, Moment
from waterplan.first_plan.desk import Desk
from waterplan.first_plan.first_case.reading import case_from_document
from waterplan.first_plan.quick_volume import AROUND
from waterplan.first_plan.tracer_salt import tracer_salt
from waterplan.spread import Draws


def quick_tracer_salt(*, species: str, pond: Mapping[str, str], salinity: str) -> Finding:
    """The salt to weigh for a tracer test of a pond whose volume is only guessed.

    Parameters
    ----------
    species : str
        The species in the pond that bears the least salt.
    pond : mapping
        Keys of `[home_pond]` and their texts: `volume`, and `wanted_within`, `zeolite`, `plants` as far as known.
    salinity : str
        Salt in the water now, as a case has it.

    Returns
    -------
    Finding
        The weight, or why there is none.

    Raises
    ------
    CaseError
        What cannot be read, by its key.
    """
    document = {
        **AROUND,
        "patient": {"species": species, "weight": "1 kg"},
        "home_pond": dict(pond),
        "home_water": {"salinity": salinity},
    }
    desk = Desk(case=case_from_document(document, file="tracer test"), draws=Draws())
    return desk.answer(Moment.PREPARE, "tracer salt", "Salt to weigh", tracer_salt)

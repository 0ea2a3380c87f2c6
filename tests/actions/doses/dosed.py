"""Doses of small cases as actions, for the tests of this folder."""

from collections.abc import Mapping
from datetime import datetime

from waterplan.actions.doses.injection import injections
from waterplan.actions.doses.orders import doses
from waterplan.actions.proposing import Context, Proposal
from waterplan.case import read_case
from waterplan.spread import Draws
from waterplan.stay.effects import Effects
from waterplan.stay.whole import lay_out, stay

DRAWS = 64

# ± 0 leaves the best values alone, so that each amount can be followed by hand.
POND = """
waterplan_case = 1
[patient]
species = "{species}"
name = "Tansy"
weight = "{weight}"
eaten = "{eaten}"
wound = "{wound}"
[place]
station_pressure = "101.325 ± 0 kPa"
[home_pond]
volume = "{pond_l}"
{pond}
{others}
[home_water]
temperature = "20 ± 0 °C"
ph = "{home_ph} ± 0"
oxygen = "8.6 ± 0 mg/L"
tan = "0.2 ± 0 mg/L as N"
nitrite = "0.1 ± 0 mg/L as NO2"
alkalinity = "100 ± 0 mg/L as CaCO3"
salinity = "{salinity}"
chlorine = "0 ± 0 mg/L"
{home}
[[vessels]]
name = "tub"
use = "induction"
volume = "{tub}"
temperature = "{warm}"
oxygen = "8.6 ± 0 mg/L"
{in_tub}
[[vessels]]
name = "tank"
use = "hospital"
volume = "{tank}"
temperature = "20 ± 0 °C"
filter = "{filter}"
{in_tank}
[intended]
operation_at = 2026-05-14T10:00:00
{intended}
"""
DEFAULTS: Mapping[str, str] = {
    "species": "koi",
    "weight": "2.4 ± 0 kg",
    "eaten": "no",
    "wound": "none",
    "pond": "",
    "pond_l": "10000 ± 0 L",
    "others": "",
    "home": "",
    "home_ph": "7.6",
    "salinity": "0 ± 0 g/L",
    "tub": "40 ± 0 L",
    "in_tub": "",
    "warm": "20 ± 0 °C",
    "tank": "600 ± 0 L",
    "filter": "seeded",
    "in_tank": "",
    "intended": "",
}


def context(more: str = "", *, draws: int = DRAWS, as_of: datetime | None = None, **texts: str) -> Context:
    """The case above with other texts, laid out, before any action."""
    text = POND.format(**{**DEFAULTS, **texts}) + more
    # What is not given is not written.
    text = "\n".join(line for line in text.splitlines() if not line.endswith('= ""'))
    case = read_case(text, file="case")
    ground = lay_out(case, as_of=as_of, draws=Draws(count=draws))
    return Context(ground=ground, stay=stay(ground, Effects()), judged={}, accepted=())


def table(kind: str, **keys: str) -> str:
    """A table of a case file."""
    lines = [f"[[{kind}]]"]
    dates = {"opened", "expires", "since", "at"}
    lines += [f"{key} = {value}" if key in dates else f'{key} = "{value}"' for key, value in keys.items() if value]
    return "\n".join(lines) + "\n"


def dose(substance: str, use: str, into: str = "tub", **keys: str) -> str:
    """A dose of a case file."""
    return table("doses", substance=substance, use=use, into=into, **keys)


def all_doses(more: str, **texts: str) -> tuple[list[Proposal], Context]:
    """All doses of a case as actions."""
    at_hand = context(more, **texts)
    return list(doses(at_hand)), at_hand


def one(
    substance: str, use: str, into: str = "tub", *, more: str = "", case: Mapping[str, str] | None = None, **keys: str
) -> tuple[Proposal, Context]:
    """One dose of a case as an action."""
    made, at_hand = all_doses(dose(substance, use, into, **keys) + more, **(case or {}))
    return made[0], at_hand


def injected(
    drug: str, *, case: Mapping[str, str] | None = None, more: str = "", **keys: str
) -> tuple[Proposal, Context]:
    """One injection of a case as an action."""
    at_hand = context(table("injections", drug=drug, **keys) + more, **(case or {}))
    return next(iter(injections(at_hand))), at_hand


def amount(proposal: Proposal, at_hand: Context, name: str) -> float:
    """The number to act by of an amount."""
    found = at_hand.figures.record(proposal.action.amounts[name]).act_on
    assert found is not None
    return found


def codes(proposal: Proposal) -> set[str]:
    """Why a dose is refused."""
    return {why.code for why in proposal.action.refused_because}


def cautions(proposal: Proposal) -> set[str]:
    """What is told beside a dose."""
    return {why.code for why in (*proposal.action.cautions, *proposal.action.costs)}

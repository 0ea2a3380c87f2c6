"""All papers of a plan: their names, and what each is made of."""

from collections.abc import Callable, Iterable, Sequence

from waterplan.papers import at_work, beside_tubs, loading, on_the_phone, owner, pages, parts, to_give, ward, way_home
from waterplan.papers.drawings import Drawings
from waterplan.papers.holding import INDEX, holds_until, index_page, of_moment
from waterplan.papers.sheet import sheet
from waterplan.papers.spreadsheets import actions_table, figures_table, judgements_table, van_table
from waterplan.plan.record import Plan
from waterplan.stay.record import Moment
from waterplan.units import System
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, full_page

_HALF_LETTER = "5.5in 8.5in"
# File name -> what stands on the page, the phrase of its title, and what it is of: without any of that it is left out.
_PAGES: dict[str, tuple[Callable[[Drawings], parts.Values], str, Callable[[Plan], Sequence[object]] | None]] = {
    "plan.html": (pages.plan_page, "plan", None),
    "owner.html": (owner.owner_page, "owner", None),
    "tub-cards.html": (beside_tubs.tub_cards, "tub cards", parts.tubs),
    "contingency.html": (beside_tubs.contingency_page, "contingency", None),
    "hospital.html": (ward.hospital_page, "hospital", ward.wards),
    "dose-cards.html": (to_give.dose_cards, "doses", to_give.doses),
    "van.html": (loading.van_page, "van", lambda plan: plan.van),
    "acclimation.html": (way_home.acclimation_page, "acclimation", way_home.acclimations),
    "recheck.html": (way_home.recheck_page, "recheck", way_home.rechecks),
    "triage.html": (on_the_phone.triage_page, "triage", on_the_phone.ponds),
    "procedure-log.html": (at_work.procedure_log, "procedure log", at_work.worked_in),
    "drug-record.html": (at_work.drug_record, "drug record", at_work.given),
    "time-cards.html": (at_work.time_cards, "time cards", at_work.timed),
    "transport.html": (at_work.transport_card, "transport", at_work.carried),
    "filter-note.html": (ward.filter_note, "filter note", ward.harmed),
    "handover.html": (ward.handover_page, "handover", ward.wards),
    "volume.html": (pages.volume_page, "volumes", pages.found),
}


def papers(
    plan: Plan, units: System | str = System.METRIC, *, size: str = "A4", moment: Moment | str | None = None
) -> dict[str, str]:
    """All papers of a plan by their file names: pages, text, tables and JSON; or the pages for one moment.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : System or str
        The reader's units, `metric` or `us`; JSON and tables keep the record's.
    size : str
        Paper of the pages, `A4` or `Letter`; cards are half of it.
    moment : Moment, str or None
        The set of one moment with its list, and nothing for other programs; None for all.

    Returns
    -------
    dict of str to str
        The papers; those that the plan has nothing for are left out.
    """
    drawings, plain = Drawings(Speaker(plan, units, marked=True)), Speaker(plan, units)
    names = of_moment(page_names(plan), moment)
    pages = {name: paper(name, drawings, size=size) for name in names}
    pages[INDEX] = paper(INDEX, drawings, size=size, names=names)
    if moment is not None:
        return pages
    return {
        "plan.txt": first_page(plan, units) + "\n" + full_page(plan, None, units),
        "plan.json": plan.model_dump_json(by_alias=True, indent=1) + "\n",
        "figures.csv": figures_table(plan),
        "judgements.csv": judgements_table(plain),
        "actions.csv": actions_table(plain),
        **({"van.csv": van_table(plain)} if plan.van else {}),
        **pages,
    }


def page_names(plan: Plan) -> tuple[str, ...]:
    """The file names of the pages that the plan has something for, but for their list."""
    return tuple(name for name, (_, _, of) in _PAGES.items() if of is None or of(plan))


def paper(name: str, drawings: Drawings, *, size: str = "A4", names: Iterable[str] = ()) -> str:
    """One page by its file name; the list is of the papers that are named.

    Raises
    ------
    KeyError
        Where no page has that name.
    """
    plan = drawings.speaker.plan
    if name == INDEX:
        title, values = "index", index_page(drawings, names)
    else:
        page, title, _ = _PAGES[name]
        values = page(drawings)
    if values.get("size") == "A5" and size == "Letter":
        values["size"] = _HALF_LETTER
    return sheet(name, drawings, title, until=holds_until(plan, name), **{"size": size, "tubs": (), **values})

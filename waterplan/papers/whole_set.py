"""All papers of a plan: their names, what each is made of, and the folder they are written into."""

from collections.abc import Callable
from pathlib import Path

from waterplan.papers.drawings import Drawings
from waterplan.papers.folder import write_set
from waterplan.papers.pages import (
    contingency_page,
    dose_cards,
    has_doses,
    hospital_page,
    owner_page,
    plan_page,
    tub_cards,
    volume_page,
)
from waterplan.papers.spreadsheets import actions_table, figures_table, judgements_table
from waterplan.plan.record import Plan
from waterplan.stay.record import WaterKind
from waterplan.units import System
from waterplan.words.catalogue import Catalogue
from waterplan.words.speaker import Speaker
from waterplan.words.terminal import first_page, full_page

# File name -> how the page is made, and the size of its paper where that is not the reader's.
_PAGES: dict[str, tuple[Callable[[Drawings, str], str], str | None]] = {
    "plan.html": (plan_page, None),
    "owner.html": (owner_page, None),
    "tub-cards.html": (tub_cards, "A5"),
    "contingency.html": (contingency_page, None),
    "hospital.html": (hospital_page, None),
    "dose-cards.html": (dose_cards, "A5"),
    "volume.html": (volume_page, None),
}


def papers(
    plan: Plan,
    units: System | str = System.METRIC,
    catalogue: Catalogue | None = None,
    *,
    size: str = "A4",
) -> dict[str, str]:
    """All papers of a plan by their file names: pages, text, tables and JSON.

    Parameters
    ----------
    plan : Plan
        The plan.
    units : System or str
        The reader's units, `metric` or `us`; JSON and tables keep the record's.
    catalogue : Catalogue or None
        The phrase book; None for English.
    size : str
        Paper of the pages, `A4` or `Letter`; cards are A5.

    Returns
    -------
    dict of str to str
        The papers; those that the plan has nothing for are left out.
    """
    drawings = Drawings(Speaker(plan, units, catalogue, marked=True))
    plain = Speaker(plan, units, catalogue)
    made = {
        "plan.txt": first_page(plan, units, catalogue) + "\n" + full_page(plan, None, units, catalogue),
        "plan.json": plan.model_dump_json(by_alias=True, indent=1) + "\n",
        "figures.csv": figures_table(plan),
        "judgements.csv": judgements_table(plain),
        "actions.csv": actions_table(plain),
    }
    return made | {name: paper(name, drawings, size=size) for name in page_names(drawings)}


def page_names(drawings: Drawings) -> tuple[str, ...]:
    """The file names of the pages that the plan has something for."""
    left_out = _nothing_for(drawings)
    return tuple(name for name in _PAGES if name not in left_out)


def paper(name: str, drawings: Drawings, *, size: str = "A4") -> str:
    """One page by its file name.

    Raises
    ------
    KeyError
        Where no page has that name.
    """
    page, fixed = _PAGES[name]
    return page(drawings, fixed or size)


def write_papers(
    plan: Plan,
    folder: Path | str,
    units: System | str = System.METRIC,
    catalogue: Catalogue | None = None,
    *,
    size: str = "A4",
) -> tuple[Path, ...]:
    """Writes all papers of a plan into a folder, as one set; gives their paths."""
    return write_set(folder, papers(plan, units, catalogue, size=size))


def _nothing_for(drawings: Drawings) -> set[str]:
    kinds = {one.kind for one in drawings.speaker.plan.waters}
    out = set()
    if not kinds - {WaterKind.HOME, WaterKind.SOURCE}:
        out.add("tub-cards.html")
    if WaterKind.HOSPITAL not in kinds:
        out.add("hospital.html")
    if not has_doses(drawings):
        out.add("dose-cards.html")
    if not drawings.speaker.plan.volumes:
        out.add("volume.html")
    return out

"""The page by the door: words of a bag for a bag, of a box for a box, of neither where the fish travels in neither."""

import pytest

from tests.demos import DEMOS, demo_papers, demo_plan, one_paper
from tests.visible_text import text_of
from waterplan.stay.record import WaterKind

OF_A_BAG = ("The bag is opened", "closed bag", "bag still closed")
OF_A_BOX = ("The pump of the box stops", "box's own water")


@pytest.mark.parametrize("name", DEMOS)
def test_it_speaks_of_what_the_fish_travels_in(name: str) -> None:
    page = text_of(demo_papers(name)["contingency.html"])
    kinds = {one.kind for one in demo_plan(name).waters}
    for words, kind in ((OF_A_BAG, WaterKind.BAG), (OF_A_BOX, WaterKind.BOX)):
        for one in words:
            assert (one in page) is (kind in kinds), one


@pytest.mark.parametrize("name", DEMOS)
def test_it_has_every_trouble_and_blank_numbers(name: str) -> None:
    page = text_of(demo_papers(name)["contingency.html"])
    for one in ("The air stops", "The power fails", "A heat wave", "Untreated tap water ran in", "The fish jumped out"):
        assert one in page
    assert "Out of hours, vet: ____" in page


def test_no_heater_sticks_where_there_is_none() -> None:
    made = demo_plan("orfe_in_a_heatwave")
    without = tuple(one for one in made.actions if "heater" not in one.amounts)
    figures = {path: one for path, one in made.figures.items() if "heater" not in path}
    assert "The heater sticks on" in text_of(demo_papers("orfe_in_a_heatwave")["contingency.html"])
    moments = tuple(one.model_copy(update={"actions": (), "because": ()}) for one in made.moments)
    bare = made.model_copy(update={"actions": without, "figures": figures, "moments": moments, "days": ()})
    assert "heater" not in text_of(one_paper(bare, "contingency.html"))

"""What is from memory says so: a mark beside each amount that rests on such a row, and one explanation at the foot of its sheet."""

import re

import pytest

from tests.demos import DEMOS, demo_papers, demo_plan

AMOUNTS = {"g", "kg", "mg", "mL", "uL", "L", "L/min"}
_MARK = '<span class="memory"><span data-figure="{}">'


@pytest.mark.parametrize("name", DEMOS)
def test_each_amount_from_memory_is_marked_and_no_other(name: str) -> None:
    """By the record alone: an amount of which one row has the status `from memory`; the foot tells of it once."""
    made = demo_plan(name)
    from_memory = {path for path, row in made.rows.items() if row.status == "from memory"}
    for page, html in demo_papers(name).items():
        if not page.endswith(".html"):
            continue
        for path in set(re.findall(r'<span data-figure="([^"]+)"', html)):
            figure = made.figures[path]
            rests = figure.unit in AMOUNTS and bool(from_memory & set(figure.rows)) and figure.act_on is not None
            plain = html.count(f'<span data-figure="{path}">')
            assert html.count(_MARK.format(path)) == (plain if rests else 0), (page, path)
        for sheet in html.split("</section>"):
            assert sheet.count("rests on a number from memory") == ('class="memory"' in sheet), page


def test_a_buffer_whose_row_is_from_memory_is_marked_on_its_card() -> None:
    # The soda for the sturgeon's tricaine hangs on a row from memory.
    found = demo_papers("sturgeon_fin")
    assert 'class="memory"' in found["dose-cards.html"]
    assert 'class="memory"' in found["drug-record.html"]

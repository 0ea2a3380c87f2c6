"""What holds of every page of every paper: its size, its margins, what stands over and under it, and no heading over nothing."""

import re
from html.parser import HTMLParser

import pytest

from tests.demos import DEMOS, demo_papers, demo_plan, one_paper
from tests.papers.example_plan import example_plan
from tests.papers.test_bad_names import heads, out_of_css
from waterplan.papers.whole_set import papers

# The widest strip along an edge that an ordinary printer leaves white [mm].
UNPRINTED = 6.4
# The papers of which each sheet is of one water, which is named over it.
OF_ONE_WATER = ("tub-cards.html", "time-cards.html", "transport.html", "hospital.html", "handover.html")


def pages(demo: str) -> dict[str, str]:
    return {name: text for name, text in demo_papers(demo).items() if name.endswith(".html")}


@pytest.mark.parametrize("demo", DEMOS)
def test_a_page_has_its_size_its_margins_and_its_number_of_all(demo: str) -> None:
    for name, text in pages(demo).items():
        found = re.search(r"@page \{ size: (A4|A5); margin: (\d+)mm (\d+)mm;", text)
        assert found, name
        assert min(int(found[2]), int(found[3])) > UNPRINTED
        assert re.search(r"@bottom-right \{ content: [^;]*counter\(page\)[^;]*counter\(pages\);", text), name


@pytest.mark.parametrize("demo", DEMOS)
def test_a_page_says_until_when_it_holds_and_of_whom_it_is(demo: str) -> None:
    plan = demo_plan(demo)
    patients = [one for one in plan.fish if one.patient]
    for name, text in pages(demo).items():
        (under,) = re.findall(r'@bottom-left \{ content: "([^"]*)"', text)
        assert re.fullmatch(
            r"Not after (a newer plan|\w{3} \d+ \w{3} \d{4}, \d\d:\d\d, or a newer plan)", out_of_css(under)
        ), name
        for left, _ in heads(text):
            assert all((one.name or one.species) in left for one in patients), name


@pytest.mark.parametrize("demo", DEMOS)
def test_a_sheet_of_one_water_has_its_name_over_it(demo: str) -> None:
    names = {one.name or str(one.kind) for one in demo_plan(demo).waters}
    for name in set(OF_ONE_WATER) & set(pages(demo)):
        text = pages(demo)[name]
        over = [right for _, right in heads(text)]
        assert set(over) <= names, name
        assert len(over) == text.count("<section"), name
        for number in range(1, len(over) + 1):
            assert re.search(rf'<section class="[^"]*\btub{number}\b', text), (name, number)


@pytest.mark.parametrize("demo", DEMOS)
def test_the_list_has_a_picture_of_each_paper(demo: str) -> None:
    made = pages(demo)
    pictured = re.findall(r'<a href="([\w-]+\.html)">\s*<svg', made["index.html"])
    assert set(pictured) == set(made) - {"index.html"}
    assert len(pictured) == len(set(pictured))


@pytest.mark.longer
def test_on_letter_each_paper_is_letter_or_half_of_it() -> None:
    made = papers(example_plan(), size="Letter")
    sizes = {name: re.search(r"@page \{ size: ([^;]+);", text) for name, text in made.items() if name.endswith(".html")}
    assert {found[1] for found in sizes.values() if found} == {"Letter", "5.5in 8.5in"}
    assert all(sizes.values())


class Headings(HTMLParser):
    """What stands under each heading of a page before the next of its rank or above; a row of heads is nothing."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.under: list[tuple[int, str, list[str]]] = []
        self.inside: list[str] = []
        self.empty: list[str] = []
        self.feed(re.sub(r"<style.*?</style>", "", text, flags=re.DOTALL))
        self._close(0)

    def _close(self, rank: int) -> None:
        while self.under and self.under[-1][0] >= rank:
            _, title, words = self.under.pop()
            if not "".join(words).strip():
                self.empty.append(title)
            elif self.under:
                self.under[-1][2].append("x")

    def handle_starttag(self, tag, attrs):
        if tag in {"h2", "h3"}:
            self._close(int(tag[1]))
            self.under.append((int(tag[1]), "", []))
        if tag in {"svg", "td"} and self.under:  # a drawing, or a cell to write in
            self.under[-1][2].append("x")
        if tag in {"h1", "h2", "h3", "th"}:
            self.inside.append(tag)

    def handle_endtag(self, tag):
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()
        if tag == "section":
            self._close(0)

    def handle_data(self, data):
        if not self.under:
            return
        rank, title, words = self.under[-1]
        if not self.inside:
            words.append(data)
        elif self.inside[-1] == f"h{rank}":
            self.under[-1] = (rank, title + data, words)


def test_a_heading_over_nothing_is_seen() -> None:
    assert Headings("<h2>One</h2><p> </p><h2>Two</h2><p>words</p>").empty == ["One"]
    assert Headings("<h2>One</h2><h3>Part</h3><p>words</p>").empty == []
    assert Headings("<h2>One</h2><table><tr><th>what</th></tr></table>").empty == ["One"]


@pytest.mark.parametrize("demo", DEMOS)
def test_no_heading_stands_over_nothing(demo: str) -> None:
    for name, text in pages(demo).items():
        assert Headings(text).empty == [], name


def test_a_record_of_volumes_alone_has_no_heading_over_nothing() -> None:
    plan = example_plan()
    assert plan.volumes
    bare = plan.model_copy(update={"series": {}, "grids": {}})
    titles = one_paper(plan, "plan.html"), one_paper(bare, "plan.html")
    assert ["The water through time" in one for one in titles] == [True, False]
    assert Headings(titles[1]).empty == []

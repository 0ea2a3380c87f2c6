"""All papers of a plan: what they are, what each number on them carries, and that one figure reads the same on all."""

import html
import json
import re

import pytest

from tests.demos import demo_papers
from tests.kept import kept
from tests.papers.example_plan import example_plan
from tests.papers.reading_marks import Marks
from tests.words.echo import echoing
from tests.words.keys_only import keys_only, spoken_by
from waterplan.papers.whole_set import papers
from waterplan.plan.record import Plan
from waterplan.words.catalogue import language

PLAN = example_plan()
PAGES = (
    "plan.html",
    "owner.html",
    "tub-cards.html",
    "contingency.html",
    "hospital.html",
    "dose-cards.html",
    "van.html",
    "volume.html",
    "index.html",
    "triage.html",
    "procedure-log.html",
    "drug-record.html",
    "time-cards.html",
    "transport.html",
    "handover.html",
)
OTHERS = ("plan.txt", "plan.json", "figures.csv", "judgements.csv", "actions.csv", "van.csv")


@pytest.fixture(scope="module")
def metric():
    return kept("example-papers", lambda: papers(PLAN))


@pytest.fixture(scope="module", params=["metric", "us"])
def made(request, metric):
    return metric if request.param == "metric" else papers(PLAN, request.param)


def test_the_papers_are_these(metric):
    assert set(metric) == {*PAGES, *OTHERS}


def test_a_plan_without_tubs_has_no_cards():
    home = tuple(one for one in PLAN.waters if one.id in {"home-pond", "mains"})
    ids = {one.id for one in home}
    actions = tuple(one for one in PLAN.actions if one.water in ids and not one.substance)
    judgements = tuple(one for one in PLAN.judgements if one.water in ids)
    moments = tuple(
        one.model_copy(
            update={
                "actions": tuple(path for path in one.actions if path in {a.id for a in actions}),
                "judgements": tuple(path for path in one.judgements if path in {j.id for j in judgements}),
                "because": (),
            }
        )
        for one in PLAN.moments
    )
    first = PLAN.first_page.model_copy(update={"do_now": (), "measure_next": (), "have_ready": (), "refused": ()})
    small = PLAN.model_copy(
        update={
            "waters": home,
            "actions": actions,
            "judgements": judgements,
            "moments": moments,
            "first_page": first,
            "volumes": (),
            "van": (),
            "series": {},
            "grids": {},
            "days": (),
        }
    )
    assert set(papers(small)) == {
        "plan.html",
        "owner.html",
        "contingency.html",
        "triage.html",
        "index.html",
        *OTHERS,
    } - {"van.csv"}


@pytest.mark.longer
def test_every_page_closes_its_tags(made):
    for name in PAGES:
        assert Marks(made[name]).troubles == [], name


def test_every_number_with_a_unit_carries_what_it_is(made):
    for name in PAGES:
        assert Marks(made[name]).uncarried == [], name


def test_one_figure_reads_the_same_on_all_papers(made):
    read = {}
    for name in PAGES:
        for path, texts in Marks(made[name]).figures.items():
            read.setdefault(path, set()).update(texts)
    assert set(read) <= set(PLAN.figures)
    assert {path: texts for path, texts in read.items() if len(texts) > 1} == {}
    acted = {path for one in PLAN.actions if not one.refused_because for path in one.amounts.values()}
    assert acted & set(PLAN.figures) <= set(read)  # what is acted on is in the record


def test_what_is_read_is_the_number_to_act_by(metric):
    read = Marks(metric["plan.html"]).figures
    for path, figure in PLAN.figures.items():
        if path not in read:
            continue
        (text,) = read[path]
        if figure.act_on is None:
            assert "never" in text
        elif figure.unit in {"mg/L", "L", "°C", "mL", "mg/L as N"}:
            assert float(text.split()[0].replace(",", "")) == figure.act_on, path


@pytest.fixture(scope="module")
def echoed():
    """The papers with each phrase in a bracket that tells it from the case's own words."""
    with spoken_by(echoing()):
        return papers(PLAN)


@pytest.mark.longer
@pytest.mark.parametrize("name", PAGES)
def test_no_word_is_read_that_is_not_in_the_book(name, echoed):
    marks = Marks(echoed[name])
    text = re.sub(r"⟨[^⟩]*⟩", " ", " ".join(marks.words))
    own = (
        [one.name for one in PLAN.waters]
        + [text for one in PLAN.fish for text in (one.name, one.done)]
        + list(PLAN.title.values())
    )
    own += [one.text for one in PLAN.written] + [one.text for one in PLAN.read]
    own += [
        one.text
        for water in PLAN.waters
        for state in water.states
        for q in state.quantities.values()
        if (one := q).text
    ]
    own += [text for one in PLAN.volumes for way in one.ways for text in way.readings.values()]
    for mine in sorted(filter(None, [*own, PLAN.made.tables, "2.5 mg/mL"]), key=len, reverse=True):
        text = text.replace(mine, " ")
    assert set(re.findall(r"[^\W\d_]{3,}", text)) <= {"min"}, name


@pytest.fixture(scope="module")
def keyed():
    """The papers with the key of each phrase in its place."""
    with spoken_by(keys_only(language())):
        return papers(PLAN)


@pytest.mark.longer
def test_a_book_of_keys_makes_papers_too(keyed):
    assert "⟨page.invented⟩" in keyed["owner.html"]


@pytest.mark.longer
def test_drawings_have_no_word_of_their_own_either(keyed):
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", keyed["plan.html"])
    assert texts
    assert {word for text in texts for word in re.findall(r"[^\W\d_]{3,}", re.sub(r"⟨[^⟩]*⟩", "", text))} == set()


def test_patient_and_tub_stand_on_every_sheet(metric):
    for name in PAGES:
        assert "@top-left" in metric[name]
        assert "Copper" in metric[name]
        assert "counter(page)" in metric[name]
        assert "INVENTED" in metric[name]
    assert metric["tub-cards.html"].count("@top-right") == 4  # basin, tub, tank, bag


@pytest.mark.longer
def test_a_card_lists_each_content_once_however_many_states_hold_it(metric):
    tub = next(one for one in PLAN.waters if one.id == "induction-1")
    (state,) = tub.states
    again = tub.model_copy(update={"states": (state, state, state.model_copy(update={"hypothetical": True}))})
    waters = tuple(again if one is tub else one for one in PLAN.waters)
    assert papers(PLAN.model_copy(update={"waters": waters}))["tub-cards.html"] == metric["tub-cards.html"]


def test_a_refused_dose_has_nothing_to_weigh(metric):
    text = " ".join(Marks(metric["dose-cards.html"]).words)
    refused = text[text.index("⊘ REFUSED") :]
    assert "In this order" not in refused[: refused.index("Seen by")]


def test_the_owner_reads_no_chance_and_no_degree_days(metric):
    text = " ".join(Marks(metric["owner.html"]).words)
    for word in ("times in 100", "degree-days", "as NO", "posture", "probab"):
        assert word not in text


def test_print_is_nine_points_at_least(metric):
    for name in PAGES:
        sizes = [float(size) for size in re.findall(r"font(?:-size)?:[^;}]*?([\d.]+)pt", metric[name])]
        assert sizes
        assert min(sizes) >= 9.0


def test_the_json_is_the_record(metric):
    assert Plan.model_validate_json(metric["plan.json"]) == PLAN
    assert "from" in json.loads(metric["plan.json"])["waters"][2]["occupants"][0]


HOSTILE = "<script>alert(1)</script>\"' } { {{ 7*7 }} </style>"


@pytest.mark.longer
def test_a_hostile_name_is_shown_as_written():
    waters = tuple(one.model_copy(update={"name": HOSTILE}) for one in PLAN.waters)
    fish = tuple(one.model_copy(update={"name": HOSTILE}) for one in PLAN.fish)
    made = papers(PLAN.model_copy(update={"waters": waters, "fish": fish, "title": {"done": HOSTILE}}))
    for name in PAGES:
        assert "<script" not in made[name]
        assert made[name].count("</style>") == 1
        assert "{{ 7*7 }}" in html.unescape(made[name])
        assert Marks(made[name]).troubles == [], name
    assert HOSTILE in made["plan.txt"].replace("\n  ", " ").replace("\n", " ") or "<script>" in made["plan.txt"]


def test_a_volume_that_nobody_measured_has_no_certificate():
    """The night call states no litres: 500 to 50,000 L are assumed, and nobody signs for them."""
    assert "volume.html" not in demo_papers("night_call")
    assert "volume.html" in demo_papers("ordinary_goldfish")

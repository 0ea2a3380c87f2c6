"""The pages of sums: volume, doses, quick sums, and where every number comes from."""

import re
from datetime import date
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.screens.running import checked, downloads, fill, page, planned, press, texts, widget
from waterplan import tables
from waterplan.words.lines import action_line
from waterplan.words.speaker import Speaker

# A box 4 m by 3 m with walls all round, 0.8 m deep at every place: 4 x 3 x 0.8 = 9.6 m3.
BOX = {
    "unit": "m",
    "outline": "0 0 0.8\n4 0 0.8\n4 3 0.8\n0 3 0.8",
    "soundings": "1 1 0.8\n2 1 0.8\n3 1 0.8\n1 2 0.8\n2 2 0.8\n3 2 0.8",
}
# 995 g of sodium chloride that raise the salt by 0.2 g/L: 4,975 L.
SALT = {
    "salt": "1 ± 0 kg",
    "purity": "99.5 ± 0 %",
    "reads": "salinity in g/L",
    "reads_to": "0.002",
    "before": "inlet 0.1\noutlet 0.1",
    "after": "inlet 3 0.3\noutlet 3 0.3",
}
VOLUME, WORK = "quick/volume/", "work volume"


def charts(test):
    return [*test.get("arrow_vega_lite_chart"), *test.get("vega_lite_chart")]


def by(test, way):
    return checked(widget(test, f"{VOLUME}by").select(way).run())


def litres(test):
    return [float(text.replace(",", "")) for text in re.findall(r"<b><span[^>]*>([\d,.]+) L<", texts(test))]


@pytest.mark.parametrize(("way", "given", "expected"), [("soundings", BOX, 9600.0), ("tracer", SALT, 4975.0)])
def test_a_volume_is_answered_with_its_band_and_its_certificate(way, given, expected):
    test = press(fill(by(page("volume"), way), given, VOLUME), WORK)
    low, best, high = litres(test)[:3]
    assert best == pytest.approx(expected, rel=0.01)
    assert low < best < high
    assert downloads(test) == {"Volume certificate": False}


def test_the_shore_is_drawn_as_soon_as_it_has_three_points():
    test = fill(page("volume"), {"unit": "m", "outline": "0 0\n4 0"}, VOLUME)
    assert not charts(test)
    assert charts(fill(test, {"outline": "0 0\n4 0\n4 3\n"}, VOLUME))


def test_a_mistake_stands_beside_its_field_with_its_row():
    wrong = BOX | {"soundings": BOX["soundings"].replace("3 2 0.8", "9 2 0.8")}
    test = press(fill(page("volume"), wrong, VOLUME), WORK)
    assert any("row 6" in one.value for one in test.error)
    assert litres(test) == []


def test_an_edited_field_makes_the_answer_old_and_its_certificate_too():
    test = press(fill(by(page("volume"), "tracer"), SALT, VOLUME), WORK)
    test = fill(test, {"salt": "2 ± 0 kg"}, VOLUME)
    assert "Out of date" in texts(test)
    assert all(downloads(test).values())


def test_a_measurement_goes_into_the_open_case():
    test = press(fill(by(page("volume"), "tracer"), SALT, VOLUME), WORK)
    test = press(test, "into case")
    now = test.session_state["draft"]
    assert now.counts["volumes"] == 1
    assert now.texts[f"{now.edition}/volumes[1].after"] == SALT["after"]
    assert now.texts[f"{now.edition}/volumes[1].of"] == "home pond"


def test_the_salt_for_a_tracer_test_is_planned_before_it():
    test = by(page("volume"), "tracer")
    test = fill(test, {"volume": "10000 ± 2500 L", "salinity": "0 ± 0 g/L"}, "quick/tracer/")
    # As worked by hand in the tests of the tracer's salt: 3,146 g.
    assert re.search(r"3,?1[45]\d g|3\.1[45]\d? kg", texts(press(test, "work tracer")))
    test = fill(test, {"volume": "ten thousand"}, "quick/tracer/")
    assert "ten thousand" in texts(press(test, "work tracer"))


def test_a_bath_is_weighed_and_has_its_card():
    given = {"substance": "tricaine", "use": "induction"}
    test = fill(page("doses"), given, "quick/dose/")
    more = {
        "into": "40 ± 0 L", "strength": "100 mg/L", "bottle": "powder", "buffer": "one to one", "species": "goldfish",
        "eaten": "no", "wound": "none", "temperature": "18 °C, thermometer", "ph": "7.6, pH meter",
        "oxygen": "9 mg/L, oxygen meter", "alkalinity": "120 mg/L as CaCO3, drop kit",
    }  # fmt: skip
    test = press(fill(test, more, "quick/dose/"), "work dose")
    assert test.error == []
    # 100 mg/L in 40 L.
    assert re.search(r">4 g<", texts(test))
    assert downloads(test) == {"Dose cards": False}
    assert charts(test)


def test_a_dose_without_its_water_is_told_beside_its_field():
    test = press(fill(page("doses"), {"substance": "tricaine"}, "quick/dose/"), "work dose")
    wrong = {one.where for one in test.session_state["answer dose"].mistakes}
    assert {"use", "into"} <= wrong
    assert len([one for one in test.error if "needed" in one.value]) >= 2


def test_an_injection_is_drawn_up():
    given = {"drug": "flunixin", "dose": "0.5 mg/kg", "stock": "50 mg/mL", "weight": "2.4 ± 0 kg", "species": "koi",
             "eaten": "no"}  # fmt: skip
    test = press(fill(page("doses"), given, "quick/injection/"), "work injection")
    # 1.2 mg of 50 mg/mL is 0.024 mL, too little for ten divisions of 0.01 mL: 0.24 mL of a mixture at 5 mg/mL.
    assert "0.24" in texts(test)
    assert "mixture" in texts(test)


# For each sum what it cannot do without, and something that its answer says.
SUMS = {
    "ammonia": ({"tan": "1 ± 0 mg/L as N", "ph": "8 ± 0", "temperature": "24 ± 0 °C"}, "0.051 mg/L as N"),
    "oxygen": ({"temperature": "18 °C"}, "saturation"),
    "power cut": ({"litres": "200 L", "weight": "1 kg", "temperature": "20 °C"}, "until alarm, with the power off"),
    "air": ({"litres": "200 L", "weight": "1 kg", "temperature": "15 °C"}, "Air stones"),
    "tank": ({"weight": "0.6 kg"}, "needed altogether"),
    "heater": ({"litres": "200 L", "temperature": "18 °C"}, "one heater"),
    # 2 g/L in 200 L, nothing in it yet.
    "salt": ({"strength": "2 g/L", "into": "200 ± 0 L", "species": "koi", "salinity": "0 ± 0 g/L"}, "400 g"),
    # 100 mg/L of available iodine in 2 L is 0.2 g; 10 % PVP-I with a tenth of it as iodine has 10 mg/mL: 20 mL.
    "iodine": ({"into": "2 ± 0 L", "bottle": "10 % PVP-I"}, "20 mL"),
    "mix": (
        {"litres": "200 ± 0 L", "temperature": "18 °C", "first_temperature": "12 ± 0 °C", "second_temperature": "45 ± 0 °C"},
        "164 L",
    ),
    "step": ({"temperature": "12 ± 0 °C", "other": "18 ± 0 °C"}, "50 h"),
    "gas": ({"temperature": "8 °C", "warmed_to": "20 °C"}, "once it is warmed"),
    "bag": ({"litres": "30 L", "weight": "1 kg", "temperature": "15 °C"}, "Carbon dioxide, until the limit"),
    "stitches": ({"temperature": "20 ± 0 °C"}, "Examine the stitches"),
}  # fmt: skip


def which_sum(name):
    test = page("quick_sums", **{"quick/sum": name})
    assert "Sources:" not in texts(test)
    return test


@pytest.mark.parametrize("name", SUMS)
def test_a_quick_sum_answers_beside_its_fields_and_follows_them(name):
    given, says = SUMS[name]
    test = which_sum(name)
    assert "Fill in:" in texts(test)
    if name == "stitches":
        test.date_input[0].set_value(date(2026, 5, 14))
    test = fill(test, given, f"quick/{name}/")
    assert says in texts(test)
    assert "Out of date" not in texts(test)
    key = next(iter(given))
    gone = fill(test, {key: ""}, f"quick/{name}/")
    assert says not in texts(gone)


def test_the_size_of_a_tank_is_told_before_what_each_of_its_parts_asks_for():
    said = texts(fill(which_sum("tank"), {"weight": "0.6 kg"}, "quick/tank/"))
    assert said.index("needed altogether") < min(said.index(part) for part in ("for room to turn", "by stocking"))


def test_what_cannot_be_read_is_told_and_takes_the_answer_away():
    test = fill(which_sum("ammonia"), SUMS["ammonia"][0], "quick/ammonia/")
    test = fill(test, {"temperature": "warm"}, "quick/ammonia/")
    assert "'warm'" in texts(test)
    assert SUMS["ammonia"][1] not in texts(test)


def test_sources_are_found_by_a_word_a_screenful_at_a_time():
    test = page("sources", answer_case=planned())
    shown = [one.value for one in test.table]
    assert len(shown) == 4
    assert all(len(one) <= 20 for one in shown)
    assert f"of {len(tables.sources())}: search" in texts(test)
    assert not any({"row", "key"} & set(one.columns) for one in shown)
    # By a word of the source, and by the path of a row, which is not shown.
    found = checked(widget(test, "quick/search").input("yamanaka").run())
    assert "1 found" in texts(found)
    assert "Nothing found." in texts(found)
    found = checked(widget(found, "quick/search").input("oxygen_levels/cyprinid/anaesthetised/alarm").run())
    assert "1 found" in texts(found)


def test_a_row_says_what_it_decides_and_is_found_by_that():
    answered = planned()
    path, row = next((path, one) for path, one in answered.plan.rows.items() if one.decides and one.printed)
    title = Speaker(answered.plan).title(row.decides[0])
    test = page("sources", answer_case=answered)
    (shown,) = (one.value for one in checked(widget(test, "quick/search").input(path).run()).table)
    assert title in {text for cell in shown["what it decides"] for text in cell.replace("\\", "").split("; ")}
    assert row.printed in [cell.replace("\\", "") for cell in shown["as the table prints it"]]
    assert "Nothing found." not in texts(checked(widget(test, "quick/search").input(title).run()).tabs[0])


def test_without_a_plan_its_rows_are_not_listed():
    test = page("sources")
    assert "There is no plan yet" in texts(test)
    assert len(test.table) == 3


@pytest.mark.longer
def test_a_call_is_acted_upon_and_knows_what_it_was_told():
    test = page("call")
    checked(test.multiselect[0].select("hose left running").run())
    test = press(fill(test, {"litres": "600 ± 0 L"}, "quick/phone/"), "work phone")
    said = texts(test)
    assert "First aid, <" in said
    # 600 L x 4 mg/L x 7 g/g
    assert re.search(r">1[67](\.\d)? g<", said)
    assert "Out of date" in texts(fill(test, {"volume": "8000 L, guess"}, "quick/phone/"))


def test_all_that_a_call_asks_for_stands_in_its_answer_which_has_no_pages_of_moments():
    test = page("call")
    checked(test.multiselect[0].set_value(["gasping at the surface", "hose left running"]).run())
    said = texts(press(test, "work phone"))
    made = test.session_state["answer phone"].plan
    first, spoken = made.first_page, Speaker(made)
    left = [one for one in made.actions if one.is_open and one.kind != "wait" and one.id not in first.do_now]
    assert len(left) == first.and_more > 0
    plain = re.sub("<[^>]*>", "", said)
    assert all(action_line(spoken, one) in plain for one in left)
    assert "on the pages of the moments" not in said


def test_a_caller_is_understood_in_his_own_words_and_told_how_or_that_nothing_was():
    """The words of the table `signs`, as the command line takes them; what means no sign gets what suits every call."""
    said = {}
    for words in ("they gulp air at the top", "blue socks on a pole"):
        test = page("call")
        test.session_state["quick/phone/signs"] = [words]
        said[words] = texts(press(checked(test.run()), "work phone"))
        made = test.session_state["answer phone"].plan
        signs = {one.id.rpartition("/")[2] for one in made.judgements if one.hazard == "sign"}
        assert signs == ({"gasping at the surface"} if "gulp" in words else set())
        assert made.first_page.do_now
    assert "is read as: gasping at the surface" in said["they gulp air at the top"]
    assert "is none of the signs that are known" in said["blue socks on a pole"]


def test_what_cannot_be_read_of_a_call_is_told():
    test = page("call")
    checked(test.multiselect[0].select("very hot").run())
    test = press(fill(test, {"temperature": "hot"}, "quick/phone/"), "work phone")
    assert "'hot'" in texts(test)


def test_two_clicks_from_a_number_to_its_row():
    """A finding opens on what it is based on, and a link there lists the rows behind it: among them that of its limit."""
    answered = planned()
    one = next(one for one in answered.plan.judgements if one.limit is not None and one.limit.row in answered.plan.rows)
    moment = f'__import__("waterplan.stay.record").stay.record.Moment("{one.moment}")'
    shown = texts(page("plan_pages.moment", moment, answer_case=answered))
    links = [parse_qs(urlsplit(link).query) for link in re.findall(r'href="(sources\?[^"]+)"', shown)]
    title = Speaker(answered.plan).title(one.id)
    assert [title] in [link["search"] for link in links]
    test = page("sources", asked={"search": title}, answer_case=answered)
    (rows,) = (each.value for each in test.table[:1])
    assert answered.plan.rows[one.limit.row].printed in [
        cell.replace("\\", "") for cell in rows["as the table prints it"]
    ]
    assert all(title in cell.replace("\\", "") for cell in rows["what it decides"])


@pytest.mark.parametrize(
    ("name", "asked", "place", "other"),
    [
        ("sources", {"search": "benson"}, "quick/search", "oxygen"),
        ("quick_sums", {"sum": "heater"}, "quick/sum", "bag"),
        ("readings", {"water": "home-pond", "what": "tan"}, "quick/readings/what", "ph"),
    ],
)
def test_an_address_is_followed_once_and_stays_as_it_is(name, asked, place, other):
    test = page(name, asked=asked)
    assert test.session_state[place] == list(asked.values())[-1]
    test.session_state[place] = other
    checked(checked(test.run()).run())
    assert test.session_state[place] == other
    assert asked.items() <= dict(test.query_params).items()

"""The page for the volume of a pond: what is typed, drawn, answered, refused, and put into the case."""

import re

import pytest

from tests.screens.running import checked, page, press, texts

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


def box(test, key):
    kinds = (test.text_input, test.text_area, test.selectbox)
    return next(one for kind in kinds for one in kind if one.key == f"quick/volume/{key}")


def filled(test, by, given):
    test = checked(box(test, "by").select(by).run())
    for key, text in given.items():
        widget = box(test, key)
        (widget.select if hasattr(widget, "options") else widget.input)(text)
    return checked(test.run())


def charts(test):
    return [*test.get("arrow_vega_lite_chart"), *test.get("vega_lite_chart")]


def metrics(test):
    return {one.label: float(re.sub(r"[^\d.]", "", one.value)) for one in test.metric}


@pytest.mark.parametrize(("by", "given", "litres"), [("soundings", BOX, 9600.0), ("tracer", SALT, 4975.0)])
def test_a_volume_is_answered_with_its_band_and_what_to_use_it_for(by, given, litres):
    test = press(filled(page("volume"), by, given), "Work out the volume")
    shown = metrics(test)
    assert shown["best"] == pytest.approx(litres, rel=0.01)
    assert shown["low"] < shown["best"] < shown["high"]
    said = texts(test).replace("\\", "")
    assert "Founded on (" in said
    assert "10 % of the water" in said
    table = test.table[0].value
    assert next(iter(table["for"])) == "A dose with a narrow margin"
    ends = table.set_index("for")["because"]
    assert ends["How long the oxygen lasts"].startswith("the low end")
    assert ends[next(name for name in ends.index if name.startswith("An antidote"))].startswith("the high end")


def test_the_shore_is_drawn_as_soon_as_it_has_three_points():
    test = filled(page("volume"), "soundings", {"unit": "m", "outline": "0 0\n4 0"})
    assert not charts(test)
    box(test, "outline").input("0 0\n4 0\n4 3\n")
    test = checked(test.run())
    assert charts(test)
    assert not test.metric


def test_a_mistake_stands_beside_its_field_with_its_row():
    wrong = BOX | {"soundings": BOX["soundings"].replace("3 2 0.8", "9 2 0.8")}
    test = press(filled(page("volume"), "soundings", wrong), "Work out the volume")
    told = [one.value for one in test.error]
    assert any("row 6" in text and "outside the shore" in text.replace("\\", "") for text in told)
    assert not test.metric


def test_pasted_from_a_spreadsheet():
    commas = {key: text.replace(" ", ",") for key, text in BOX.items()}
    commas["soundings"] = "x,y,depth\n" + commas["soundings"]
    test = press(filled(page("volume"), "soundings", commas), "Work out the volume")
    assert metrics(test)["best"] == pytest.approx(9600.0, rel=0.01)


def test_an_edited_field_is_said_to_be_newer_than_the_answer():
    test = press(filled(page("volume"), "tracer", SALT), "Work out the volume")
    box(test, "salt").input("2 ± 0 kg")
    assert "edited after this answer" in texts(checked(test.run()))


def test_it_goes_into_the_open_case():
    test = press(filled(page("volume"), "tracer", SALT), "Work out the volume")
    test = press(test, "Put it into the open case")
    now = test.session_state["draft"]
    assert now.counts["volumes"] == 1
    assert test.session_state[f"{now.edition}/volumes[1].after"] == SALT["after"]
    assert test.session_state[f"{now.edition}/volumes[1].of"] == "home pond"


def test_the_salt_for_a_tracer_test_is_planned_before_it():
    test = checked(box(page("volume"), "by").select("tracer").run())
    box(test, "salt guess").input("10000 ± 2500 L")
    box(test, "salt salinity").input("0 ± 0 g/L")
    # As worked by hand in tests/plan/test_tracer_salt.py: 3,146 g.
    assert "3\\.14" in texts(press(test, "How much salt?"))
    box(test, "salt guess").input("ten thousand")
    assert "volume: read" in texts(press(test, "How much salt?")).replace("\\", "")

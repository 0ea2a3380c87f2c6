"""Volumes of a case in the plan: each way, the ways together, what follows from them, and what is refused."""

import pytest

from tests.plan.by_hand import EXACT, figures, shown
from tests.plans import SMALLEST, case_of
from waterplan.findings import Verdict
from waterplan.first_plan.quick_volume import quick_volume, sketch_so_far
from waterplan.first_plan.whole import plan

METER = '[[volumes]]\nof = "home pond"\nby = "meter"\nmeter_before = "1000 L"\nmeter_after = "{after} L"\n'
# 2,984 g of pure salt that raise the salt by 0.4 g/L: 7,460 L; the two readings are good to 0.002 g/L.
TRACER = """[[volumes]]
of = "home pond"
by = "tracer"
salt = "2.984 ± 0 kg"
purity = "100 ± 0 %"
reads = "salinity in g/L"
reads_to = 0.002
before = "inlet 0.1"
after = \"\"\"
inlet 5 0.5
outlet 5 0.5
drain 5 0.5
shelf 5 0.5
skimmer 5 0.5
\"\"\"
"""
# Stations that differ by half of the rise: water that is not mixed.
UNMIXED = TRACER.replace("skimmer 5 0.5", "skimmer 5 0.3")


def made(text, draws=2048):
    return plan(case_of(text), draws=draws)


def test_one_way_alone_is_the_volume_and_all_that_follows_uses_it():
    # The meter's 5,000 L; 12 kg of fish would be 2.4 kg/m3, and the koi's four companions of 2.5 kg are 10 kg: 2 kg/m3.
    text = EXACT.replace(EXACT[EXACT.index("[home_pond]") : EXACT.index("[[other_fish]]")], "")
    found = made(text + METER.format(after=6000))
    assert found.finding("pond volume").value == pytest.approx(5000.0)
    assert found.finding("density before").value == pytest.approx(2.0)
    assert found.finding("volume by meter: home pond").value == pytest.approx(5000.0)


def test_ways_that_agree_are_weighed_and_surer_than_each():
    found = made(SMALLEST + '[home_pond]\nvolume = "7500 L, marked tub"\n' + TRACER)
    both = found.finding("pond volume")
    ways = [found.finding(f"volume {label}: home pond") for label in ("by tracer", "as stated")]
    assert ways[0].value == pytest.approx(7460.0, rel=1e-6)
    assert min(way.value for way in ways) < both.value < max(way.value for way in ways)
    assert both.high - both.low < min(way.high - way.low for way in ways)
    assert "they agree" in both.answer


def test_the_odd_one_out_is_named_and_the_band_spans_them_all():
    text = SMALLEST + '[home_pond]\nvolume = "7500 L, marked tub"\n' + TRACER + METER.format(after=16000)
    found = made(text)
    both = found.finding("pond volume")
    assert both.low < 7700
    assert both.high > 14500
    assert any("The odd one out is by meter" in caution.text for caution in both.cautions)
    # Whoever acts on another number that rests on it hears of it too.
    assert any("do not agree" in caution.text for caution in found.finding("density before").cautions) or (
        found.finding("density before").verdict is Verdict.QUESTION
    )


def test_a_tracer_that_is_not_mixed_is_refused_and_left_out():
    found = made(SMALLEST + '[home_pond]\nvolume = "7500 L, marked tub"\n' + UNMIXED)
    refused = found.finding("volume by tracer: home pond")
    assert refused.verdict is Verdict.REFUSED
    assert "not mixed" in refused.answer
    assert not refused.answer.endswith("..")
    both = found.finding("pond volume")
    assert both.value == pytest.approx(7500.0)
    assert any("left out" in caution.text for caution in both.cautions)


def test_without_another_way_a_refused_tracer_leaves_no_volume():
    found = made(SMALLEST + UNMIXED)
    assert found.finding("pond volume").verdict is Verdict.REFUSED
    assert "use: home pond" not in [finding.key for finding in found.findings]
    (certificate,) = found.pictures.certificates
    assert certificate.band is None


def test_each_use_takes_its_safe_end():
    found = made(SMALLEST + METER.format(after=6000))
    pond, use = found.finding("pond volume"), shown(found.finding("use: home pond"))
    sentences = use.split(". ")
    for word, end in (
        ("narrow margin", "low"),
        ("oxygen", "low"),
        ("ammonia", "low"),
        ("enough", "low"),
        ("antidote", "high"),
    ):
        (line,) = [one for one in sentences if word in one.lower().split(":")[0]]
        litres = pond.low if end == "low" else pond.high
        assert figures(line)[0] == pytest.approx(litres, abs=1.0)
        assert f"the {end} end" in line


def test_litres_to_the_centimetre_and_in_a_tenth():
    # A box of 4 x 2.5 m, 1 m deep: 10 m2, so 100 L to the centimetre; sloping sides take its volume down, not its top.
    found = made(EXACT)
    told = figures(shown(found.finding("level: home pond")))
    tenth = found.finding("pond volume").value / 10.0
    assert tenth == pytest.approx(told[1], abs=0.6)
    assert 100.0 in told
    assert told[-1] == pytest.approx(tenth / 100.0, rel=0.01)


def test_corrections_are_taken_off_and_put_on():
    # 5,000 L by the meter, 12 m of pipe of 100 mm bore hold 94.25 L, filters 180 L, and the level stands 1 cm lower on 8 m2.
    more = 'pipe_length = "12 ± 0 m"\npipe_bore = "100 ± 0 mm"\nfilter_bodies = "180 ± 0 L"\nlevel_fall = "1 ± 0 cm"\n'
    found = made(SMALLEST + METER.format(after=6000) + more + 'surface = "8 m2"\n')
    assert found.finding("pond volume").value == pytest.approx(5000.0 + 94.248 + 180.0 - 80.0, abs=0.01)


def test_a_tub_may_be_measured_too():
    text = SMALLEST + METER.format(after=1070).replace("home pond", "blue tub")
    found = made(text)
    assert found.finding("volume by meter: blue tub").value == pytest.approx(70.0)
    # 60 L to within 1.5 % as marked, 70 L to within 1 %: they do not agree.
    assert "do not agree" in found.finding("volume: blue tub").answer


def test_a_stated_volume_without_error_is_not_weighed():
    found = made(SMALLEST + '[home_pond]\nvolume = "9000 ± 0 L"\n' + METER.format(after=6000))
    assert found.finding("pond volume").value == pytest.approx(5000.0)
    assert any("no error" in caution.text for caution in found.finding("pond volume").cautions)


def test_a_quick_volume_says_it_once():
    quick = quick_volume({"by": "meter", "meter_before": "1000 L", "meter_after": "6000 L"})
    assert [finding.key for finding in quick.findings] == ["pond volume", "use: home pond", "level: home pond"]
    assert quick.certificate.band is not None
    assert quick.certificate.band.best == pytest.approx(5000.0)


@pytest.mark.parametrize(
    ("table", "points", "soundings"),
    [
        ({}, None, 0),
        ({"outline": "0 0\n1 0\n1 1"}, None, 0),
        ({"unit": "m", "outline": "0 0\n1 0"}, None, 0),
        ({"unit": "m", "outline": "0 0\n1 0\n1 1\n0 "}, 3, 0),
        ({"unit": "cm", "outline": "0 0\n100 0\n100 100", "soundings": "50 20 30\n60 3"}, 3, 1),
    ],
)
def test_the_sketch_takes_what_can_be_drawn(table, points, soundings):
    sketch = sketch_so_far(table)
    assert (None if sketch is None else len(sketch.shore)) == points
    if sketch is not None:
        assert len(sketch.soundings) == soundings
        assert max(x for x, _ in sketch.shore) == pytest.approx(1.0)


def part(name, litres, more=""):
    """A part metered: 1 % of error or so, no shape."""
    head = f'[[volumes]]\nof = "home pond"\npart = "{name}"\nby = "meter"\n{more}'
    return f'{head}meter_before = "0 L"\nmeter_after = "{litres} L"\n'


BOX = """[[volumes]]
of = "home pond"
part = "{name}"
by = "shape"
plan = "rectangle"
profile = "vertical walls, flat floor"
made = "rigid tub from its size"
length = "{length} ± 0 m"
width = "{width} ± 0 m"
rim = "{rim} ± 0 m"
below_rim = "0 ± 0 m"
{more}"""


def test_parts_add_up_and_what_takes_their_place_is_taken_off():
    # 3 m x 2 m x 1 m is 6,000 L, 2 m x 1 m x 0.4 m is 800 L, and a block of 1 m x 0.5 m x 0.5 m takes 250 L.
    text = SMALLEST + BOX.format(name="deep end", length=3, width=2, rim=1, more="")
    text += BOX.format(name="plant bay", length=2, width=1, rim=0.4, more="")
    added = made(text)
    whole = added.finding("pond volume")
    assert whole.value == pytest.approx(6800.0, rel=1e-6)
    assert "Added up: deep end 6,000 L; plant bay 800 L" in shown(added.finding("volume in parts: home pond"))
    # A centimetre over 8 m2 is 80 L.
    assert "80 L" in shown(added.finding("level: home pond"))
    island = BOX.format(name="block", length=1, width=0.5, rim=0.5, more='takes_place = "yes"\n')
    less = made(text + island)
    assert less.finding("pond volume").value == pytest.approx(6550.0, rel=1e-6)
    assert "block less 250 L" in shown(less.finding("volume in parts: home pond"))


def test_the_errors_of_parts_add_in_squares():
    # Each meter's error is its own: two parts of 3,000 L have 1/sqrt 2 of the share that one of 6,000 L has.
    one, two = (made(SMALLEST + text) for text in (part("a", 6000), part("a", 3000) + part("b", 3000)))
    half = [(found.high - found.low) / found.value for found in (p.finding("pond volume") for p in (one, two))]
    assert half[1] / half[0] == pytest.approx(2.0**-0.5, rel=0.06)


def test_a_part_measured_in_two_ways_is_weighed_before_it_is_added():
    text = SMALLEST + part("a", 3000) + part("a", 3100) + part("b", 1000)
    found = made(text).finding("pond volume")
    assert 4000.0 < found.value < 4100.0
    assert found.value == pytest.approx(4050.0, rel=0.002)


def test_a_part_without_a_volume_leaves_the_whole_without_one_and_says_which():
    text = SMALLEST + part("deep end", 5000) + UNMIXED.replace('by = "tracer"', 'part = "bay"\nby = "tracer"')
    refused = made(text).finding("volume in parts: home pond")
    assert refused.verdict is Verdict.REFUSED
    assert "“bay”" in refused.answer
    assert "not mixed" in refused.answer


def test_what_takes_the_place_of_water_cannot_be_more_than_the_water():
    text = SMALLEST + part("bay", 500) + part("island", 600, 'takes_place = "yes"\n')
    assert made(text).finding("volume in parts: home pond").verdict is Verdict.REFUSED


def test_parts_are_weighed_with_the_whole():
    text = SMALLEST + part("a", 3000) + part("b", 3000) + METER.format(after=7100)
    both = made(text).finding("pond volume")
    assert 6000.0 < both.value < 6100.0
    assert "they agree" in both.answer

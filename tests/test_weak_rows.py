"""The rows that do most harm where they are wrong: none is from memory, and each judgement says what was searched for it.

The list is in the order of the harm of a wrong value: a fish dies of it within the hour, within the day, in days, or is
kept worse than it could be.
"""

import pytest

from tests.demos import DEMO_PONDS, DEMOS, demo_plan
from waterplan import tables
from waterplan.hazards.record import Verdict

# Table, and the names by which its rows are found; every row that matches is held.
BY_HARM = (
    ("oxygen_levels", {}),
    ("water_limits", {"quantity": "carbon_dioxide"}),
    ("defaults", {"what": "carbon dioxide on the way"}),
    ("defaults", {"what": "carbon dioxide over the gills"}),
    ("defaults", {"what": "carbon dioxide of a bath"}),
    ("bag_loading", {"stage": "patient"}),
    ("anaesthetics", {"agent": "tricaine"}),
    ("water_limits", {"quantity": "nitrite"}),
    ("water_limits", {"quantity": "tan"}),
    ("salt_ceilings", {}),
    ("species_ranges", {"range": "tolerated temperature"}),
    ("species_ranges", {"range": "care temperature"}),
    ("stress_factors", {"state": "handled"}),
    ("oxygen_uptake", {}),
    ("water_limits", {"quantity": "gas_pressure"}),
    ("aeration_rates", {"quantity": "SOTE per metre"}),
    ("filter_rates", {"quantity": "days to full"}),
    ("heat_rates", {"quantity": "wall U"}),
    ("heat_rates", {"quantity": "surface U"}),
    ("heat_rates", {"quantity": "whole U"}),
    ("heat_rates", {"quantity": "band"}),
    ("heat_rates", {"quantity": "hours to melt"}),
    ("hospital_demands", {}),
    ("healing", {}),
    ("water_limits", {"quantity": "density_pond"}),
)

CASES = [(demo, False) for demo in DEMOS] + [
    (demo, True) for demo in DEMOS if (DEMO_PONDS / f"{demo}_readings.csv").exists()
]


def held(table: str, keys: dict[str, str]) -> tuple[tables.Row, ...]:
    return tuple(row for row in tables.table(table) if all(row.keys[name] == text for name, text in keys.items()))


@pytest.mark.parametrize(
    ("table", "keys"), BY_HARM, ids=lambda one: one if isinstance(one, str) else "-".join(one.values())
)
def test_none_of_the_most_harmful_is_from_memory(table: str, keys: dict[str, str]) -> None:
    rows = held(table, keys)
    assert rows
    assert not [row.id for row in rows if row.status == "from memory"]


@pytest.mark.parametrize(
    ("table", "keys"), BY_HARM, ids=lambda one: one if isinstance(one, str) else "-".join(one.values())
)
def test_a_judgement_among_them_says_what_was_searched_and_what_would_settle_it(
    table: str, keys: dict[str, str]
) -> None:
    judged = [row for row in held(table, keys) if row.status == "judgement"]
    assert not [row.id for row in judged if "searched: " not in row.reason or "would settle it" not in row.reason]


def test_what_the_law_and_a_fact_sheet_say_of_oxygen_stand_beside_each_other() -> None:
    """Carp: 3.5 mg/L by the Swiss ordinance, 5 by the fact sheet; the safer answers, and the other is not lost."""
    rows = held("oxygen_levels", {"group": "cyprinid", "state": "settled", "level": "alarm"})
    assert sorted((row.value, row.is_default) for row in rows) == [(3.5, False), (5.0, True)]


def test_nitrite_is_watched_between_the_two_readings_of_a_limit_without_a_basis() -> None:
    """The trade's 0.2 mg/L: as the ion it is 0.2 as NO2, as nitrogen 0.2 x 46.005 / 14.007 = 0.657; 0.1 as N is 0.328."""
    limit = tables.row("water_limits", quantity="nitrite", group="any", level="watch")
    printed = next(row for row in held("water_limits", {"quantity": "nitrite", "level": "watch"}) if not row.is_default)
    assert printed.value == 0.2
    assert printed.value < limit.value < printed.value * 46.005 / 14.007
    assert limit.low == pytest.approx(0.2, abs=0.001)
    assert limit.high == pytest.approx(0.657, abs=0.001)


def test_a_ceiling_of_salt_is_the_strictest_in_print() -> None:
    """Nile tilapia: all lived at 7 g/L and all died at 9 in one study, others grew best at 10 to 20."""
    assert tables.row("salt_ceilings", group="tilapia", exposure="prolonged").value == 7.0
    assert max(row.high for row in held("salt_ceilings", {"group": "tilapia", "exposure": "prolonged"})) == 20.0


def test_what_was_seen_without_its_authors_is_quoted() -> None:
    """An excerpt or a list of abstracts that does not name its authors is a text that names the source, not the source."""
    nameless = {key for key, one in tables.sources().items() if one["who"].startswith("authors not seen")}
    assert nameless
    for table in sorted(path.stem for path in tables.shipped("reference_tables").glob("*.csv")):
        if table not in {"glossary", "sources"}:
            wrong = [row.id for row in tables.table(table) if row.source in nameless and row.status == "published"]
            assert not wrong, table


@pytest.mark.parametrize(("demo", "readings"), CASES)
def test_no_act_now_of_a_demo_is_decided_by_a_row_from_memory(demo: str, readings: bool) -> None:
    """Limits, harm and what the compared figure rests on: whoever acts at once acts on more than somebody's memory."""
    made = demo_plan(demo, readings=readings)
    urgent = {one.id for one in made.judgements if one.verdict is Verdict.ACT_NOW}
    decided = {path: row for path, row in made.rows.items() if urgent & set(row.decides)}
    assert bool(decided) == bool(urgent)
    assert not [path for path, row in decided.items() if row.status == "from memory"]

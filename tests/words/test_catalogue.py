"""The phrase book: every code, choice and thing of the tables has its phrase, and no phrase asks for what is not given."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

import waterplan
from tests.words.keys_only import keys_only
from waterplan import tables
from waterplan.actions.record import Kind, Who
from waterplan.hazards.record import Hazard, Side, Verdict
from waterplan.plan.record import Go, Readiness
from waterplan.stay.quantities import Q
from waterplan.stay.record import ActEnd, FishState, Moment, Origin, WaterKind
from waterplan.words.catalogue import language

PACKAGE = Path(waterplan.__file__).parent
ROOMS = ("vessel", "dose", "stay", "hazards", "actions", "plan")
# `reason("code", {words}, name=(number, unit))` is a reason whose numbers become figures.
GIVES = ("Why", "Refused", "Reason", "reason", "Because")


def whys():
    """Each `Why(...)` of the rooms that give reasons, and each code of `codes(...)`: its place, its call."""
    for room in ROOMS:
        for path in sorted((PACKAGE / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) in GIVES:
                    call = {word.arg: word.value for word in node.keywords}
                    if node.args and getattr(node.func, "id", "") == "reason":
                        numbers = ast.Dict(keys=[ast.Constant(name) for name in call], values=list(call.values()))
                        words = node.args[1] if len(node.args) > 1 else ast.Dict(keys=[], values=[])
                        call = {"code": node.args[0], "figures": numbers, "words": words}
                    yield f"{path.name}:{node.lineno}", call
                # `codes("one", "another" if so else "")` are reasons without figures and words.
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "codes":
                    for code in filter(None, (code for given in node.args for code in literals(given))):
                        yield f"{path.name}:{node.lineno}", {"code": ast.Constant(code)}


def literals(node):
    """The texts that an expression may be: a literal, either side of a choice, the last of an `or`."""
    put_together = {id(part) for one in ast.walk(node) if isinstance(one, ast.JoinedStr) for part in ast.walk(one)}
    return [
        one.value
        for one in ast.walk(node)
        if isinstance(one, ast.Constant) and isinstance(one.value, str) and id(one) not in put_together
    ]


def test_every_code_of_a_reason_has_a_phrase():
    book = language()
    missing = {
        f"{place}: {code}"
        for place, call in whys()
        if "code" in call
        for code in literals(call["code"])
        if f"why.{code}" not in book
    }
    assert not missing


def given_with():
    """For each code the names that its reasons give, all its places together; None where a place gives what is not read."""
    found = {}
    for _, call in whys():
        code = call.get("code")
        if not isinstance(code, ast.Constant):
            continue
        parts = [call[name] for name in ("figures", "words") if name in call]
        keys = [key for part in parts if isinstance(part, ast.Dict) for key in part.keys]
        known = all(isinstance(part, ast.Dict) for part in parts)
        known = known and all(isinstance(key, ast.Constant) and key.value for key in keys)
        before = found.get(code.value, set())
        names = {key.value.replace(" ", "_").replace("-", "_") for key in keys} if known else None
        found[code.value] = None if names is None or before is None else before | names
    return found


def test_no_phrase_asks_for_what_its_reason_does_not_give():
    book, wrong = language(), {}
    for code, given in given_with().items():
        if given is not None and (
            more := book.asks_for(f"why.{code}") - {"row", *(f"{n}_figure" for n in given)} - given
        ):
            wrong[code] = more
    assert wrong == {}


@pytest.mark.parametrize(
    ("prefix", "choices"),
    [
        ("hazard", Hazard),
        ("harm", Hazard),
        ("verdict", Verdict),
        ("sign", Verdict),
        ("side", Side),
        ("origin", Origin),
        ("end", ActEnd),
        ("state", FishState),
        ("moment", Moment),
        ("water", WaterKind),
        ("readiness", Readiness),
        ("operation", Go),
        ("who", Who),
        *((section, Kind) for section in ("action", "title", "kind", "stop")),
    ],
)
def test_every_choice_of_the_record_has_a_phrase(prefix, choices):
    assert [one for one in choices if f"{prefix}.{one}" not in language()] == []


@pytest.mark.parametrize(
    ("section", "table", "column"),
    [
        ("species", "species", "species"),
        ("substance", "dose_substances", "substance"),
        ("substance", "drugs", "drug"),
        ("word", "ordinary_readings", "with"),
        ("quantity", "ordinary_readings", "quantity"),
        ("condition", "go_conditions", "condition"),
        ("seen", "signs", "sign"),
    ],
)
def test_every_thing_of_the_tables_has_a_name(section, table, column):
    names = {row[column] for row in tables.rows(table)}
    assert sorted(name for name in names if f"{section}.{name}" not in language()) == []


def test_every_code_that_is_put_together_has_a_phrase():
    codes = {row["code"] for row in tables.rows("people_safety")}
    codes |= {row["code"] for row in tables.rows("source_steps")} | {
        row["never"] for row in tables.rows("source_kinds")
    } - {""}
    codes |= {f"{kind.value.replace(' ', '-')}-does-not-answer" for kind in Kind if kind is not Kind.ASK}
    codes |= {f"salt-grade-{row['use'].replace(' ', '-')}" for row in tables.rows("salt_grades")} - {"salt-grade-yes"}
    codes |= {f"{bath}-in-the-bath{end}" for bath in ("chlorine",) for end in ("", "-to-watch")}
    codes |= {f"{bath}-of-the-bath{end}" for bath in ("ph", "ammonia", "oxygen") for end in ("", "-to-watch")}
    codes |= {f"first-{bath}" for bath in ("ph-of-the-bath", "chlorine-in-the-bath", "oxygen-of-the-bath")}
    codes |= {f"step-{way}" for way in ("warmer", "colder", "ph-up", "ph-down")}
    codes |= {f"too-far-apart-in-{one}" for one in (Q.TEMPERATURE, Q.SALT)}
    codes |= {"contradicts", "volume-guessed", "volume-ways-disagree", "volume-own-demand"}
    assert sorted(code for code in codes if f"why.{code}" not in language()) == []


def test_no_phrase_stands_twice():
    seen = {}
    for path in sorted((PACKAGE / "words" / "english").glob("*.toml")):
        for section, phrases in tomllib.loads(path.read_text(encoding="utf-8")).items():
            for key in phrases:
                seen.setdefault((section, key), []).append(path.name)
    assert {key: files for key, files in seen.items() if len(files) > 1} == {}


def test_every_rule_has_a_phrase():
    rules = {row["rule"] for row in tables.rows("conflicts")}
    assert sorted(rule for rule in rules if f"rule.{rule}" not in language()) == []


def test_every_quantity_of_a_water_has_a_name():
    assert [one for one in Q if f"quantity.{one}" not in language()] == []


def test_no_phrase_begins_or_ends_with_a_blank():
    """It is lost when the phrase is said, and two words run into one: `6.3 mg/Lat 08:29`."""
    found = [
        f"{path.name}: {line}"
        for path in sorted((PACKAGE / "words" / "english").glob("*.toml"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r'= "(?:\s|[^"]*\s"$)', line)
    ]
    assert found == []


def test_no_phrase_could_be_taken_for_markup():
    for key, phrase in language().items():
        assert "<" not in phrase.replace("{{", "").replace("{%", ""), key
        assert "&" not in phrase, key


def test_a_book_of_keys_says_its_keys():
    book = keys_only(language())
    assert book.say("moment.call") == "⟨moment.call⟩"
    with pytest.raises(KeyError):
        book.say("moment.never")


def test_no_phrase_says_what_the_house_does_not_say():
    banned = (
        "fix" + "ation",
        "vouched",
        "reckoned",
        "is told of",
        "at best",
        "95 %",
        "Give a ",
        "founded on",
        "rules;",
        "posture",
        "degree-days.",
    )
    for key, phrase in language().items():
        assert not [word for word in banned if word in phrase], key

"""What holds of the house as a whole: which way imports run, how large things are, and that nothing stands unused."""

from collections import Counter
from pathlib import Path

import pytest

import waterplan
from tests import house
from waterplan import tables

PACKAGE = Path(waterplan.__file__).parent
APP = tables.shipped("app.py")
# From the bottom to the top; a room imports from the floors below its own and from itself.
FLOORS = (
    ("water",),
    ("vessel", "fish"),
    ("tank", "dose"),
    ("case",),
    ("stay",),
    ("hazards",),
    ("actions",),
    ("plan",),
    ("charts", "words"),
    ("papers", "casebook"),
    ("screens",),
    ("cli", "app"),
)
FLOOR = {room: number for number, rooms in enumerate(FLOORS) for room in rooms}
# What every room may lean on, and what those modules may lean on themselves.
BASE: dict[str, set[str]] = {
    "errors": set(),
    "tables": {"errors"},
    "published": {"tables", "errors"},
    "spread": {"published", "tables", "errors"},
    "units": {"errors"},
}
FROM_FLOOR = {"units": FLOOR["case"]}
LIBRARIES = {
    "streamlit": {"screens", "app"},
    "pint": {"units"},
    "pandas": set(FLOOR) - {"water", "vessel", "fish", "tank", "dose"},
    "altair": set(),
    "click": {"cli"},
    "jinja2": {"words", "papers", "screens"},
    "scipy": {"water", "vessel", "fish", "tank", "dose", "stay", "hazards", "actions", "plan", "spread"},
}
MOST_LINES, MOST_NAMES, MOST_IN_FUNCTION, MOST_FILES = 410, 10, 60, 22
# The bar of the house; what is over it has a room too many.
MOST_CODE = 26_090
OLD: tuple[str, ...] = ()
SETTLED = OLD == ()


def room_of(name: str) -> str:
    return name.split(".")[1] if "." in name else "app" if name == "app" else "__init__"


FILES = {house.dotted(path, package=PACKAGE): path for path in sorted(PACKAGE.rglob("*.py"))} | {"app": APP}
ALL = house.read(FILES)
MODULES = {name: module for name, module in ALL.items() if room_of(name) not in OLD}


def arrow_allowed(room: str, other: str) -> bool:
    """Whether one room may import from another."""
    if other in {room, "__init__"} or room == "__init__":
        return True
    if room in BASE:
        return other in BASE[room]
    if other in BASE:
        return FLOOR[room] >= FROM_FLOOR.get(other, 0)
    return FLOOR[other] < FLOOR[room]


def test_every_room_is_one_of_the_design() -> None:
    assert {room_of(name) for name in MODULES} - {"__init__"} <= set(FLOOR) | set(BASE)


def test_imports_run_one_way() -> None:
    wrong = {}
    for name, module in MODULES.items():
        found = {other for other in house.imports(module, known=ALL) if room_of(other) not in OLD or SETTLED}
        wrong[name] = sorted(other for other in found if not arrow_allowed(room_of(name), room_of(other)))
    assert {name: others for name, others in wrong.items() if others} == {}


def test_the_arrows_would_catch_a_wrong_import() -> None:
    wrong = [
        ("water", "tank"),
        ("tank", "dose"),
        ("fish", "vessel"),
        ("dose", "case"),
        ("case", "stay"),
        ("stay", "hazards"),
    ]
    wrong += [("hazards", "actions"), ("actions", "plan"), ("plan", "words"), ("words", "charts"), ("charts", "papers")]
    wrong += [("papers", "screens"), ("fish", "units"), ("tables", "published")]
    assert not [pair for pair in wrong if arrow_allowed(*pair)]
    assert arrow_allowed("cli", "units")
    assert arrow_allowed("papers", "plan")


def test_no_modules_import_one_another_round_about() -> None:
    assert house.cycles({name: house.imports(module, known=MODULES) for name, module in MODULES.items()}) == []


def test_a_cycle_would_be_found() -> None:
    assert house.cycles({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == [["b", "c"]]


@pytest.mark.parametrize("library", LIBRARIES)
def test_a_library_stays_in_its_rooms(library: str) -> None:
    found = set()
    for name, module in MODULES.items():
        text = module.path.read_text(encoding="utf-8")
        if f"import {library}" in text or f"from {library}" in text:
            found.add(room_of(name))
    assert found <= LIBRARIES[library]


@pytest.mark.parametrize("name", MODULES)
def test_a_file_has_one_subject(name: str) -> None:
    lines = len(MODULES[name].path.read_text(encoding="utf-8").splitlines())
    assert lines <= MOST_LINES
    assert len(house.public_names(MODULES[name])) <= MOST_NAMES, house.public_names(MODULES[name])


@pytest.mark.parametrize("name", MODULES)
def test_a_function_can_be_seen_at_once(name: str) -> None:
    assert house.long_functions(MODULES[name], most=MOST_IN_FUNCTION) == []


def test_a_folder_has_one_subject() -> None:
    folders = Counter(module.path.parent for module in MODULES.values() if module.path.name != "__init__.py")
    large = {folder.name: count for folder, count in folders.items() if count > MOST_FILES}
    assert not (SETTLED and large)


def test_the_package_is_small() -> None:
    rooms: Counter[str] = Counter()
    for name, module in MODULES.items():
        rooms[room_of(name)] += house.lines_of_code(module.path)
    assert rooms.total() <= MOST_CODE, rooms.most_common()


def test_lines_are_counted_without_docstrings_comments_and_blanks(tmp_path: Path) -> None:
    path = tmp_path / "counted.py"
    path.write_text(
        '"""Said.\n\nMore.\n"""\n\n# why\nx = """a\nb"""\n\n\ndef f() -> int:\n    """Said."""\n    return 1\n'
    )
    assert house.lines_of_code(path) == 4


# -- nothing stands unused ----------------------------------------------------------------------------------------


def roots() -> set[str]:
    return {name for name in MODULES if room_of(name) in {"cli", "app", "screens", "__init__"}}


def test_every_name_is_reached_from_the_command_line_or_a_screen() -> None:
    missing = house.unreached(MODULES, roots=roots())
    assert not (SETTLED and missing), f"{len(missing)}: " + "\n".join(missing)


def test_every_method_is_called_by_somebody() -> None:
    templates = "\n".join(path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.html"))
    missing = house.unused_methods(MODULES, texts=templates)
    assert not (SETTLED and missing), f"{len(missing)}: " + "\n".join(missing)


def test_what_nothing_reaches_would_be_found(tmp_path: Path) -> None:
    (tmp_path / "low.py").write_text("X = 1\ndef used(): return X\ndef idle(): return lost()\ndef lost(): return 2\n")
    (tmp_path / "top.py").write_text("from low import used\nimport low as other\nuse = used() + other.used()\n")
    (tmp_path / "kind.py").write_text(
        "class A:\n    def read(self): return 1\n    def unread(self): return self.read()\n"
    )
    modules = house.read({path.stem: path for path in tmp_path.glob("*.py")})
    assert house.unreached(modules, roots={"top"}) == ["kind.A", "low.idle", "low.lost"]
    assert house.unused_methods(modules) == ["kind.A.unread"]

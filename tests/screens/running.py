"""How the tests run a page of the screens."""

from html import unescape

from streamlit.testing.v1 import AppTest

from tests.papers.example_plan import example_plan
from waterplan import tables
from waterplan.screens.answers import Answer, digest
from waterplan.screens.planning import AS_OF, DRAWS

FEW = 64
# A page of its own, for what the router's other addresses show.
_PAGE = """
from waterplan.screens import case_bar, draft, {module}
draft.keep_fields()
case_bar.case_bar()
{module}.{function}({given})
"""
_EMPTY = {"log": "", AS_OF: "", DRAWS: FEW}


def app():
    """The screens from their front door, with the first page run and few draws."""
    return started(AppTest.from_file(str(tables.shipped("app.py")), default_timeout=120))


def page(name, given="", asked=None, **state):
    """One page by the name of its file, and of its function where that is not `page`; `asked` stands in its address."""
    module, _, function = name.partition(".")
    script = _PAGE.format(module=module, function=function or "page", given=given)
    test = AppTest.from_string(script, default_timeout=120)
    for key, value in (asked or {}).items():
        test.query_params[key] = value
    return started(test, **state)


def started(test, **state):
    """A test run for the first time, with few draws and what its session holds already."""
    test.session_state[DRAWS] = FEW
    for key, value in state.items():
        test.session_state[key.replace("_", " ")] = value
    return checked(test.run())


def planned(*, old=False):
    """The answer of the open case: the plan written by hand, of the fields as they are or were."""
    return Answer(given=_EMPTY | ({"patients[1].weight": "2.4 kg"} if old else {}), plan=example_plan())


def checked(test):
    """The same, after making sure that nothing fell over."""
    assert [one.value for one in test.exception] == []
    return test


def press(test, key):
    """Presses a button."""
    return checked(test.button(key=key).click().run())


def open_demo(test, name):
    """Opens an invented case."""
    return checked(test.selectbox(key="demo").select(f"{name}.toml").run())


def turn_to(test, tab):
    """Another tab of the page of the case, which makes only the one that is open."""
    kept = test.session_state["answer case"] if "answer case" in test.session_state else Answer()
    test.session_state[f"case tabs {digest(kept.tried)}"] = tab
    return checked(test.run())


def open_drawer(test, table, *, is_open=True):
    """Opens a table of the case that stands more than once, or closes it."""
    kept = test.session_state["answer case"] if "answer case" in test.session_state else Answer()
    test.session_state[f"open {table} {test.session_state['draft'].edition} {digest(kept.tried)}"] = is_open
    return checked(test.run())


def field(test, table, key):
    """The widget of a key of the case as it is now open."""
    return widget(test, f"{test.session_state['draft'].edition}/{table}.{key}")


def widget(test, key):
    """A field by its key, of whatever kind it is."""
    kinds = (test.text_input, test.selectbox, test.text_area)
    return next(one for kind in kinds for one in kind if one.key == key)


def fill(test, given, prefix=""):
    """Types into fields and chooses."""
    for key, text in given.items():
        one = widget(test, prefix + key)
        (one.select if hasattr(one, "options") else one.input)(text)
    return checked(test.run())


def texts(test):
    """All that the page says in words and in HTML."""
    said = [
        str(one.value)
        for kind in ("markdown", "error", "warning", "info", "success", "caption")
        for one in getattr(test, kind)
    ]
    said += [element.proto.body for element in test.get("html") if not element.proto.body.startswith("<style")]
    return unescape("\n".join(said)).replace("\\", "")


def downloads(test):
    """The buttons that hand out a file: whether each is closed, by its label."""
    return {one.proto.label: one.proto.disabled for one in test.get("download_button")}

"""How the tests run a page of the screens."""

from streamlit.testing.v1 import AppTest

from waterplan import tables

# A page of its own, for what the router's other addresses show.
_PAGE = """
from waterplan.screens import {name}
{name}.page()
"""


def app():
    """The screens from their front door, with the first page run."""
    return checked(AppTest.from_file(str(tables.shipped("app.py")), default_timeout=60).run())


def page(name):
    """One page by the name of its file."""
    return checked(AppTest.from_string(_PAGE.format(name=name), default_timeout=60).run())


def checked(test):
    """The same, after making sure that nothing fell over."""
    assert [one.value for one in test.exception] == []
    return test


def press(test, label, number=0):
    """Presses the button of a label."""
    found = [button for button in test.button if button.label == label]
    return checked(found[number].click().run())


def open_demo(test, name):
    """Opens an invented case."""
    return checked(test.selectbox(key="demo").select(f"{name}.toml").run())


def field(test, place, key):
    """The widget of a key of the case as it is now open."""
    edition = test.session_state["draft"].edition
    kinds = (test.text_input, test.selectbox)
    return next(one for kind in kinds for one in kind if one.key == f"{edition}/{place}.{key}")


def texts(test):
    """All that the page says in words and in HTML."""
    said = [
        str(one.value) for kind in ("markdown", "error", "warning", "info", "caption") for one in getattr(test, kind)
    ]
    said += [element.proto.body for element in test.get("html")]
    return "\n".join(said)

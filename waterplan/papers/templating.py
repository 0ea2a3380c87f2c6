"""The templates of all papers."""

from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined


@cache
def templates() -> Environment:
    """The templates of all papers; what goes into an HTML one is escaped."""
    return Environment(
        loader=PackageLoader("waterplan", "papers/templates"),
        autoescape=lambda name: name is not None and name.endswith(".html"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )

"""Reading and checking a case and its water readings."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from waterplan.case.describing import case_schema, fields, key_table, write_case
    from waterplan.case.log import read_log
    from waterplan.case.reading import read_case

__all__ = ["case_schema", "fields", "key_table", "read_case", "read_log", "write_case"]


def __getattr__(name: str) -> Any:
    """What reads and describes a whole case, once it is asked for: a single value needs none of it."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    module = {"read_case": "reading", "read_log": "log"}.get(name, "describing")
    return getattr(import_module(f"{__name__}.{module}"), name)

"""Reading and checking a case and its water readings."""

from waterplan.case.describing import case_schema, fields, key_table, write_case
from waterplan.case.log import read_log
from waterplan.case.reading import read_case

__all__ = ["case_schema", "fields", "key_table", "read_case", "read_log", "write_case"]

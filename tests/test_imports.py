"""What each command may import: a sum is not to wait for what only a chart, a survey or a screen needs."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import waterplan
from tests.demos import longer_but_for

# What takes long to import, or brings much else.
HEAVY = {
    "altair",
    "jinja2",
    "numpy",
    "pandas",
    "pint",
    "pydantic",
    "scipy.interpolate",
    "scipy.optimize",
    "scipy.spatial",
    "scipy.special",
    "scipy.stats",
    "streamlit",
    "tomli_w",
    "vl_convert",
}
SUM = {"jinja2", "numpy", "pydantic", "scipy.special"}  # draws with their errors, a record, its words
CASE = SUM | {"pint"}
DEMO = "demo_ponds/ordinary_goldfish.toml"
MAY = {
    "--help": set(),
    "--version": set(),
    "oxygen --temperature=24°C --altitude=1250m": SUM,
    "oxygen --temperature=64°F": CASE,
    "tank --species=orfe --weight=1.1kg --temperature=18°C --ph=7.8": SUM,
    "ammonia --tan='1.2 mg/L as N' --ph=8.2 --temperature=18°C": SUM,
    "stitches --day=2026-05-14 --temperature=18°C": CASE,
    "salt level --strength=2g/L --volume=470L --species=goldfish": CASE,
    "iodine instruments --volume=2L --stock='10 % PVP-I'": CASE,
    "injection flunixin --dose=0.5mg/kg --stock=50mg/mL --weight=2.4kg --eaten=no": CASE | {"tomli_w"},
    "keys": CASE | {"tomli_w"},
    "schema plan": SUM,
    # A heater's watts are searched for, and scipy.optimize brings scipy.spatial.
    f"plan {DEMO} --draws=64": CASE | {"tomli_w", "scipy.optimize", "scipy.spatial"},
}
# One of each kind: nothing, a sum, a case read.
ORDINARY = ("--help", "oxygen --temperature=24°C --altitude=1250m", "keys")
_ONE = """
import io, json, shlex, sys

heavy, command, told, code = set(json.loads(sys.argv[1])), sys.argv[2], sys.stdout, 0
sys.argv, sys.stdout = ["waterplan", *shlex.split(command)], io.StringIO()
try:
    from waterplan.cli import main
    main()
except SystemExit as end:
    code = end.code
print(json.dumps([code, sorted(heavy & set(sys.modules))]), file=told)
"""


@pytest.mark.parametrize("command", longer_but_for(ORDINARY, MAY))
def test_a_command_imports_no_more_than_it_may(command):
    """Slow: the command runs in a process that has imported nothing."""
    root = str(Path(waterplan.__file__).parents[1])
    line = [sys.executable, "-c", _ONE, json.dumps(sorted(HEAVY)), command]
    environment = os.environ | {"PYTHONPATH": root}
    ran = subprocess.run(line, check=False, capture_output=True, text=True, cwd=root, env=environment)
    assert ran.returncode == 0, ran.stderr[-300:]
    code, found = json.loads(ran.stdout)
    assert (code or 0) == 0, ran.stderr[:200]
    assert set(found) <= MAY[command]

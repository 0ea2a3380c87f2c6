"""What each command may import: a sum is not to wait for what only a chart, a survey or a screen needs."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import waterplan

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
# One process for all: each command runs in a copy of it that has imported nothing yet.
_ALL = """
import io, json, os, shlex, sys

heavy, told = set(json.loads(sys.argv[1])), {}
for command in json.loads(sys.argv[2]):
    reads, writes = os.pipe()
    if os.fork() == 0:
        sys.argv, sys.stdout, sys.stderr, code = ["waterplan", *shlex.split(command)], io.StringIO(), io.StringIO(), 0
        try:
            from waterplan.cli import main
            main()
        except SystemExit as end:
            code = end.code
        os.write(writes, json.dumps([code, sorted(heavy & set(sys.modules)), sys.stderr.getvalue()[:200]]).encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads) as report:
        told[command] = json.loads(report.read())
    os.wait()
print(json.dumps(told))
"""


@pytest.fixture(scope="module")
def imported():
    root = str(Path(waterplan.__file__).parents[1])
    command = [sys.executable, "-c", _ALL, json.dumps(sorted(HEAVY)), json.dumps(list(MAY))]
    environment = os.environ | {"PYTHONPATH": root}
    return json.loads(
        subprocess.run(command, check=True, capture_output=True, text=True, cwd=root, env=environment).stdout
    )


@pytest.mark.skipif(not hasattr(os, "fork"), reason="a process that copies itself is wanted")
@pytest.mark.parametrize("command", MAY)
def test_a_command_imports_no_more_than_it_may(imported, command):
    """Slow: the first of these runs every command once, one of them a plan, in a process that has imported nothing."""
    code, found, told = imported[command]
    assert (code or 0) == 0, told
    assert set(found) <= MAY[command]

"""The wheel, built and installed in an empty environment, does the job from any folder.

The environment's own packages are only this one: what it depends on is read from the environment that runs the tests, so
that nothing is fetched.
"""

import csv
import io
import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

pytest.importorskip("hatchling", reason="hatchling is not installed (the test extra has it)")

ROOT = Path(__file__).parents[1]


def run(*words, cwd, **more):
    """A command that must succeed, away from the checkout; its output."""
    clean = {key: value for key, value in os.environ.items() if key not in {"PYTHONPATH", "PYTHONHOME"}}
    done = subprocess.run(
        [str(word) for word in words],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
        **more,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The wheel of this checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    (made,) = folder.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """The `bin` folder of an empty environment with the wheel in it."""
    home = tmp_path_factory.mktemp("empty")
    run(sys.executable, "-m", "venv", "--without-pip", home / "env", cwd=home)
    python = home / "env" / "bin" / "python"
    where = run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=home).strip()
    assert os.listdir(where) == []
    run(
        sys.executable,
        "-m",
        "pip",
        "--python",
        python,
        "install",
        "--no-deps",
        "--no-index",
        "--quiet",
        wheel,
        cwd=home,
    )
    # A line of a .pth is a folder to look in after this environment's own; editable installs there are not followed.
    borrowed = dict.fromkeys(sysconfig.get_path(name) for name in ("purelib", "platlib"))
    Path(where, "borrowed.pth").write_text("\n".join(borrowed) + "\n", encoding="utf-8")
    return python.parent


def names_in(wheel):
    with zipfile.ZipFile(wheel) as archive:
        return archive.namelist()


def test_nothing_of_a_general_name_lands_among_the_packages(wheel):
    tops = {name.split("/")[0] for name in names_in(wheel)}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"waterplan"}
    assert len(tops) == 2


def test_all_that_is_shipped_is_inside(wheel):
    names = set(names_in(wheel))
    expected = {f"waterplan/reference_tables/{path.name}" for path in (ROOT / "reference_tables").glob("*.csv")}
    expected |= {f"waterplan/demo_ponds/{path.name}" for path in (ROOT / "demo_ponds").iterdir()}
    expected |= {"waterplan/serve/app.py", "waterplan/py.typed"}
    for folder in ("papers/pages", "screens/pages", "words/english"):
        expected |= {f"waterplan/{folder}/{path.name}" for path in (ROOT / "waterplan" / folder).iterdir()}
    assert expected - names == set()
    assert not any("__pycache__" in name or "/tests/" in name for name in names)


@pytest.mark.longer
def test_it_plans_a_demo_case_from_another_folder(installed, tmp_path):
    """Slow: the wheel is built, installed and run from elsewhere."""
    asked = "from waterplan import tables; print(tables.__file__); print(tables.shipped('demo_ponds'))"
    here, demos = run(installed / "python", "-c", asked, cwd=tmp_path).splitlines()
    inside = str(installed.parent)
    assert here.startswith(inside)
    assert demos.startswith(inside)
    case = Path(demos) / "goldfish_recheck.toml"
    text = run(installed / "waterplan", "plan", case, "--papers", "papers", "--draws", 256, cwd=tmp_path)
    assert text.startswith("Water plan for Tansy")
    assert text.rstrip().endswith(f"To open the screens: {installed / 'waterplan'} screens")
    plan = json.loads((tmp_path / "papers" / "plan.json").read_text(encoding="utf-8"))
    assert plan["made"]["version"] == run(installed / "waterplan", "--version", cwd=tmp_path).split()[-1]
    table = csv.DictReader(io.StringIO((tmp_path / "papers" / "judgements.csv").read_text(encoding="utf-8")))
    assert len(list(table)) == len(plan["judgements"])


@pytest.mark.longer
def test_a_quick_sum_and_help_work_there(installed, tmp_path):
    assert "povidone-iodine" in run(installed / "waterplan", "iodine", "nets", cwd=tmp_path)
    told = run(installed / "waterplan", "--help", cwd=tmp_path)
    for command in ("plan", "screens", "oxygen", "tank", "salt", "iodine"):
        assert command in told


@pytest.mark.longer
def test_its_screens_open_there(installed, tmp_path):
    script = (
        "from streamlit.testing.v1 import AppTest\n"
        "from waterplan import tables\n"
        "test = AppTest.from_file(str(tables.shipped('app.py')), default_timeout=120).run()\n"
        "assert not test.exception, test.exception\n"
        "print(tables.shipped('app.py').parent.name, [title.value for title in test.title])\n"
    )
    assert run(installed / "python", "-c", script, cwd=tmp_path).strip() == "serve ['Do now']"

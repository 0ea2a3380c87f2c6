"""The command line: plan a case, open the screens, six quick sums."""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from functools import wraps
from io import TextIOWrapper
from pathlib import Path
from typing import NoReturn, ParamSpec, TypeVar

import click

from waterplan import tables
from waterplan.errors import CaseError, ImpossibleInput
from waterplan.findings import Finding
from waterplan.first_plan import quick
from waterplan.first_plan.first_case.log import read_log
from waterplan.first_plan.first_case.reading import read_case
from waterplan.first_plan.quick_dose import quick_dose, quick_injection
from waterplan.first_plan.whole import plan as make_plan
from waterplan.papers.sheet import DEFER, line
from waterplan.papers.write import plan_json, plan_text, write_papers
from waterplan.spread import DEFAULT_DRAWS, DEFAULT_SEED
from waterplan.units import Display, System

P = ParamSpec("P")
R = TypeVar("R")


def _plain_errors(function: Callable[P, R]) -> Callable[P, R]:
    """What is wrong with the input is told in words, with exit code 2 and no traceback."""

    @wraps(function)
    def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return function(*args, **kwargs)
        except (CaseError, ImpossibleInput) as error:
            _stop(str(error))
        except BrokenPipeError:
            raise  # the reader of a pipe has gone: click ends quietly
        except OSError as error:
            _stop(f"{error.filename or 'file'}: {error.strerror or error}; name a folder that can be written to")

    return wrapper


def _stop(message: str) -> NoReturn:
    raise _Wrong(message)


class _Wrong(click.ClickException):
    exit_code = 2


_units = click.option(
    "--units",
    type=click.Choice([system.value for system in System]),
    default=System.METRIC.value,
    help="Units to show.",
)


@click.group()
@click.version_option(package_name="waterplan")
def main() -> None:
    """Plan the water for an operation on a pond fish: volumes, oxygen, ammonia, salt, the recovery tank."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without ✓ or ° still gets the numbers


@main.command()
@click.argument("case_file", type=click.Path(path_type=Path))
@click.option("--readings", "logs", multiple=True, type=click.Path(path_type=Path), help="CSV of readings taken since.")
@click.option("--as-of", type=click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d"]), help="Plan as at this time.")
@click.option("--papers", type=click.Path(file_okay=False, path_type=Path), help="Folder to write the papers into.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@click.option("--draws", type=int, default=DEFAULT_DRAWS, show_default=True, help="Draws that carry the errors.")
@click.option("--seed", type=int, default=DEFAULT_SEED, show_default=True, help="Seed of the draws.")
@_units
@_plain_errors
def plan(
    case_file: Path,
    logs: tuple[Path, ...],
    as_of: datetime | None,
    papers: Path | None,
    as_json: bool,
    draws: int,
    seed: int,
    units: str,
) -> None:
    """Make the plan of CASE_FILE, print it, and write its papers."""
    case = read_case(case_file)
    readings = [logged for log in logs for logged in read_log(log, case=case)]
    made = make_plan(case, readings=readings, as_of=as_of, draws=draws, seed=seed)
    display = Display(system=System(units))
    # The papers come first, so that a reader who closes the pipe early (head, less) still finds them.
    written = write_papers(made, papers, display) if papers is not None else ()
    click.echo(plan_json(made, display) if as_json else plan_text(made, display), nl=False)
    if written:
        click.echo(f"\nWritten: {', '.join(str(path) for path in written)}", err=as_json)
        click.echo(f"To open the screens: {_command()} screens", err=as_json)


@main.command()
@click.option("--port", type=click.IntRange(1024, 65535), default=8501, show_default=True, help="Port on this machine.")
def screens(port: int) -> None:
    """Open the screens in a browser, on this machine only."""
    app = tables.shipped("app.py")
    flags = {
        "server.address": "127.0.0.1",
        "server.port": str(port),
        "browser.gatherUsageStats": "false",
        "server.headless": "true",
        "server.fileWatcherType": "none",
        "server.maxUploadSize": "1",
        "client.toolbarMode": "minimal",
        "theme.base": "light",
        "theme.primaryColor": "#17617f",
        "theme.textColor": "#16242c",
    }
    words = [word for name, value in flags.items() for word in (f"--{name}", value)]
    click.echo(f"Screens at http://127.0.0.1:{port} (stop with Ctrl-C)")
    environment = os.environ | {"STREAMLIT_BROWSER_GATHER_USAGE_STATS": "false"}
    command = [sys.executable, "-m", "streamlit", "run", str(app), *words]
    sys.stdout.flush()
    if os.name == "posix":
        # The server takes this process's place, so that whoever stops this command stops the server.
        os.execve(sys.executable, command, environment)
    raise SystemExit(subprocess.run(command, env=environment, check=False).returncode)


@main.command()
@click.option("--temperature", required=True, help="Such as '18 °C' or '64 °F'.")
@click.option("--altitude", default="", help="Such as '640 m' or '2100 ft'; sea level without it.")
@click.option("--salinity", default="", help="Such as '3 g/L'.")
@click.option("--species", default="goldfish", show_default=True)
@_units
@_plain_errors
def oxygen(temperature: str, altitude: str, salinity: str, species: str, units: str) -> None:
    """Oxygen that water can hold at a temperature and altitude."""
    found = quick.quick_oxygen(temperature=temperature, altitude=altitude, salinity=salinity, species=species)
    _show((found,), units)


@main.command()
@click.option("--species", required=True)
@click.option("--weight", default="", help="Such as '0.62 kg'.")
@click.option("--length", default="", help="Such as '31 cm'.")
@click.option("--temperature", default="", help="Such as '20 °C'; oxygen and ammonia need it.")
@click.option("--ph", default="", help="Such as 7.8; ammonia needs it.")
@click.option("--filter", "filter_state", default="", help="seeded, unseeded or damaged.")
@_units
@_plain_errors
def tank(species: str, weight: str, length: str, temperature: str, ph: str, filter_state: str, units: str) -> None:
    """The smallest hospital tank for a species and weight, and what rules it."""
    found = quick.quick_tank(
        species=species, weight=weight, length=length, temperature=temperature, ph=ph, filter_state=filter_state
    )
    _show(found, units)


@main.command()
@click.argument("exposure", type=click.Choice(["level", "bath", "dip"]))
@click.option("--strength", required=True, help="Such as '3 g/L'.")
@click.option("--volume", required=True, help="Such as '200 L, marked tub'.")
@click.option("--species", required=True)
@click.option("--present", default="0 ± 0 g/L", help="Salt that is in it already, such as '0.3 g/L'.")
@_units
@_plain_errors
def salt(exposure: str, strength: str, volume: str, species: str, present: str, units: str) -> None:
    """Salt for a level held for days, a bath or a dip."""
    kind = "prolonged" if exposure == "level" else exposure
    found = quick.quick_salt(exposure=kind, strength=strength, volume=volume, species=species, present=present)
    _show((found,), units)


@main.command()
@click.argument("use", type=click.Choice(quick.IODINE_USES))
@click.option("--volume", default="1 L", show_default=True, help="Finished solution, such as '2 L'.")
@click.option("--stock", default="", help="The bottle, such as '10 % PVP-I'.")
@_units
@_plain_errors
def iodine(use: str, volume: str, stock: str, units: str) -> None:
    """Povidone-iodine dilution for a stated use, in available iodine and in mL of stock."""
    _show((quick.quick_iodine(use=use, volume=volume, stock=stock),), units)


@main.command()
@click.argument("substance")
@click.argument("use")
@click.option("--into", required=True, help="The water, such as '40 L, marked tub'.")
@click.option("--strength", default="", help="Level that the veterinarian wants, such as '100 mg/L'.")
@click.option("--went-in", default="", help="Instead: what has gone in, such as '5 g', to find its level.")
@click.option("--bottle", default="", help="What the label says, such as 'powder', '10 mg/mL' or '10 % PVP-I'.")
@click.option("--scale", default="", help="Smallest division of the scale, such as '0.1 g'.")
@click.option("--syringe", default="", help="Division of the syringe, such as '1 mL'.")
@click.option("--drop", default="", help="Size of one drop, such as '0.05 mL'.")
@click.option("--opened", default="", help="When the bottle was opened or made up, such as 2026-05-02.")
@click.option("--buffer", default="", help="Bicarbonate for tricaine, such as 'one to one'.")
@click.option("--added", default="", help='Water that a hose brought, such as "800 L, owner\'s word".')
@click.option("--overflowed", default="", help="Did as much run over: no or yes.")
@click.option("--expires", default="", help="The date on the label after which it is not used.")
@click.option("--again", default="", help="The level once more, where it is far from all that is told of.")
@click.option("--washed", default="", help="Are the things to be disinfected clean: yes, 'in doubt' or no.")
@click.option("--grade", default="", help="Which salt it is, such as 'non-iodised table salt'.")
@click.option("--changed", default="", help="Water changed each day while it is salted, such as '60 L'.")
@click.option("--wound", default="", help="Has the fish a wound: none, closed or open.")
@click.option("--species", default="goldfish", show_default=True)
@click.option("--eaten", default="", help="May the fish, or one from its water, be eaten: no or yes.")
@click.option("--temperature", default="", help="Such as '18 °C'.")
@click.option("--ph", default="")
@click.option("--oxygen", default="", help="Such as '8.1 mg/L'.")
@click.option("--tan", default="", help="Total ammonia, such as '0.2 mg/L as N'.")
@click.option("--alkalinity", default="", help="Such as '110 mg/L as CaCO3'.")
@click.option("--salinity", default="", help="Salt that is in it already, such as '0.3 g/L'.")
@click.option("--chlorine", default="", help="Total chlorine, such as '0.4 mg/L'.")
@click.option("--there", "already", multiple=True, help="What is there already, such as zeolite or 'open wound'.")
@_units
@_plain_errors
def dose(already: tuple[str, ...], units: str, **texts: str) -> None:
    """What to weigh or draw up of a SUBSTANCE for a USE, in which order, and what must not meet."""
    card, findings = quick_dose(texts, already=already)
    display = Display(system=System(units))
    _show((card.finding,), units, closing=False)
    for number, text in enumerate(card.order, 1):
        click.echo(f"  {number}. {display.render(text)}")
    rest = tuple(finding for finding in findings if finding.key != card.finding.key)
    _show(rest or (card.finding,), units)


@main.command()
@click.argument("drug")
@click.option("--dose", default="", help="Dose that the veterinarian chose, such as '1 mg/kg'.")
@click.option("--stock", default="", help="Strength on the vial, such as '5 mg/mL'.")
@click.option("--syringe", default="", help="Division of the syringe, such as '0.01 mL'.")
@click.option("--weight", default="", help="Such as '0.62 kg, scales'.")
@click.option("--length", default="", help="Such as '31 cm'.")
@click.option("--again", default="", help="The dose once more, where it is far from all that is told of.")
@click.option("--expires", default="", help="The date on the vial after which it is not used.")
@click.option("--confirmed", "weight_confirmed", default="", help="The vet takes a weight that was not weighed: yes.")
@click.option("--species", default="goldfish", show_default=True)
@click.option("--eaten", default="", help="May the fish, or one from its water, be eaten: no or yes.")
@_units
@_plain_errors
def injection(units: str, **texts: str) -> None:
    """What to draw up of a DRUG by body weight, with its dilution and sites."""
    card = quick_injection(texts)
    display = Display(system=System(units))
    for number, text in enumerate(card.order, 1):
        click.echo(f"  {number}. {display.render(text)}")
    _show((card.finding,), units)


def _show(findings: tuple[Finding, ...], units: str, *, closing: bool = True) -> None:
    """A short answer with its band, source and caution."""
    display = Display(system=System(units))
    for finding in findings:
        shown = line(finding, display)
        click.echo(f"{shown.sign} {shown.title}: {shown.answer}")
        if shown.band:
            click.echo(f"  band {shown.band}")
        if shown.limit:
            click.echo(f"  limit: {shown.limit}; chance of keeping it {shown.chance}")
    lines = [line(finding, display) for finding in findings]
    cautions = dict.fromkeys(caution.text for shown in lines for caution in shown.cautions)
    for text in cautions:
        click.echo(f"  ! {text}")
    sources = dict.fromkeys(source for shown in lines for source in shown.sources.split("; ") if source)
    weakest = max((finding.status for finding in findings), key=lambda status: status.rank)
    click.echo(f"  founded on ({weakest}): {'; '.join(sources)}")
    if closing:
        click.echo(f"  {DEFER}")


def _command() -> str:
    """The command as it was typed, for the next one to be typed."""
    typed = sys.argv[0] if sys.argv and sys.argv[0] else "waterplan"
    return f"{sys.executable} -m waterplan.cli" if typed.endswith("cli.py") else typed


if __name__ == "__main__":
    main()

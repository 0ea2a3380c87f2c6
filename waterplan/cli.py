"""The command line: plan a case, open the screens, print the keys and the schemas, sums that need no case."""

import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from functools import wraps
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from waterplan.errors import CaseError, ImpossibleInput

if TYPE_CHECKING:
    from waterplan.plan.record import Plan

P = ParamSpec("P")
R = TypeVar("R")
_MOMENTS = ("call", "prepare", "procedure", "revival", "hospital", "home", "recheck")
_DRAWS, _SEED = 1024, 20260514


def _plain_errors(function: Callable[P, R]) -> Callable[P, R]:
    """What is wrong with the input is told in words, with exit code 2 and no traceback."""

    @wraps(function)
    def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return function(*args, **kwargs)
        except (CaseError, ImpossibleInput) as error:
            raise _Wrong(str(_by_option(error))) from None
        except BrokenPipeError:
            raise  # the reader of a pipe has gone: click ends quietly
        except OSError as error:
            told = f"{error.filename or 'file'}: {error.strerror or error}; name a folder that can be written to"
            raise _Wrong(told) from None

    return wrapper


def _by_option(error: CaseError | ImpossibleInput) -> Exception:
    """Of values that options gave each mistake by its option; of a file by its place in it."""
    options = {one.name: one.opts[0] for one in click.get_current_context().command.params}
    if isinstance(error, ImpossibleInput) or "case_file" in options:
        return error
    named = [replace(one, where=options.get(one.where.rpartition(".")[2], one.where)) for one in error.mistakes]
    return CaseError(error.file, named)


class _Wrong(click.ClickException):
    exit_code = 2


def _time_of(as_of: str, zone: tzinfo) -> datetime | None:
    """The time that a plan is asked for, on the clock of its place; None where none was given."""
    from waterplan.case.times import parse_when
    from waterplan.case.values import BadValue

    try:
        return parse_when(as_of, zone) if as_of else None
    except BadValue as bad:
        raise _Wrong(f"--as-of: {bad}") from None


def _in_units(function: Callable[P, R]) -> Callable[P, R]:
    """What is printed is so in units of the reader's choice, and what is wrong is told in words."""
    of = click.Choice(["metric", "us"])
    option = click.option("--units", type=of, default="metric", show_default=True, help="Units to show.")
    return option(_plain_errors(function))


@click.group()
@click.version_option(package_name="waterplan")
def main() -> None:
    """Plan the water for an operation on a pond fish: volumes, oxygen, ammonia, salt, the recovery tank.

    Ends with 0 when it has done what was asked, and with 2 when it cannot: what to put right is printed, nothing is written.
    """
    if sys.flags.optimize > 1:
        raise _Wrong("python -OO takes out the texts that charts and tables are made of; start it with -O at most")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal without ✓ or ° still gets the numbers


@main.command()
@click.argument("case_file", type=click.Path(path_type=Path))
@click.option("--readings", "logs", multiple=True, type=click.Path(path_type=Path), help="CSV of readings taken since.")
@click.option("--as-of", default="", help="Plan as at this time, such as 2026-05-17T09:00.")
@click.option("--papers", type=click.Path(file_okay=False, path_type=Path), help="Folder to write the papers into.")
@click.option("--set", "of", type=click.Choice(_MOMENTS), help="With --papers: only the set for a moment.")
@click.option(
    "--since", "last", type=click.Path(path_type=Path), help="The plan.json of the last plan: what changed, and why."
)
@click.option("--full", is_flag=True, help="Print everything, the sources last.")
@click.option("--moment", type=click.Choice(_MOMENTS), help="Print one moment.")
@click.option("--json", "as_json", is_flag=True, help="Print the plan as JSON.")
@click.option(
    "--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True, help="Size of the papers."
)
@click.option("--draws", type=int, default=_DRAWS, show_default=True, help="Draws that carry the errors.")
@click.option("--seed", type=int, default=_SEED, show_default=True, help="Seed of the draws.")
@_in_units
def plan(
    case_file: Path,
    logs: Sequence[Path],
    as_of: str,
    papers: Path | None,
    of: str | None,
    last: Path | None,
    full: bool,
    moment: str | None,
    as_json: bool,
    paper: str,
    draws: int,
    seed: int,
    units: str,
) -> None:
    """Make the plan of CASE_FILE, print its first page, and write its papers."""
    from waterplan.case import read_case, read_log
    from waterplan.plan.since import read_last, since
    from waterplan.plan.whole import plan as make_plan
    from waterplan.words.terminal import first_page, full_page

    case = read_case(case_file)
    before = read_last(last) if last is not None else None
    when = _time_of(as_of, case.zone)
    read = [read_log(log, case=case, as_of=when) for log in logs]
    for log in read:
        for mistake in log.left_out:
            click.echo(f"{mistake}", err=True)
    made = make_plan(case, readings=[row for log in read for row in log], as_of=when, draws=draws, seed=seed)
    made = since(made, before, file=str(last)) if before is not None else made
    # The papers come first, so that a reader who closes the pipe early (head, less) still finds them.
    written = _write(made, papers, units, paper, of) if papers is not None else ()
    if as_json:
        click.echo(made.model_dump_json(by_alias=True, indent=1))
    else:
        click.echo(full_page(made, moment, units) if full or moment else first_page(made, units), nl=False)
    if written:
        click.echo(f"\nWritten: {', '.join(str(path) for path in written)}", err=as_json)
        click.echo(f"To open the screens: {_command()} screens", err=as_json)


def _write(made: "Plan", folder: Path, units: str, size: str, moment: str | None) -> Sequence[Path]:
    """Writes the papers; what draws their charts is imported for them alone."""
    from waterplan.papers.folder import write_set
    from waterplan.papers.whole_set import papers

    return write_set(folder, papers(made, units, size=size, moment=moment))


class _Lazy(click.Command):
    """A command with an option for each key of some sections of the case, made when it is asked for and not before."""

    def __init__(self, *args: Any, sections: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._sections = sections

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        """The options of the command, as the case itself describes them."""
        from waterplan.case import fields

        there = {"taken", "where", "kit_expires", *(one.name for one in self.params)}
        for key in reversed([key for key in fields() if key.section in self._sections and key.key not in there]):
            help_text = f"{key.words}; such as {key.example}." if key.example else f"{key.words}."
            names = [f"--{key.key.replace('_', '-')}", key.key]
            self.params.append(click.Option(names, default="", help=help_text))
        return super().get_params(ctx)


@main.command(cls=_Lazy, sections=("home_water",))
@click.argument("signs", nargs=-1)
@click.option("--species", default="unknown", show_default=True)
@click.option("--fish", default="", help="On how many fish: one, several or most.")
@click.option(
    "--where", default="", help="Where they are: at the surface, at the inflow, at the bottom, apart from the others."
)
@click.option("--kit-expires", default="", help="The date on the reagents of the kit, such as 2026-10-31.")
@click.option("--litres", default="", help="What a hose brought, such as '600 L, estimate'.")
@click.option("--pond", "volume", default="", help="Litres of the pond, such as '8000 L, guess'.")
@click.option("--looks", default="", help="How the water of the pond looks: clear or green.")
@click.option("--meant", "what", default="", help="What they mean to do, such as 'algicide; food'.")
@click.option("--new-fish", default="", help="When the last new fish came, such as 2026-04-20.")
@click.option("--disinfectant", default="", help="What the water company uses: chlorine, chloramine or none.")
@click.option("--as-of", default="", help="The time of the call, such as 2026-05-17T09:00; now without it.")
@click.option("--full", is_flag=True, help="Print everything, the sources last.")
@_in_units
def call(signs: Sequence[str], as_of: str, full: bool, units: str, **texts: str) -> None:
    """First aid and what to read next for SIGNS: what the caller sees, such as 'gasping at the surface'.

    Without SIGNS it lists those that it knows and asks.
    """
    from waterplan.case.seen import SIGNS
    from waterplan.plan.quick_call import NOTHING_YET, quick_call, signs_of
    from waterplan.words.short import signs_read
    from waterplan.words.terminal import first_page, full_page

    if not signs:
        signs = [click.prompt(f"What is seen ({', '.join(SIGNS)})")]
    found = signs_of(signs)
    click.echo(signs_read(signs, found), nl=False, err=True)
    now = datetime.now().astimezone()
    made = quick_call(texts, found or [NOTHING_YET], as_of=_time_of(as_of, now.tzinfo or UTC) or now)
    click.echo(full_page(made, None, units) if full else first_page(made, units), nl=False)


@main.command("schema")
@click.argument("of", type=click.Choice(["case", "plan"]))
def _schema(of: str) -> None:
    """The JSON Schema of a case file or of a plan."""
    if of == "case":
        from waterplan.case import case_schema

        found = case_schema()
    else:
        from waterplan.plan.record import Plan

        found = Plan.model_json_schema(by_alias=True)
    click.echo(json.dumps(found, indent=1, ensure_ascii=False))


@main.command("keys")
def _keys() -> None:
    """Every key of a case file with what it means and an example."""
    from waterplan.case import key_table

    click.echo(key_table())


@main.command()
@click.option("--port", type=click.IntRange(1024, 65535), default=8501, show_default=True, help="Port on this machine.")
def screens(port: int) -> None:
    """Open the screens in a browser, on this machine only."""
    from waterplan.charts.style import FAMILY
    from waterplan.screens.serving import serve

    click.echo(f"Screens at http://127.0.0.1:{port} (stop with Ctrl-C)")
    sys.stdout.flush()
    serve(
        {
            "server.address": "127.0.0.1",
            "server.port": port,
            # A page elsewhere that has its own name point to this machine is not served.
            "server.allowedHosts": ["127.0.0.1", "localhost"],
            "browser.gatherUsageStats": False,
            "server.headless": True,
            "server.fileWatcherType": "none",
            "server.maxUploadSize": 4,  # of the readings, the largest file that a page takes
            "client.toolbarMode": "minimal",
            "client.showErrorDetails": "none",
            "theme.light.primaryColor": "#17617f",
            "theme.light.textColor": "#16242c",
            "theme.dark.primaryColor": "#2279a0",
            "theme.dark.linkColor": "#8fd0ee",
            "theme.dark.textColor": "#e8eef2",
            "theme.dark.backgroundColor": "#10191e",
            "theme.dark.secondaryBackgroundColor": "#1f2d35",
            "theme.font": FAMILY,
        }
    )


@main.command()
@click.option("--temperature", required=True, help="Such as '18 °C' or '64 °F'.")
@click.option("--altitude", default="", help="Such as '640 m' or '2100 ft'; sea level without it.")
@click.option("--salinity", default="", help="Such as '3 g/L'.")
@click.option("--species", "species_name", default="unknown", show_default=True)
@_in_units
def oxygen(units: str, **texts: str) -> None:
    """Oxygen that water can hold at a temperature and altitude."""
    from waterplan.plan.quick import quick_oxygen

    _show(quick_oxygen(**texts), units)


@main.command()
@click.option("--species", "species_name", required=True)
@click.option("--weight", default="", help="Such as '0.62 kg'.")
@click.option("--length", default="", help="Such as '31 cm'.")
@click.option("--temperature", default="", help="Such as '20 °C'; oxygen and ammonia need it.")
@click.option("--ph", default="", help="Such as 7.8; ammonia needs it.")
@click.option("--filter", "filter_state", default="", help="seeded, unseeded, damaged or maturing.")
@_in_units
def tank(units: str, **texts: str) -> None:
    """The smallest hospital tank for a species and weight, and what decides it."""
    from waterplan.plan.quick import quick_tank

    _show(quick_tank(**texts), units)


@main.command("ammonia")
@click.option("--tan", required=True, help="Total ammonia, such as '1.2 mg/L as N, drop kit'.")
@click.option("--ph", required=True, help="The highest of the day, such as '8.2, pH meter'.")
@click.option("--temperature", required=True, help="Such as '18 °C'.")
@click.option("--species", "species_name", default="unknown", show_default=True)
@_in_units
def _ammonia(units: str, **texts: str) -> None:
    """The un-ionised part of a total ammonia, its limit, and the total that this pH allows."""
    from waterplan.plan.sums.water import quick_ammonia

    _show(quick_ammonia(**texts), units)


@main.command("stitches")
@click.option("--day", required=True, help="The day of the operation, such as 2026-05-14.")
@click.option("--temperature", required=True, help="The daily mean of the water, such as '18 °C'.")
@_in_units
def _stitches(units: str, **texts: str) -> None:
    """When stitches are to be examined, and between which days they come out."""
    from waterplan.plan.sums.water import quick_stitches

    _show(quick_stitches(**texts), units)


@main.command("power-cut")
@click.option("--litres", required=True, help="Such as '200 L, marked tub'.")
@click.option("--weight", required=True, help="Of one fish, such as '2.4 kg'.")
@click.option("--count", default="1", show_default=True, help="How many of them.")
@click.option("--temperature", required=True, help="Such as '18 °C'.")
@click.option("--species", "species_name", default="unknown", show_default=True)
@click.option("--oxygen", default="", help="What is in it now, such as '8 mg/L'; nearly full without it.")
@click.option("--altitude", default="", help="Such as '640 m'; sea level without it.")
@_in_units
def _power_cut(units: str, **texts: str) -> None:
    """How long a tub lasts when its air stops, with the fish upset."""
    from waterplan.plan.sums.tub import quick_power_cut

    _show(quick_power_cut(**texts), units)


@main.command()
@click.argument("exposure", type=click.Choice(["level", "bath", "dip"]))
@click.option("--strength", required=True, help="Such as '3 g/L'.")
@click.option("--volume", required=True, help="Such as '200 L, marked tub'.")
@click.option("--species", "species_name", required=True)
@click.option("--present", default="0 ± 0 g/L", help="Salt that is in it already, such as '0.3 g/L'.")
@click.option("--again", default="", help="The strength once more, where it is above the usual ceiling.")
@_in_units
def salt(units: str, **texts: str) -> None:
    """Salt for a level held for days, a bath or a dip."""
    from waterplan.plan.quick_doses import quick_salt

    _show(quick_salt(**texts), units)


@main.command()
@click.argument("use", type=click.Choice(["instruments", "nets", "eggs", "hands", "wound", "fish"]))
@click.option("--volume", default="1 L", show_default=True, help="Finished solution, such as '2 L'.")
@click.option("--stock", default="", help="The bottle, such as '10 % PVP-I'.")
@_in_units
def iodine(units: str, **texts: str) -> None:
    """Povidone-iodine dilution for a stated use, in available iodine and in mL of stock."""
    from waterplan.plan.quick_doses import quick_iodine

    _show(quick_iodine(**texts), units)


@main.command(cls=_Lazy, sections=("doses", "home_water"))
@click.argument("substance")
@click.argument("use")
@click.option("--species", default="unknown", show_default=True)
@click.option("--eaten", default="", help="May the fish, or one from its water, be eaten: no or yes.")
@click.option("--wound", default="", help="Has the fish a wound: none, closed or open.")
@click.option("--disinfectant", default="", help="What the water company uses, where the water is from the tap.")
@click.option("--there", "already", multiple=True, help="What is there already, such as zeolite or 'open wound'.")
@_in_units
def dose(already: Sequence[str], units: str, **texts: str) -> None:
    """What to weigh or draw up of a SUBSTANCE for a USE, what the water is then like, and what must not meet."""
    from waterplan.plan.quick_doses import quick_dose

    _show(quick_dose(texts, already=already), units)


@main.command(cls=_Lazy, sections=("injections",))
@click.argument("drug")
@click.option("--species", default="unknown", show_default=True)
@click.option("--weight", default="", help="Such as '0.62 kg, scales'.")
@click.option("--length", default="", help="Such as '31 cm'.")
@click.option("--eaten", default="", help="May the fish, or one from its water, be eaten: no or yes.")
@_in_units
def injection(units: str, **texts: str) -> None:
    """What to draw up of a DRUG by body weight, with its dilution and sites."""
    from waterplan.plan.quick_doses import quick_injection

    _show(quick_injection(texts), units)


def _show(made: "Plan", units: str) -> None:
    """A short answer with its band, its sources and the usual caution."""
    from waterplan.words.short import short_answer

    click.echo(short_answer(made, units), nl=False)


def _command() -> str:
    """The command as it was typed, for the next one to be typed."""
    typed = sys.argv[0] if sys.argv and sys.argv[0] else "waterplan"
    return f"{sys.executable} -m waterplan.cli" if typed.endswith("cli.py") else typed


if __name__ == "__main__":
    main()

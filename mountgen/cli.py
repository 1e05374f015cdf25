"""The command line. It reads arguments, calls the stages and prints; it holds no rule of its own.

Exit codes: 0 feasible, 1 not feasible, 2 something given is wrong.
"""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import Fault, InputError, MountgenError, OutputError
from mountgen.kernel.step_text import Schema
from mountgen.package.dxf_flavour import DxfVersion
from mountgen.package.folder import safe_name, write_new, write_over
from mountgen.package.report import check_report, json_text, plain
from mountgen.package.text import summary
from mountgen.remedies.records import NO_ADVICE, Advice
from mountgen.shop.reader import USUAL_SHOP, read_shop
from mountgen.study import Study, study
from mountgen.survey.reader import read_survey
from mountgen.survey.records import Face
from mountgen.survey.setting import read_settings
from mountgen.units import System

NOT_FEASIBLE, BAD_INPUT = 1, 2
HOME = "127.0.0.1"
SLOW_S = 3.0
"""s after which a command says what it is doing."""

app = typer.Typer(add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False)
SurveyPath = Annotated[Path, typer.Argument(metavar="SURVEY", help="The survey, a TOML file.")]
ShopPath = Annotated[
    Path | None, typer.Option("--shop", metavar="FILE", help="The fabricator's shop, a TOML file.")
]


Settings = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="KEY=VALUE", help="A value of the survey for this run; may be repeated."),
]


@app.callback()
def program() -> None:
    """From a conveyor survey to a print-head mount that can be cut, drilled and set up."""


@app.command()
def check(
    survey: SurveyPath,
    shop: ShopPath = None,
    settings: Settings = None,
    sensitivity: Annotated[
        bool, typer.Option("--sensitivity", help="How wrong each measured value may be; takes a while.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
) -> None:
    """Say whether a mount can work on this line, how tight it is, and what would mend it."""
    catalogue = Catalogue()
    result, advice = _advised(_studied(survey, catalogue, shop, settings), catalogue)
    report, text = check_report(result, advice), [summary(result, advice)]
    if sensitivity:
        from mountgen.package.critical import critical_lines
        from mountgen.sensitivity import sensitivities

        critical = sensitivities(result, catalogue)
        report["sensitivity"] = plain(critical)
        text += ["", *critical_lines(critical, result.survey.units), ""]
    _say(json_text(report) if as_json else "\n".join(text), exactly=as_json)
    raise typer.Exit(_exit_code(result))


@app.command()
def build(
    survey: SurveyPath,
    shop: ShopPath = None,
    settings: Settings = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where packages go.")] = Path("outputs"),
    step: Annotated[Schema, typer.Option(help="The schema of STEP files.")] = "AP242",
    dxf: Annotated[DxfVersion, typer.Option(help="The version of DXF files.")] = "R2000",
    layers: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The shop's names of DXF layers, a TOML file.")
    ] = None,
    since: Annotated[
        Path | None, typer.Option(metavar="DIR", help="An earlier package: say which parts changed.")
    ] = None,
) -> None:
    """Write the whole package: models, flats, drawings, set-up sheet and report."""
    from mountgen.package.beside import second_process
    from mountgen.package.changes import changes, in_words, made_before
    from mountgen.package.dxf_flavour import Flavour, read_layers
    from mountgen.package.records import Formats
    from mountgen.package.writer import Order, write_package

    formats = Formats(step, Flavour(dxf, read_layers(layers) if layers else {}))
    before = made_before(since) if since else None
    catalogue = Catalogue()
    found, advice = _advised(_studied(survey, catalogue, shop, settings), catalogue)
    order = Order(second_process(), formats, advice)
    result, folder = write_package(found, catalogue, out, order)
    _say(f"{summary(result, advice)}\npackage: {folder}\n")
    if before is not None:
        _say("".join(f"{line}\n" for line in in_words(changes(before, made_before(folder)))))
    raise typer.Exit(_exit_code(result))


@app.command()
def options(
    survey: SurveyPath,
    shop: ShopPath = None,
    settings: Settings = None,
    out: Annotated[Path | None, typer.Option(metavar="DIR", help="Write options.html there.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the result as JSON.")] = False,
) -> None:
    """Compare all families of mount: the best of each, and what the others lack."""
    from mountgen.options.find import find_options
    from mountgen.package.options_page import options_page
    from mountgen.package.options_text import options_report, options_text

    catalogue = Catalogue()
    made_by = read_shop(shop or catalogue.folder / USUAL_SHOP)
    read = read_survey(survey, catalogue, read_settings(settings or ()))
    found = find_options(read, catalogue, made_by, _progress())
    if out is not None:
        write_over(out / "options.html", options_page(found).encode("utf-8"))
        typer.echo(f"page: {out / 'options.html'}", err=True)
    _say(json_text(options_report(found)) if as_json else options_text(found), exactly=as_json)
    raise typer.Exit(0 if found.feasible else NOT_FEASIBLE)


@app.command()
def fleet(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A folder of surveys.")],
    shop: ShopPath = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where results go.")] = Path("outputs/fleet"),
    build: Annotated[bool, typer.Option("--build", help="Write the package of every line, too.")] = False,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes that work on it (one a processor).")
    ] = None,
) -> None:
    """Look at many surveys at once; a run that was ended goes on where it was."""
    from mountgen.fleet.fleet import FleetOrder, run_fleet
    from mountgen.fleet.jobs import as_faults

    profiles = Catalogue().folder
    made_by = shop or profiles / USUAL_SHOP
    order = FleetOrder(folder, out, made_by, profiles, build, workers or os.cpu_count() or 1)
    found = run_fleet(order, lambda text: typer.echo(text, err=True))
    told = [*as_faults(found.outcomes), ", ".join(f"{n} {state}" for state, n in found.counts.items() if n)]
    _say("\n".join([*told, f"summary: {out / 'fleet.html'}", ""]))
    if found.counts["bad input"] or found.counts["failed"]:
        raise typer.Exit(BAD_INPUT)
    raise typer.Exit(NOT_FEASIBLE if found.counts["not feasible"] else 0)


def _studied(survey: Path, catalogue: Catalogue, shop: Path | None, settings: list[str] | None) -> Study:
    """The mount for a survey, made by the shop that is named or else by the usual one."""
    made_by = read_shop(shop or catalogue.folder / USUAL_SHOP)
    return study(read_survey(survey, catalogue, read_settings(settings or ())), catalogue, made_by)


def _progress() -> Callable[[str], None]:
    """Says on standard error what is looked at, once a command has taken a while."""
    begun = time.monotonic()

    def told(title: str) -> None:
        if time.monotonic() - begun > SLOW_S:
            typer.echo(f"looking at: {title}", err=True)

    return told


def _advised(found: Study, catalogue: Catalogue) -> tuple[Study, Advice]:
    """A study that is not feasible with what would make it so; any other as it is, at no cost."""
    if found.verdict != "not feasible":
        return found, NO_ADVICE
    from mountgen.remedies.advice import advise, with_remedies

    advice = advise(found, catalogue)
    return with_remedies(found, advice), advice


def _say(text: str, exactly: bool = False) -> None:
    """Prints an answer: what a terminal cannot show is replaced, unless it must be read `exactly` (UTF-8).

    Raises OutputError when it cannot be printed: half an answer must not look like a verdict.
    """
    out = sys.stdout
    if out is None:  # the shell closed it
        expected, action = "a place to print to", "leave standard output open"
        raise OutputError([Fault("standard output", "it is closed", expected, action)])
    if isinstance(out, io.TextIOWrapper):
        out.reconfigure(encoding="utf-8" if exactly else out.encoding, errors="replace")
    try:
        out.write(text)
        out.flush()
    except OSError as error:
        # What is still buffered would fail once more when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())
        found = f"the answer cannot be printed ({error.strerror})"
        action = "free the disk, or print somewhere else"
        raise OutputError([Fault("standard output", found, "a place to print to", action)]) from error


@app.command()
def asbuilt(
    survey: SurveyPath,
    measured: Annotated[
        Path, typer.Argument(metavar="MEASURED", help="What was measured after installation, a TOML file.")
    ],
    shop: ShopPath = None,
    settings: Settings = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where the corrected sheets go.")] = Path(
        "outputs"
    ),
) -> None:
    """Compare an installed mount with its design: likely causes, what to correct, corrected sheets."""
    from mountgen.asbuilt.correct import as_built
    from mountgen.asbuilt.reader import read_measured
    from mountgen.package.as_built import as_built_text, write_as_built

    catalogue = Catalogue()
    found = _studied(survey, catalogue, shop, settings)
    if found.verdict == "not feasible":
        _say(f"{summary(found)}\nthis mount was never feasible: there is nothing to compare\n")
        raise typer.Exit(NOT_FEASIBLE)
    measurements = read_measured(measured, found)
    result = as_built(found, measurements.raw)
    folder = write_as_built(found, catalogue, measurements, result, out)
    _say(f"{as_built_text(found, result)}\ncorrected sheets: {folder}\n")
    raise typer.Exit(NOT_FEASIBLE if result.verdict == "not feasible" else 0)


@app.command()
def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The survey to begin, a TOML file.")],
    pose: Annotated[Face, typer.Option(help="The printed face: near_side or top.")] = "near_side",
    units: Annotated[System, typer.Option(help="What bare numbers mean: mm or in.")] = "mm",
    form: Annotated[bool, typer.Option("--form", help="Write a PDF form beside it, to fill in.")] = False,
) -> None:
    """Write a commented survey to fill in; never over a file that is there."""
    from mountgen.survey.starter import starter_survey

    write_new(file, starter_survey(pose, units).encode("utf-8"))
    _say(f"survey: {file}\n")
    if form:
        from mountgen.package.form import form_pdf

        paper = file.with_suffix(".pdf")
        write_new(paper, form_pdf(units))
        _say(f"form: {paper}\n")


@app.command()
def serve(
    host: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Where it listens: this machine alone.")
    ] = HOME,
    port: Annotated[int, typer.Option(min=1, max=65535, help="The port that it listens at.")] = 8765,
) -> None:
    """Open the page: the same checks and packages in a browser, without the internet."""
    from mountgen.page.serve import serve_page

    serve_page(host, port, lambda text: typer.echo(text, err=True))


@app.command()
def rail(
    file: Annotated[Path, typer.Argument(metavar="FILE.dxf", help="A drawn cross-section.")],
    units: Annotated[System | None, typer.Option(help="Unit of a drawing that does not say it.")] = None,
    layer: Annotated[str | None, typer.Option(help="The layer that holds the rail.")] = None,
    loop: Annotated[int | None, typer.Option(min=1, help="Which outline: 1 is the largest.")] = None,
    out: Annotated[Path, typer.Option(metavar="DIR", help="Where the profile goes.")] = Path(),
) -> None:
    """Read a rail's cross-section, say what was understood, write a profile and its pictures."""
    from mountgen.section.drawing import draw_section
    from mountgen.section.picture import section_png
    from mountgen.section.profile import section_toml
    from mountgen.section.reader import read_section
    from mountgen.section.words import describe

    section = read_section(file, units=units, layer=layer, loop=loop)
    _say(describe(section) + "\n")
    name = safe_name(file.stem)
    for path, content in (
        (out / f"{name}.toml", section_toml(section, name).encode("utf-8")),
        (out / f"{name}.svg", draw_section(section).encode("utf-8")),
        (out / f"{name}.png", section_png(section)),
    ):
        write_new(path, content)
        _say(f"written: {path}\n")


def _exit_code(result: Study) -> int:
    return NOT_FEASIBLE if result.verdict == "not feasible" else 0


def main() -> NoReturn:
    """Runs, and ends the process there and then.

    Python would first take down every library, the CAD kernel's in a quarter of a second, though all files
    are closed by then.
    """
    code: object = 0
    try:
        run()
    except SystemExit as end:
        code = end.code
    for stream in filter(None, (sys.stdout, sys.stderr)):
        stream.flush()
    os._exit(code if isinstance(code, int) else 0)


def run() -> None:
    """Turns the errors of mountgen into text and an exit code (SystemExit)."""
    try:
        app()
    except InputError as error:
        for fault in error.faults:
            sys.stderr.write(f"{fault.where}: {fault.found}\n")
            sys.stderr.write(f"    expected {fault.expected}; {fault.action}\n")
        sys.exit(BAD_INPUT)
    except MountgenError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(BAD_INPUT)

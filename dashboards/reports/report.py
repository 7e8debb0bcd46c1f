"""`tautleaf report`: a report assembled as one HTML file that needs nothing else, and as PDF where this computer can print one."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from dashboards.reports import figures
from dashboards.reports.class_report import class_sheet
from dashboards.reports.printing import print_pdf
from dashboards.reports.program_report import program_sheet
from dashboards.reports.report_store import ReportStore
from ingest.errors import PrintingFailed, ReportRefused
from warehouse.published import open_published

if TYPE_CHECKING:
    from dashboards.reports.parts import Sheet
    from ingest.home import Home
    from warehouse.roles import Role

Kind = Literal["class", "program"]
HERE = Path(__file__).parent
MARK = "tautleaf report"
"""Written into every report, so that only a report of ours is ever replaced."""
ROLE_OF: Mapping[Kind, Role] = {"class": "student", "program": "reviewer"}
"""Whose file a report is made from where nothing else is said: the one whose reader it is for."""
PAPERS: Mapping[str, str] = {"a4": "A4", "letter": "letter"}
_WHERE_THE_MARK_IS = 4096


@dataclass(frozen=True)
class Wanted:
    """What a report is to hold; empty texts leave the choice to the report."""

    kind: Kind
    semester: str = ""
    role: Role | None = None
    window: str = ""
    with_answers: bool = False
    paper: str = "a4"


@dataclass(frozen=True)
class Made:
    """What was written: the page, the PDF or the reason why there is none, and what it was made from."""

    html: Path
    pdf: Path | None
    why_no_pdf: str
    role: Role
    build_id: str


def make_report(home: Home, wanted: Wanted, to: Path | None, *, pdf: bool | None = None) -> Made:
    """Write a report; each file appears whole or not at all.

    Args:
        home: whose published file is reported on.
        wanted: kind, semester and form.
        to: the HTML file, new or an earlier report; None for a name of its own in the current folder.
        pdf: whether a PDF must stand beside it, under the same name; None for one where this computer can make it.

    Raises:
        PrintingFailed: a PDF must be there, and could not be made; the page is.
        ReportRefused: there is no such semester, the role's file cannot answer, or the file cannot be written.
        NothingPublished, PublishedDamaged, PublishedOutdated: as the reader of published files says.
    """
    role = wanted.role or ROLE_OF[wanted.kind]
    published = open_published(home, role)
    try:
        store = ReportStore(published)
        sheet = _sheet(home, store, wanted)
        build_id = published.build_id
    finally:
        published.close()
    target = (to or Path(f"{wanted.kind}-{sheet.semester}.html")).expanduser().absolute()
    printed = target.with_suffix(".pdf")
    _refuse_strangers(target, None if pdf is False else printed)
    stills = stills_of(sheet)
    _write(target, page(sheet, stills).encode("utf-8"))
    why = "" if pdf is False else _print(page(sheet, stills, paper=PAPERS[wanted.paper]), printed)
    if pdf and why:
        raise PrintingFailed(f"{why} It is {target}.")
    return Made(target, None if pdf is False or why else printed, why, role, build_id)


def _print(html: str, printed: Path) -> str:
    """Write the PDF; returns why there is none, or an empty text."""
    try:
        _write(printed, print_pdf(html))
    except PrintingFailed as error:
        printed.unlink(missing_ok=True)  # an earlier one would tell of other numbers than the page
        return str(error)
    return ""


def _sheet(home: Home, store: ReportStore, wanted: Wanted) -> Sheet:
    settings = home.settings()
    if wanted.kind == "class":
        return class_sheet(store, settings, semester=wanted.semester, window=wanted.window, with_answers=wanted.with_answers)
    return program_sheet(store, settings, semester=wanted.semester)


def stills_of(sheet: Sheet) -> dict[int, figures.Stills]:
    """The figures as they are printed, by the number of their section."""
    return {i: figures.still(section.figure, section.across) for i, section in enumerate(sheet.sections) if section.figure is not None}


def page(sheet: Sheet, stills: Mapping[int, figures.Stills], *, paper: str = "") -> str:
    """A report as one HTML page: with interactive figures, or, where a paper is named, as it is printed, without scripts."""
    from jinja2 import Environment, FileSystemLoader
    from markupsafe import Markup

    drawn = {i: section.figure for i, section in enumerate(sheet.sections) if section.figure is not None}
    script, places = ("", {}) if paper else figures.live(drawn)
    template = Environment(loader=FileSystemLoader(HERE), autoescape=True, trim_blocks=True, lstrip_blocks=True).get_template("report.html")
    return template.render(
        sheet=sheet,
        mark=MARK,
        paper=paper,
        css=Markup((HERE / "report.css").read_text("utf-8")),  # noqa: S704  (our own file)
        library=Markup(figures.library()) if script else "",  # noqa: S704  (Bokeh's own)
        script=Markup(script),  # noqa: S704  (Bokeh escapes the data in it)
        places={i: [Markup(place) for place in each] for i, each in places.items()},  # noqa: S704  (empty places)
        stills=stills,
    )


def _refuse_strangers(target: Path, printed: Path | None) -> None:
    """Refuse what must not be overwritten, and what cannot be written, before any work is done."""
    if target.suffix != ".html":
        raise ReportRefused(f"Name a file that ends with .html, not {target.name}; the PDF stands beside it under the same name.")
    if not target.parent.is_dir():
        raise ReportRefused(f"There is no folder {target.parent}. Make it, or name another file with --to.")
    is_ours = target.is_file() and MARK.encode() in _start_of(target)
    if target.exists() and not is_ours:
        raise ReportRefused(f"{target} is there and is no report. Name another file with --to.")
    if printed is not None and printed.exists() and not is_ours:
        raise ReportRefused(
            f"{printed} is there and belongs to no report. Name another file with --to, or leave the PDF out with --no-pdf."
        )


def _start_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_WHERE_THE_MARK_IS)
    except OSError as error:
        raise ReportRefused(f"{path} cannot be read ({error.strerror}). Name another file with --to.") from error


def _write(path: Path, data: bytes) -> None:
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", dir=path.parent)
        aside = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            aside.chmod(0o644)
            aside.replace(path)
        finally:
            aside.unlink(missing_ok=True)
    except OSError as error:
        raise ReportRefused(f"{path} cannot be written ({error.strerror}). Name another file with --to.") from error

"""How a home stands: its uploads, its last build, how fresh that is, and what is wrong."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ingest.errors import TautleafError
from ingest.home import Home
from ingest.received.checked_files import checked_path
from ingest.received.ledger import Received
from ingest.received.uploads import Upload
from ingest.registers.registers import read_registers
from warehouse.published import built_at, current_build


@dataclass
class Standing:
    """Uploads in the order in which they were accepted, the last build (None where there is none), and problems in words."""

    home: str
    uploads: list[Upload] = field(default_factory=list)
    build_id: str | None = None
    built_at: str | None = None
    problems: list[str] = field(default_factory=list)
    students: dict[str, int] = field(default_factory=dict)
    """How many students have rows in use in an upload of scores or levels, by its id, as far as its checked rows can be read."""

    def as_dict(self) -> dict[str, Any]:
        """The standing as a plain mapping, for JSON."""
        uploads = [{**upload.snapshot(), "n_students": self.students.get(upload.upload_id)} for upload in self.uploads]
        return {**{name: value for name, value in vars(self).items() if name != "students"}, "uploads": uploads}

    def as_text(self) -> str:
        """The standing as lines for a person."""
        lines = [f"Home {self.home}", f"Last build: {self.build_id} of {self.built_at}" if self.build_id else "Last build: none"]
        for upload in self.uploads:
            by = f" by {upload.replaced_by}" if upload.replaced_by else ""
            n_students = self.students.get(upload.upload_id)
            students = "" if n_students is None else f"  {n_students} student{'' if n_students == 1 else 's'}"
            covers = "  ".join(filter(None, (_where(upload), _of_what(upload)))) + students
            counts = f"{upload.rows_accepted} accepted, {upload.rows_flagged} flagged, {upload.rows_set_aside} set aside"
            lines.append(f"  {upload.upload_id}  {upload.kind:8}  {upload.status}{by}  {covers}  {upload.file_name}  {counts}")
        lines.extend([f"! {found}" for found in self.problems] or ["No problems."])
        return "\n".join(lines)


def _where(upload: Upload) -> str:
    """The sections, and the semesters of which no section is named; of weather the gauges."""
    sections = [name for name in upload.sections.split(";") if name]
    bare = [name for name in upload.semesters.split(";") if name and not any(section.startswith(f"{name}/") for section in sections)]
    return ", ".join([*sections, *bare]) or upload.gauges.replace(";", ", ")


def _of_what(upload: Upload) -> str:
    """The tests with their phases, or the outcomes, of an upload of scores or levels; blank for others."""
    # What such an upload covers is told as instrument/phase/semester/section or outcome/semester/section.
    covers = [name.rsplit("/", 2)[0].partition("/") for name in upload.covers.split(";") if name]
    phases: dict[str, list[str]] = {}
    for what, _, phase in covers:
        known = phases.setdefault(what, [])
        known.extend([phase] if phase and phase not in known else [])
    return ", ".join(" ".join([what, " and ".join(sorted(known, reverse=True))]).rstrip() for what, known in phases.items())


def standing(home: Home) -> Standing:
    """Look at a home without changing it; what cannot be read becomes a problem in words."""
    found = Standing(str(home.root))
    for look in (_registers, _uploads, _build):
        try:
            look(home, found)
        except TautleafError as error:
            found.problems.append(str(error))
    return found


def _registers(home: Home, found: Standing) -> None:
    home.settings()
    read_registers(home)


def _uploads(home: Home, found: Standing) -> None:
    received = Received(home)
    found.uploads = received.uploads()
    for upload in found.uploads:
        if upload.status == "active" and not (home.checked / upload.kind / f"{upload.upload_id}.parquet").is_file():
            found.problems.append(f"The checked rows of {upload.upload_id} are missing. Run 'tautleaf build --from-received'.")
    _count_students(home, found)
    semesters = {name for upload in found.uploads if upload.status == "active" for name in upload.semesters.split(";") if name}
    if semesters and not any(upload.kind == "weather" and upload.status == "active" for upload in found.uploads):
        found.problems.append("No weather record is loaded: readings have no rain beside them. Load the gauge's record.")


def _count_students(home: Home, found: Standing) -> None:
    paths = {upload.upload_id: checked_path(home.checked, upload.kind, upload.upload_id) for upload in found.uploads if upload.covers}
    if not any(path.is_file() for path in paths.values()):
        return
    import duckdb

    with duckdb.connect() as connection:
        for upload_id, path in paths.items():
            query = "SELECT count(DISTINCT student) FROM read_parquet(?) WHERE status <> 'set_aside'"
            try:
                ((found.students[upload_id],),) = connection.execute(query, [str(path)]).fetchall()
            except duckdb.Error:
                if path.is_file():
                    found.problems.append(f"The checked rows of {upload_id} cannot be read. Run 'tautleaf build --from-received'.")


def _build(home: Home, found: Standing) -> None:
    found.build_id, found.built_at = current_build(home), built_at(home)
    events = Received(home).events()
    if events and (found.built_at is None or events[-1].at > found.built_at):
        found.problems.append("The last change is not published yet. Run 'tautleaf build'.")

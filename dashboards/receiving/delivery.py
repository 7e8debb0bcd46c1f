"""One file that is being received: dropped, checked, its questions answered, accepted. Nothing is stored before it is accepted.

A delivery needs no server: the dashboard keeps each in a process of its own (`receiving_process`), a test calls it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Literal

from dashboards.receiving.controls import (
    FILL,
    Control,
    answers_given,
    control_of_question,
    controls_of_settled,
    filled_in,
    name_of,
    not_asked,
)
from dashboards.receiving.row_pages import RowPage, changes_of, problems_of, rows_of
from ingest.asking import said_with
from ingest.checked.changed import Changes
from ingest.checked.corrections import settled
from ingest.checking import Asked, Checked, check_bytes
from ingest.errors import FileUnreadable, ReplacementUnclear, TautleafError, UploadUnknown
from ingest.progress import Tell, begun, nobody
from ingest.received.accepting import Disposal, accept, overlapping, refuse_loss
from ingest.received.changes import changes
from ingest.received.ledger import Received
from ingest.registers.registers import read_registers
from warehouse.foreseen import lay_aside

if TYPE_CHECKING:
    from pathlib import Path

    from ingest.doubts.questions import Question
    from ingest.home import Home
    from ingest.received.uploads import Upload

State = Literal["dropped", "unreadable", "asked", "checked", "known", "loaded"]
MOST_MB = 25
"""A class's file has less than one; what is larger is loaded at the command line, which does not hold it in a page."""


def refuse_large(name: str, size: int, most_mb: int = MOST_MB) -> None:
    """Refuse a file that is too large for the page.

    Raises:
        FileUnreadable: it has more bytes than are taken; the message says what to do instead.
    """
    if size > most_mb * 1_000_000:
        raise FileUnreadable(
            f"Load {name} at the command line: tautleaf load FILE. It has {size / 1e6:.0f} MB, and a page takes files up to {most_mb} MB."
        )


class Delivery:
    """One file from dropped to loaded."""

    def __init__(self, home: Home, data: bytes, name: str) -> None:
        self._home, self._data, self._name = home, data, name
        self._form: dict[str, str] = {}
        self._asked: dict[str, Question] = {}
        self._checked: Checked | None = None
        self._covered: list[tuple[Upload, Changes, str]] = []
        self._stamp = ""
        self.state: State = "dropped"
        self.controls: list[Control] = []
        self.says = ""

    def check(self, form: Mapping[str, str] | None = None, tell: Tell = nobody) -> None:
        """Check the file with what the reader has chosen; afterwards it is asked, checked, known already, or unreadable.

        Args:
            form: the value of each control by its name; those of which nothing is said stay as they were.
            tell: is told how far a long file is.

        Raises:
            RecipeInvalid: what was chosen is no answer, or contradicts itself; the file stays as it was checked before.
        """
        form = filled_in(self._form, form or {})
        said = said_with(Asked(), answers_given(self.controls, form))
        stamp = self._stamp_of_home()
        try:
            refuse_large(self._name, len(self._data))
            checked = check_bytes(self._home, self._data, self._name, said, tell)
        except TautleafError as error:
            if self._checked is not None:
                raise
            self.state, self.says = "unreadable", _with_problems(error)
            return
        self._checked, self._form, self._stamp, self.says = checked, form, stamp, ""
        self._look(checked, tell)

    def accept(self, replaces: tuple[str, ...] = (), *, adds: bool = False) -> bool:
        """Accept the file; the caller holds `home.changing()`. Returns True where it was loaded and the home has to be built.

        Where a register or a recipe was changed since the file was checked, it is checked again first. Where that makes a difference, or
        another upload covers the same and nothing was said of it, nothing is loaded, and `says` asks for another look.
        """
        if self._checked is None or self.state != "checked":
            raise FileUnreadable("Answer the questions first: the file cannot be loaded as it stands.")
        if self._stamp != self._stamp_of_home() and self._differs_now():
            self.says = "The registers or recipes were changed meanwhile, and the file was checked again: please look once more."
            return False
        try:
            is_new = accept(self._home, self._checked, Disposal(replaces, adds))
        except (ReplacementUnclear, UploadUnknown):  # another page or command was faster: what is in use is no longer what was shown
            self._look(self._checked)
            self.says = "What is in use of the same was changed meanwhile: please look once more, and say what becomes of it."
            return False
        self.state = "loaded" if is_new else "known"
        return is_new

    def foresee(self, folder: Path) -> bool:
        """Lay into a folder what accepting the file will most likely record, so that its tables can be made while the receipt is read.

        Returns False where that would change nothing or cannot be told; the home stays as it is.
        """
        likely = [upload.upload_id for upload, _, loss in self._covered if not loss]
        if self.state != "checked" or len(likely) < len(self._covered):
            return False
        return lay_aside(self._home, self._known(), Disposal(tuple(likely)), folder)

    def rows(self, status: str, start: int) -> RowPage:
        """A page of the file's rows."""
        return rows_of(self._known(), status, start)

    def problems(self, start: int) -> RowPage:
        """A page of the file's problems."""
        return problems_of(self._known().receipt.problems, start)

    def changes(self, upload_id: str, start: int) -> RowPage:
        """A page of what the file would change against an upload that covers the same."""
        return changes_of(next((found for upload, found, _ in self._covered if upload.upload_id == upload_id), Changes()), start)

    def seen(self) -> dict[str, Any]:
        """The delivery as plain values, without its rows: what the page shows of it."""
        shown: dict[str, Any] = {"state": self.state, "says": self.says, "name": self._name}
        if self._checked is None:
            return shown
        receipt = self._checked.receipt
        first = next(iter(receipt.open_questions()), None)
        return shown | {
            "file": receipt.file,
            "kind": receipt.kind,
            "upload_id": receipt.upload_id or f"u{receipt.fingerprint[:10]}",
            "to_do": first.to_do_here if first else "",
            "rows": receipt.rows,
            "semesters": receipt.semesters,
            "sections": receipt.sections,
            "gauges": receipt.gauges,
            "days": [receipt.date_first, receipt.date_last],
            "tables": [{"sheet": table.sheet, "rows": table.rows, "header_row": table.header_row} for table in receipt.tables],
            "notes": [*receipt.notes, *(note for table in receipt.tables for note in table.notes)],
            "aliases": [[alias.written, alias.code, alias.register] for alias in receipt.aliases],
            "problems": sum(found.severity != "refuse" for found in receipt.problems),
            "controls": [asdict(control) | _ways(control) for control in self.controls],
            "covered": [_covering(upload, len(found), loss) for upload, found, loss in self._covered],
            "known": self._standing(),
        }

    def _known(self) -> Checked:
        if self._checked is None:
            raise FileUnreadable("There are no rows to show: the file could not be read.")
        return self._checked

    def _look(self, checked: Checked, tell: Tell = nobody) -> None:
        """See what is asked of the file, what is in use of the same, and where that leaves it."""
        receipt, registers = checked.receipt, read_registers(self._home)
        now = {name_of(question): question for question in receipt.questions()}
        answered = {
            name: question
            for name, question in self._asked.items()
            if (self._form.get(name) or self._form.get(name + FILL)) and name not in now
        }
        self._asked = now | answered
        asked = [control_of_question(found, self._form, registers, is_asked=name in now) for name, found in self._asked.items()]
        corrected = controls_of_settled(settled(receipt, registers), self._form, registers)
        self.controls = [*asked, *not_asked(corrected, self._asked.values())]
        self._covered = [] if receipt.is_refused else self._covering(checked, tell)
        known = self._standing()
        self.state = "asked" if receipt.is_refused else "known" if known == "active" else "checked"

    def _standing(self) -> str:
        """What became of this very upload before: active, replaced, withdrawn, or '' where it is new."""
        if self._checked is None or self._checked.receipt.is_refused:
            return ""
        own = f"u{self._checked.receipt.fingerprint[:10]}"
        return next((upload.status for upload in Received(self._home).uploads() if upload.upload_id == own), "")

    def _covering(self, checked: Checked, tell: Tell) -> list[tuple[Upload, Changes, str]]:
        """The uploads in use that cover the same, what would change against each, and why it cannot be replaced, if it cannot."""
        checked.receipt.upload_id = f"u{checked.receipt.fingerprint[:10]}"
        covered = overlapping(checked, Received(self._home).uploads())
        if covered:
            others = covered[0].file_name if len(covered) == 1 else f"{len(covered)} files in use"
            begun(tell, f"Comparing with {others}", checked.receipt.rows["in_file"])
        found = changes(self._home, checked, covered)
        if checked.receipt.kind == "weather" and not any(found):
            return []  # the same days with the same values contradict nothing
        return [(upload, changed, _loss(checked, upload)) for upload, changed in zip(covered, found, strict=True)]

    def _stamp_of_home(self) -> str:
        """A hash of all by which a file is understood: settings, registers and recipes."""
        paths = [self._home.settings_file, *sorted(self._home.registers.glob("*.csv")), *sorted(self._home.recipes.glob("*.toml"))]
        return hashlib.sha256(b"\0".join(path.read_bytes() for path in paths)).hexdigest()

    def _differs_now(self) -> bool:
        before = self._known().receipt
        self.check(self._form)
        after = self._known().receipt
        return self.state != "checked" or (before.fingerprint, before.rows) != (after.fingerprint, after.rows)


def _with_problems(error: TautleafError) -> str:
    rest = [f"{found.sheet or ''}, row {found.row}: {found.message}" for found in error.problems[1:6]]
    return " ".join([str(error), *rest])


def _ways(control: Control) -> dict[str, Any]:
    return {"to_fill": control.to_fill, "may_be_kept": control.may_be_kept}


def _loss(checked: Checked, upload: Upload) -> str:
    try:
        refuse_loss(checked, upload)
    except ReplacementUnclear as lost:
        return str(lost)
    return ""


def _covering(upload: Upload, n_changes: int, loss: str) -> dict[str, Any]:
    return {
        "upload_id": upload.upload_id,
        "file": upload.file_name,
        "received_at": upload.received_at,
        "rows": upload.rows_accepted + upload.rows_flagged,
        "changes": n_changes,
        "loss": loss,
    }

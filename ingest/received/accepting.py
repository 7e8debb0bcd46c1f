"""Accept a checked file: keep the original, write the checked rows, record it; let it replace an earlier one."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ingest.checked.changed import Changes
from ingest.checked.kinds import KINDS_OF_UPLOAD
from ingest.checking import Asked, Checked, check_bytes
from ingest.doubts.recipe_keys import KNOWN
from ingest.doubts.recipes import save_recipe
from ingest.errors import ReceivedDamaged, ReplacementUnclear, UploadUnknown
from ingest.home import Home
from ingest.received.changes import changes
from ingest.received.checked_files import checked_path, write_checked, write_problems
from ingest.received.ledger import Event, Events, Received
from ingest.received.uploads import Upload
from ingest.registers.aliases import remember


@dataclass(frozen=True)
class Disposal:
    """What the user said of earlier uploads that cover the same: which the new file replaces, or that it adds to them."""

    replaces: tuple[str, ...] = ()
    adds: bool = False


def accept(home: Home, checked: Checked, disposal: Disposal | None = None) -> bool:
    """Accept a checked file whose receipt is not refused; returns False where it was known already and nothing changed.

    The receipt gets its verdict, the upload's id and what changed against the upload that it replaces.

    Raises:
        ReplacementUnclear: an active upload covers the same, and nothing was said of it; nothing was changed.
        UploadUnknown: `disposal` names an upload that is not there, or is not active.
        ValueError: the receipt is refused (a mistake of ours: callers look first).
    """
    if checked.receipt.is_refused:
        raise ValueError(f"{checked.receipt.file} is refused and cannot be accepted")
    receipt, received = checked.receipt, Received(home)
    events = _decided(home, checked, disposal or Disposal(), received)
    if not events:
        receipt.verdict = "known already"
        remember(home, receipt.aliases)
        return False
    received.keep_original(checked.data)
    # A file that comes back is read by the registers of today, not by those of the day on which it was withdrawn.
    _write(home.checked, checked, home.settings().program_code, events[0][1])
    received.record_all(events)
    if receipt.kind in KNOWN:
        save_recipe(home.recipes, checked.recipe)
        receipt.recipe = f"recipes/{(checked.recipe.path.name if checked.recipe.path else checked.recipe.shape + '.toml')}"
    remember(home, receipt.aliases)
    receipt.verdict = "loaded"
    return True


def foresee(home: Home, checked: Checked, disposal: Disposal, folder: Path) -> Events:
    """What accepting the file would record, with its checked rows laid into `folder`; the home stays as it is.

    Returns:
        The events in order; none where the file is known already.

    Raises:
        ReplacementUnclear, UploadUnknown: as `accept` says.
    """
    events = _decided(home, checked, disposal, Received(home))
    if events:
        _write(folder, checked, home.settings().program_code, events[0][1])
    return events


def _decided(home: Home, checked: Checked, disposal: Disposal, received: Received) -> Events:
    """The events of an acceptance, the new upload's first; none where it is in use already."""
    receipt = checked.receipt
    receipt.upload_id = upload_id = f"u{receipt.fingerprint[:10]}"
    uploads = {upload.upload_id: upload for upload in received.uploads()}
    known = uploads.get(upload_id)
    if known and known.status == "active":
        return []
    replaced = _replaced(home, checked, list(uploads.values()), disposal, received)
    facts = _facts(checked, home.settings().program_code, hashlib.sha256(checked.data).hexdigest())
    events: list[tuple[Event, str, Any]] = [("restored", upload_id, {}) if known else ("accepted", upload_id, facts)]
    events += [("rechecked", upload_id, facts)] if known and _differs(facts, known) else []
    return [*events, *(("replaced", upload.upload_id, {"by": upload_id}) for upload in replaced)]


def withdraw(home: Home, prefix: str) -> Upload:
    """Take an active upload out of use; it stays in received.

    Raises:
        UploadUnknown: there is no such active upload.
    """
    received = Received(home)
    upload = received.find(prefix)
    if upload.status != "active":
        raise UploadUnknown(f"Upload {upload.upload_id} is {upload.status} already. 'tautleaf status' lists the uploads in use.")
    received.record("withdrawn", upload.upload_id)
    return received.find(upload.upload_id)


def overlapping(checked: Checked, uploads: Sequence[Upload]) -> list[Upload]:
    """The active uploads of the same kind that cover what the file covers too: a section, a test in it, or a gauge's days."""
    receipt, kind = checked.receipt, KINDS_OF_UPLOAD[checked.receipt.kind]
    found = []
    for upload in uploads:
        if upload.status != "active" or upload.kind != receipt.kind or upload.upload_id == receipt.upload_id:
            continue
        if kind.covered(upload) & kind.covered(receipt) and (not kind.is_by_day or _share_days(upload, checked)):
            found.append(upload)
    return found


def refuse_loss(checked: Checked, upload: Upload) -> None:
    """A replacement must cover all that it replaces; else readings of another section would vanish with it.

    Raises:
        ReplacementUnclear: the file covers less than the upload, or is of another kind.
    """
    receipt = checked.receipt
    if upload.kind != receipt.kind:
        raise ReplacementUnclear(
            f"Upload {upload.upload_id} holds {upload.kind}, and {receipt.file} holds {receipt.kind}: withdraw the one or load the other."
        )
    kind = KINDS_OF_UPLOAD[receipt.kind]
    lost = kind.covered(upload) - kind.covered(receipt)
    if lost:
        raise ReplacementUnclear(
            f"Upload {upload.upload_id} also covers {', '.join(sorted(lost))}, which {receipt.file} does not. "
            f"Load a file that covers all of it, or withdraw {upload.upload_id} first."
        )


def recheck(home: Home) -> list[str]:
    """Read every upload in use again from its original, as after a change of a register; returns the ids that changed.

    Raises:
        ReceivedDamaged: an original is missing, damaged, or can no longer be understood.
    """
    received, changed = Received(home), []
    for upload in received.uploads():
        if upload.status != "active":
            continue
        facts = upload.facts
        if "imported" in facts:  # its original is elsewhere
            _restore_checked(received, upload)
            continue
        asked = Asked(tuple(facts.get("answers", ())), upload.kind, facts.get("gauge"))
        checked = check_bytes(home, received.original(upload.sha256), upload.original_name, asked)
        if checked.receipt.is_refused:
            first = next(found for found in checked.receipt.problems if found.severity == "refuse")
            raise ReceivedDamaged(
                f"Upload {upload.upload_id} ({upload.file_name}) can no longer be understood: {first.message} {first.suggestion}."
            )
        _write(home.checked, checked, upload.program, upload.upload_id)
        now = _facts(checked, upload.program, upload.sha256)
        if _differs(now, upload):
            received.record("rechecked", upload.upload_id, now)
            changed.append(upload.upload_id)
    return changed


def _restore_checked(received: Received, upload: Upload) -> None:
    """Lay the checked rows of an imported upload where they belong, from what was received in place of its original."""
    for which, sha256 in upload.facts["imported"]["checked"].items():
        checked_path(received.home.checked, which, upload.upload_id).write_bytes(received.original(sha256))


def _differs(facts: dict[str, Any], upload: Upload) -> bool:
    counted = ("rows_accepted", "rows_flagged", "rows_set_aside", "sections", "gauges", "covers")
    return any(facts[name] != getattr(upload, name) for name in counted)


def _replaced(home: Home, checked: Checked, uploads: list[Upload], disposal: Disposal, received: Received) -> list[Upload]:
    named = [received.find(prefix) for prefix in disposal.replaces]
    for upload in named:
        if upload.status != "active":
            raise UploadUnknown(f"Upload {upload.upload_id} is {upload.status} already and cannot be replaced.")
        refuse_loss(checked, upload)
    is_by_day = KINDS_OF_UPLOAD[checked.receipt.kind].is_by_day
    covered = [] if disposal.adds and not is_by_day else overlapping(checked, uploads)
    checked.receipt.changes = Changes.joined(changes(home, checked, named or covered))
    left = [upload for upload in covered if upload not in named]
    if is_by_day and not any(change["column"] == "value" for change in checked.receipt.changes):
        return named  # the same days with the same values twice contradict nothing, nor does a day more or less
    if left and not disposal.adds:
        raise ReplacementUnclear(_which(checked, left))
    return named


def _which(checked: Checked, left: list[Upload]) -> str:
    receipt = checked.receipt
    lines = [f"{upload.upload_id} ({upload.file_name}, received {upload.received_at[:10]})" for upload in left]
    what = ", ".join(sorted(KINDS_OF_UPLOAD[receipt.kind].covered(receipt)))
    differs = f" {len(receipt.changes)} values differ." if receipt.changes else ""
    return (
        f"{receipt.file} covers {what}, which {' and '.join(lines)} covers already.{differs} "
        f"Load it with --replaces {left[0].upload_id} if it corrects that file, or with --adds if it is a further part of it."
    )


def _share_days(upload: Upload, checked: Checked) -> bool:
    first, last = checked.receipt.date_first, checked.receipt.date_last
    if not (first and last and upload.date_first and upload.date_last):
        return False
    return upload.date_first.isoformat() <= last and first <= upload.date_last.isoformat()


def _write(folder: Path, checked: Checked, program: str, upload_id: str) -> None:
    kind = checked.receipt.kind
    write_problems(folder, checked.receipt.problems, program=program, upload_id=upload_id)
    write_checked(
        checked_path(folder, kind, upload_id), checked.columns, KINDS_OF_UPLOAD[kind].columns, program=program, upload_id=upload_id
    )


def _facts(checked: Checked, program: str, sha256: str) -> dict[str, Any]:
    receipt = checked.receipt
    return {
        "program": program,
        "kind": receipt.kind,
        "file_name": receipt.file,
        "original_name": checked.name,
        "sha256": sha256,
        "rows_in_file": receipt.rows["in_file"],
        "rows_accepted": receipt.rows["accepted"],
        "rows_flagged": receipt.rows["flagged"],
        "rows_set_aside": receipt.rows["set_aside"],
        "recipe": checked.recipe.shape,
        "recipe_text": checked.recipe.as_toml() if receipt.kind in KNOWN else json.dumps(checked.answers),
        "semesters": ";".join(receipt.semesters),
        "sections": ";".join(receipt.sections),
        "gauges": ";".join(receipt.gauges),
        "covers": ";".join(receipt.covers),
        "date_first": receipt.date_first,
        "date_last": receipt.date_last,
        "answers": list(checked.asked.answers),
        "gauge": checked.asked.gauge,
    }

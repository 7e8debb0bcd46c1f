"""The demo: a home made from the demo years through the same path as any class's files."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path
from typing import Any

from ingest.errors import HomeExists, TautleafError
from ingest.front import counted, say
from ingest.home import Home, init_home

YEARS = Path(__file__).parents[1] / "demo_years"


def make_demo(root: Path, *, is_json: bool = False) -> Home:
    """Make the demo home, load every demo file in order, build and publish; an earlier demo home is used as it is.

    Raises:
        HomeExists: the folder is a home, but not one of the demo.
        TautleafError: a file was not answered as it should be (a damaged installation).
    """
    from ingest.received.ledger import Received
    from warehouse.build import Spare, build
    from warehouse.published import current_build

    facts = tomllib.loads((YEARS / "facts.toml").read_text("utf-8"))
    home = Home(root.absolute())
    if home.settings_file.is_file():
        if home.settings().program_code != facts["program_code"]:
            raise HomeExists(f"{root} is a home of its own. Name another folder with --home.")
    else:
        home = init_home(root, code=facts["program_code"], name=facts["program_name"], timezone=facts["timezone"])
        # The invented classes are small: with the usual ten, nearly every cell of the reviewer's summary would be hidden.
        text = home.settings_file.read_text("utf-8")
        home.settings_file.write_text(text.replace("suppression_threshold = 10", "suppression_threshold = 5"), "utf-8")
        for register in (YEARS / "registers").glob("*.csv"):
            shutil.copyfile(register, home.registers / register.name)
    steps = tomllib.loads((YEARS / "load_order.toml").read_text("utf-8"))["load"]
    with home.changing(), Spare(home) as spare:
        changed = [_load(home, step, quiet=is_json) for step in counted(steps, "Loading the demo years", len(steps))]
        if any(changed) or current_build(home) is None:
            made = build(home, spare)
            if not is_json:
                readings = made.tables["observations"]
                say(f"Published {readings} readings of {len(Received(home).uploads())} uploads in {home.root}.")
    return home


def _load(home: Home, step: dict[str, Any], *, quiet: bool) -> bool:
    """Load one demo file as `tautleaf load` would; returns whether the home changed."""
    from ingest.checking import check_path
    from ingest.received.accepting import Disposal, accept
    from ingest.received.ledger import Received

    path = YEARS / "files" / step["file"]
    checked = check_path(home, path)
    if checked.receipt.is_refused != (step["expect"] == "refused"):
        raise TautleafError(f"{path.name} was expected to be {step['expect']}: {checked.receipt.as_text()}")
    if checked.receipt.is_refused:
        if not quiet:
            say(f"{path.name}: refused, as a bad file should be ({len(checked.receipt.problems)} problems; see 'tautleaf check').")
        return False
    replaces = tuple(
        upload.upload_id
        for upload in Received(home).uploads()
        if upload.status == "active" and upload.original_name == Path(step.get("replaces", "")).name
    )
    was_new = accept(home, checked, Disposal(replaces))
    if not quiet:
        counts = checked.receipt.rows
        kept = counts["accepted"] + counts["flagged"]
        say(f"{path.name}: {checked.receipt.verdict}, {kept} of {counts['in_file']} rows")
    return was_new

"""A home: the folder that holds all of one program, and nothing of another."""

from __future__ import annotations

import fcntl
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ingest.contract import REGISTERS, Column, contract
from ingest.errors import HomeBusy, HomeExists, HomeNotFound, SettingsInvalid
from ingest.settings import Settings, read_settings, settings_text, settings_wrong

__all__ = ["Home", "Settings", "find_home", "init_home"]

HOME_VARIABLE = "TAUTLEAF_HOME"
KEY_BYTES = 32
_PRIVATE = 0o700


@dataclass(frozen=True)
class Home:
    """The places within one home; `root` is absolute."""

    root: Path

    @property
    def settings_file(self) -> Path:
        """tautleaf.toml, whose presence makes the folder a home."""
        return self.root / "tautleaf.toml"

    @property
    def registers(self) -> Path:
        """Folder of the registers, one CSV file each."""
        return self.root / "registers"

    @property
    def recipes(self) -> Path:
        """Folder of the recipes, one TOML file each."""
        return self.root / "recipes"

    @property
    def key_file(self) -> Path:
        """The key of the pseudonyms, in hexadecimal; whoever destroys it makes them final."""
        return self.root / "secret" / "pseudonym.key"

    @property
    def ledger(self) -> Path:
        """The append-only record of what was received and decided (SQLite)."""
        return self.root / "received" / "ledger.sqlite"

    @property
    def originals(self) -> Path:
        """Folder of the original bytes, each under its SHA-256."""
        return self.root / "received" / "originals"

    @property
    def checked(self) -> Path:
        """Folder of the checked Parquet files: a folder for each kind of upload, and one for the problems."""
        return self.root / "checked"

    @property
    def modelled(self) -> Path:
        """Folder of the modelled databases, one per build."""
        return self.root / "modelled"

    @property
    def published(self) -> Path:
        """Folder of the published files, one per role and build, and the pointer to the current ones."""
        return self.root / "published"

    @property
    def predictions(self) -> Path:
        """What classes predicted: one JSON line of counts per question that was closed; without names, and kept for the next years."""
        return self.root / "predictions.jsonl"

    def settings(self) -> Settings:
        """Read the settings afresh.

        Raises:
            SettingsInvalid: a setting is missing, unknown or beyond its limits.
        """
        return read_settings(self.settings_file)

    def key(self) -> bytes:
        """The key of the pseudonyms.

        Raises:
            HomeNotFound: the key file is missing or damaged.
        """
        try:
            key = bytes.fromhex(self.key_file.read_text("ascii").strip())
        except (OSError, ValueError) as error:
            raise HomeNotFound(f"The key file {self.key_file} is missing or damaged. Restore it from a backup.") from error
        if len(key) != KEY_BYTES:
            raise HomeNotFound(f"The key file {self.key_file} does not hold {KEY_BYTES} bytes. Restore it from a backup.")
        return key

    @contextmanager
    def changing(self) -> Iterator[None]:
        """Hold the home for one change at a time; the system lets go of it even if the process is killed.

        A second `changing` fails at once, in the same process too: take it in the outermost command.

        Raises:
            HomeBusy: another command holds it.
        """
        lock = os.open(self.root / ".lock", os.O_RDWR | os.O_CREAT, 0o600)
        try:
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError as error:
                holder = os.read(lock, 20).decode("ascii", "replace").strip() or "unknown"
                raise HomeBusy(f"Another command (process {holder}) is changing {self.root}. Try again when it has ended.") from error
            os.ftruncate(lock, 0)
            os.write(lock, str(os.getpid()).encode())
            yield
        finally:
            os.close(lock)


def find_home(path: Path | None = None) -> Home:
    """The home at `path`, else at TAUTLEAF_HOME, else the current folder.

    Raises:
        HomeNotFound: there is no tautleaf.toml.
    """
    root = Path(path or os.environ.get(HOME_VARIABLE) or ".").expanduser().absolute()
    home = Home(root)
    if not home.settings_file.is_file():
        raise HomeNotFound(
            f"{root} is no home of a program: it has no tautleaf.toml. "
            f"Make one with 'tautleaf init {root}', or name the right folder with --home or {HOME_VARIABLE}."
        )
    return home


def init_home(root: Path, *, code: str = "field-lab", name: str = "Field lab", timezone: str = "UTC") -> Home:
    """Make a new home with commented settings, empty registers and a key of its own.

    Args:
        root: a folder that is new, or holds nothing that a home would write.
        code: the program's code, for the settings.
        name: the program's name as shown.
        timezone: IANA name of the sites' time zone.

    Raises:
        HomeExists: a home, or a part of one, is there already; nothing was changed.
        SettingsInvalid: code, name or time zone cannot be used; nothing was changed.
        HomeNotFound: the folder cannot be made or written.
    """
    home = Home(root.expanduser().absolute())
    settings = Settings(program_code=code, program_name=name, timezone=timezone)
    wrong = settings_wrong(vars(settings))
    if wrong:
        raise SettingsInvalid(" ".join(wrong))
    taken = [place for place in (home.settings_file, home.registers, home.key_file, home.ledger, home.originals) if place.exists()]
    if taken or (home.root.exists() and not home.root.is_dir()):
        raise HomeExists(f"{home.root} is already in use: there is {(taken or [home.root])[0]}. Choose a new folder.")
    try:
        _write_home(home, settings)
    except OSError as error:
        raise HomeNotFound(f"{home.root} cannot be written: {error.strerror}. Choose a folder that you may write to.") from error
    return home


def _write_home(home: Home, settings: Settings) -> None:
    for folder in (home.registers, home.recipes, home.modelled, home.published):
        folder.mkdir(parents=True, exist_ok=True)
    for kind in ("readings", "weather", "assessment", "rubric", "problems"):
        (home.checked / kind).mkdir(parents=True, exist_ok=True)
    for folder in (home.key_file.parent, home.originals.parent, home.originals):
        folder.mkdir(mode=_PRIVATE, exist_ok=True)
    for register in REGISTERS:
        (home.registers / f"{register}.csv").write_text(register_text(register), "utf-8")
    key = os.open(home.key_file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(key, "w", encoding="ascii") as file:
        file.write(secrets.token_bytes(KEY_BYTES).hex() + "\n")
    # Last, because this file makes the folder a home: a half-made one is none.
    home.settings_file.write_text(settings_text(settings), "utf-8")


def register_text(register: str) -> str:
    """An empty register: a comment for each column, then the header."""
    kind = contract()[register]
    lines = [f"# {kind.says} Lines that start with # are comments.", *(_comment(column) for column in kind.columns.values())]
    return "\n".join([*lines, ",".join(kind.columns)]) + "\n"


def _comment(column: Column) -> str:
    needed = "required" if column.required else "may be blank"
    allows = column.allows()
    limits = "" if allows.startswith(("a text", "a number")) else f"; {allows}"
    reference = f"; a code from {column.register}.csv" if column.register else ""
    return f"# {column.name}: {column.says} ({needed}{limits}{reference})"

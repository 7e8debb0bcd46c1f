"""The settings of a home, kept in tautleaf.toml: what each means, within which limits, and its default."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import tomlkit

from ingest.errors import SettingsInvalid

CODE_PATTERN = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")


@dataclass(frozen=True)
class Settings:
    """What a program has settled: its name, its clock, and the limits that its data are judged by."""

    program_code: str
    program_name: str
    timezone: str
    midday_hours: float = 2.0
    effective_rain_mm: float = 5.0
    antecedent_k: float = 0.90
    suppression_threshold: int = 10
    late_minutes: float = 5.0
    max_file_mb: int = 200
    data_authors: str = ""
    data_licence: str = ""


@dataclass(frozen=True)
class _Number:
    """Limits of one numeric setting, both included."""

    minimum: float
    maximum: float
    whole: bool = False


_NUMBERS: Mapping[str, _Number] = {
    "midday_hours": _Number(0.25, 6.0),
    "effective_rain_mm": _Number(0.1, 100.0),
    "antecedent_k": _Number(0.5, 0.99),
    "suppression_threshold": _Number(1, 1000, whole=True),
    "late_minutes": _Number(0.5, 120.0),
    "max_file_mb": _Number(1, 100_000, whole=True),
}

_MAY_BE_BLANK = ("data_authors", "data_licence")
_SAYS: Mapping[str, str] = {
    "program_code": "Short code of the program: lower case letters, digits and hyphens. It becomes part of every\n"
    "observer's pseudonym, so leave it as it is once files have been loaded.",
    "program_name": "Name of the program as shown on the dashboard, in reports and in the data package.",
    "timezone": "Time zone of the sites, as in the IANA list (for example America/Chicago). Clock times on the\nsheets are read in it.",
    "midday_hours": "A reading counts as midday within so many hours of solar noon at its site.",
    "effective_rain_mm": "Rain of a day, mm, from which on it counts as effective when days since rain are counted.",
    "antecedent_k": "Share of the antecedent precipitation index that is left after a day without rain; 0.85 to 0.98\n"
    "are in use, 0.90 is usual.",
    "suppression_threshold": "Cells with fewer people or rows than this are hidden from reviewers.\n"
    "Your institution's office decides the number.",
    "late_minutes": "A reading later than so many minutes after the cut is flagged.",
    "max_file_mb": "Files larger than this, in megabytes, are not read.",
    "data_authors": "Who is to be cited for exported data, names separated by semicolons; blank for the program itself.",
    "data_licence": "Under which licence exported data may be used, such as CC-BY-4.0; blank where none is stated.",
}


def read_settings(path: Path) -> Settings:
    """Read tautleaf.toml.

    Raises:
        SettingsInvalid: the file is no TOML, or a setting is missing, unknown or beyond its limits; all are named.
    """
    try:
        raw = tomllib.loads(path.read_text("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsInvalid(f"Correct {path}: it is no settings file that can be read ({error}).") from error
    wrong = settings_wrong(raw)
    if wrong:
        raise SettingsInvalid(f"Correct {path}. " + " ".join(wrong))
    values: dict[str, Any] = {name: float(value) if _is_measure(name) else value for name, value in raw.items()}
    return Settings(**values)


def settings_wrong(raw: Mapping[str, Any]) -> list[str]:
    """Everything that is wrong with these settings, one sentence each; empty where nothing is."""
    known = [field.name for field in fields(Settings)]
    wrong = [f"{name} is no setting; the settings are {', '.join(known)}." for name in raw if name not in known]
    for name in known:
        if name not in raw:
            if name not in _NUMBERS and name not in _MAY_BE_BLANK:
                wrong.append(f'{name} is missing; write {name} = "...".')
            continue
        sentence = _number_wrong(name, raw[name]) if name in _NUMBERS else _text_wrong(name, raw[name])
        if sentence:
            wrong.append(sentence)
    return wrong


def settings_text(settings: Settings) -> str:
    """The settings as a TOML file in which a comment explains each."""
    parts = ["# Settings of this home. Lines that start with # are comments.\n"]
    for field in fields(Settings):
        comment = "\n".join(f"# {line}" for line in _SAYS[field.name].split("\n"))
        parts.append(f"{comment}\n{field.name} = {tomlkit.item(getattr(settings, field.name)).as_string()}\n")
    return "\n".join(parts)


def _is_measure(name: str) -> bool:
    return name in _NUMBERS and not _NUMBERS[name].whole


def _number_wrong(name: str, value: object) -> str | None:
    limits = _NUMBERS[name]
    kind = "a whole number" if limits.whole else "a number"
    is_number = isinstance(value, int if limits.whole else (int, float)) and not isinstance(value, bool)
    if not is_number or not limits.minimum <= value <= limits.maximum:  # type: ignore[operator]  # compared only where it is a number
        return f"{name} is {value!r}; it must be {kind} from {limits.minimum:g} to {limits.maximum:g}."
    return None


def _text_wrong(name: str, value: object) -> str | None:
    if name in _MAY_BE_BLANK:
        return None if isinstance(value, str) and value.isprintable() else f"{name} must be a text of one line."
    if not isinstance(value, str) or not value.strip():
        return f"{name} must be a text that is not blank."
    if name == "program_code" and not CODE_PATTERN.fullmatch(value):
        return f"program_code is {value!r}; it must be lower case letters, digits and hyphens, at most 40."
    if name == "timezone" and not _is_zone(value):
        return f"timezone is {value!r}, which is no time zone known here; write one such as America/Chicago or UTC."
    return None


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ValueError, OSError, KeyError):  # what zoneinfo raises for odd keys, folders of zones and unknown zones
        return False
    return True

"""The data package of one role: every table as CSV and Parquet, with codebook, descriptor, citation, licence note and checksums."""

from __future__ import annotations

import csv
import datetime as dt
import hashlib
import json
import math
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboards.package_texts import authors_of, citation_cff, is_licence_code, licence_note, readme
from ingest.errors import ExportRefused
from ingest.home import Home, Settings
from warehouse.keys import keys_of_tables
from warehouse.published import open_published
from warehouse.roles import Role

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

DESCRIPTOR, CHECKSUMS, CODEBOOK = "datapackage.json", "SHA256SUMS", "codebook.csv"
MADE_BY = "tautleaf export"
_ROWS_AT_ONCE = 10_000
_RUNS_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")
_PLAIN_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_TYPES = {"VARCHAR": "string", "DOUBLE": "number", "FLOAT": "number", "BOOLEAN": "boolean", "DATE": "date"}
_TYPES |= dict.fromkeys(("TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT", "UBIGINT"), "integer")


@dataclass(frozen=True)
class Package:
    """What was written: the folder, the build it holds, rows by table."""

    folder: Path
    build_id: str
    rows: Mapping[str, int]


def export(home: Home, role: Role, folder: Path) -> Package:
    """Write the data package of a role's current build; it appears whole or not at all.

    Args:
        home: whose published file is exported.
        role: whose file.
        folder: new, empty, or an earlier export, which is replaced.

    Raises:
        ExportRefused: the folder holds anything that is no export of ours, or cannot be written.
        NothingPublished, PublishedDamaged: as the reader of published files says.
    """
    import duckdb

    target = folder.expanduser().absolute()
    _refuse_strangers(target)
    published = open_published(home, role)
    published.close()  # verified; attached below, where files may be written
    aside = target.with_name(f".{target.name}.new")
    try:
        shutil.rmtree(aside, ignore_errors=True)
        (aside / "data").mkdir(parents=True)
        with duckdb.connect() as connection:
            quoted = str(published.path).replace("'", "''")
            connection.execute(f"ATTACH '{quoted}' AS published (READ_ONLY)")
            rows = _write(connection, aside, home)
        _put_in_place(aside, target)
    except OSError as error:
        raise ExportRefused(f"Choose another folder than {target}: it cannot be written ({error.strerror}).") from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)
    return Package(target, published.build_id, rows)


def guarded(text: str) -> str:
    """A text as it is written into CSV: with an apostrophe before what a spreadsheet program would run as a formula.

    Texts that begin with an apostrophe get one more, so that taking one away gives every text back. Plain numbers stay.
    """
    return f"'{text}" if text.startswith(_RUNS_AS_FORMULA) and not _PLAIN_NUMBER.fullmatch(text) else text


def _refuse_strangers(folder: Path) -> None:
    if not folder.exists():
        return
    if not folder.is_dir():
        raise ExportRefused(f"Choose another folder: {folder} is a file.")
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()}
    if not found:
        return
    try:
        descriptor = json.loads((folder / DESCRIPTOR).read_text("utf-8"))
        is_ours = descriptor["made_by"] == MADE_BY
        listed = {line[66:] for line in (folder / CHECKSUMS).read_text("utf-8").splitlines()} | {CHECKSUMS}
    except (OSError, ValueError, KeyError, TypeError):
        is_ours, listed = False, set()
    if not is_ours or found - listed:
        strange = sorted(found - listed)[0]
        raise ExportRefused(f"Choose a new folder, or empty {folder}: it holds {strange}, which no export wrote.")


def _put_in_place(aside: Path, target: Path) -> None:
    """Rename the finished folder to its place; an earlier export there goes last."""
    old = target.with_name(f".{target.name}.old")
    shutil.rmtree(old, ignore_errors=True)
    if target.exists():
        target.rename(old)
    aside.rename(target)
    shutil.rmtree(old, ignore_errors=True)


def _write(connection: DuckDBPyConnection, folder: Path, home: Home) -> dict[str, int]:
    says = {(table, column): text for table, column, text in connection.execute("FROM published.codebook").fetchall()}
    info = _row(connection, "build_info")
    names = "SELECT table_name FROM duckdb_tables() WHERE database_name = 'published' ORDER BY 1"
    tables = [name for (name,) in connection.execute(names).fetchall()]
    keys, rows, resources = keys_of_tables(), {}, []
    for table in tables:
        path = folder / CODEBOOK if table == "codebook" else folder / "data" / f"{table}.csv"
        rows[table] = _write_csv(connection, table, path)
        schema = _schema(connection, table, says, keys.get(table, ()))
        resources.append(_resource(folder, path, table, says.get((table, ""), ""), schema))
        if table != "codebook":
            parquet = path.with_suffix(".parquet")
            quoted = str(parquet).replace("'", "''")
            connection.execute(f"COPY published.{table} TO '{quoted}' (FORMAT parquet, COMPRESSION zstd)")
            resources.append(_resource(folder, parquet, f"{table}_parquet", says.get((table, ""), ""), schema))
    settings = home.settings()
    texts = {
        "README.md": readme(info, settings, rows),
        "CITATION.cff": citation_cff(info, settings),
        "LICENCE.md": licence_note(settings),
        DESCRIPTOR: json.dumps(_descriptor(info, settings, resources), ensure_ascii=False, indent=1) + "\n",
    }
    for name, text in texts.items():
        (folder / name).write_text(text, "utf-8")
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    sums = [f"{_sha256(path)}  {path.relative_to(folder).as_posix()}\n" for path in files]
    (folder / CHECKSUMS).write_text("".join(sums), "utf-8")
    return rows


def _row(connection: DuckDBPyConnection, table: str) -> dict[str, Any]:
    found = connection.execute(f"FROM published.{table}")
    names = [column[0] for column in found.description or ()]
    return dict(zip(names, found.fetchone() or (), strict=False))


def _write_csv(connection: DuckDBPyConnection, table: str, path: Path) -> int:
    """UTF-8, comma, one header line, line feeds; returns the number of rows."""
    found = connection.execute(f"FROM published.{table}")
    count = 0
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([column[0] for column in found.description or ()])
        while rows := found.fetchmany(_ROWS_AT_ONCE):
            writer.writerows([_cell(value) for value in row] for row in rows)
            count += len(rows)
    return count


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else ""
    return value.isoformat() if isinstance(value, dt.date) else guarded(value) if isinstance(value, str) else str(value)


def _schema(connection: DuckDBPyConnection, table: str, says: Mapping[tuple[str, str], str], key: tuple[str, ...]) -> dict[str, Any]:
    query = "SELECT column_name, data_type FROM duckdb_columns() WHERE database_name = 'published' AND table_name = ? ORDER BY column_index"
    columns = connection.execute(query, [table]).fetchall()
    fields = [{"name": name, "type": _TYPES.get(kind, "any"), "description": says.get((table, name), "")} for name, kind in columns]
    for field in fields:
        if field["type"] == "boolean":
            field |= {"trueValues": ["true"], "falseValues": ["false"]}
    is_keyed = key and set(key) <= {name for name, _ in columns}
    return {"fields": fields, "missingValues": [""], **({"primaryKey": list(key)} if is_keyed else {})}


def _resource(folder: Path, path: Path, name: str, says: str, schema: Mapping[str, Any]) -> dict[str, Any]:
    is_csv = path.suffix == ".csv"
    described = {
        "name": name,
        "path": path.relative_to(folder).as_posix(),
        "description": says,
        "profile": "tabular-data-resource" if is_csv else "data-resource",
        "format": path.suffix[1:],
        "mediatype": "text/csv" if is_csv else "application/vnd.apache.parquet",
        "bytes": path.stat().st_size,
        "hash": f"sha256:{_sha256(path)}",
    }
    return described | ({"encoding": "utf-8", "schema": schema} if is_csv else {})


def _descriptor(info: Mapping[str, Any], settings: Settings, resources: list[dict[str, Any]]) -> dict[str, Any]:
    licences = [{"name": settings.data_licence}] if is_licence_code(settings.data_licence) else []
    authors = [{"title": name, "role": "author"} for name in authors_of(settings)]
    return {
        "profile": "data-package",
        "name": f"{info['program']}-{info['role']}",
        "title": f"{info['program_name']}: leaf water potential, for the {info['role']}",
        "version": info["build_id"],
        "created": info["built_at"],
        "made_by": MADE_BY,
        **({"licenses": licences} if licences else {}),
        **({"contributors": authors} if authors else {}),
        "resources": resources,
    }


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

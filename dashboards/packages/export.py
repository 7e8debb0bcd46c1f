"""The data package of one role: every table as CSV, Parquet and DuckDB, with codebook, descriptors, citation, licence and checksums."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboards.packages.codebook_page import codebook_page
from dashboards.packages.crate import crate
from dashboards.packages.tables import resource_of, schema_of, write_csv
from dashboards.packages.texts import authors_of, citation_cff, is_licence_code, licence_note, readme
from ingest.digests import of_file
from ingest.errors import ExportRefused
from ingest.home import Home, Settings
from ingest.received.checked_files import checked_path
from warehouse.keys import keys_of_tables
from warehouse.published import open_published
from warehouse.roles import Role

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

DESCRIPTOR, CHECKSUMS = "datapackage.json", "SHA256SUMS"
CODEBOOK, CODEBOOK_PAGE, CRATE = "codebook.csv", "codebook.html", "ro-crate-metadata.json"
MADE_BY = "tautleaf export"


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
            rows = _write(connection, aside, home, published.path)
        _put_in_place(aside, target)
    except OSError as error:
        raise ExportRefused(f"Choose another folder than {target}: it cannot be written ({error.strerror}).") from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)
    return Package(target, published.build_id, rows)


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


def _write(connection: DuckDBPyConnection, folder: Path, home: Home, published: Path) -> dict[str, int]:
    says = {(table, column): text for table, column, text in connection.execute("FROM published.codebook").fetchall()}
    info, settings = _row(connection, "build_info"), home.settings()
    names = "SELECT table_name FROM duckdb_tables() WHERE database_name = 'published' ORDER BY 1"
    tables = [name for (name,) in connection.execute(names).fetchall()]
    keys, rows, resources, schemas = keys_of_tables(), {}, [], {}
    for table in tables:
        path = folder / CODEBOOK if table == "codebook" else folder / "data" / f"{table}.csv"
        rows[table] = write_csv(connection, table, path)
        schemas[table] = schema = schema_of(connection, table, says, keys.get(table, ()))
        resources.append(resource_of(folder, path, table, says.get((table, ""), ""), schema))
        if table != "codebook":
            parquet = path.with_suffix(".parquet")
            quoted = str(parquet).replace("'", "''")
            connection.execute(f"COPY published.{table} TO '{quoted}' (FORMAT parquet, COMPRESSION zstd)")
            resources.append(resource_of(folder, parquet, f"{table}_parquet", says.get((table, ""), ""), schema))
    database = folder / f"{info['program']}-{info['role']}.duckdb"
    shutil.copyfile(published, database)
    resources.append(resource_of(folder, database, "database", "The same tables as one DuckDB database, as the dashboard opens it."))
    if info["role"] == "instructor":
        resources += [resource_of(folder, path, *said) for path, said in _checked(connection, folder, home).items()]
        resources += _predictions(folder, home)
    texts = {
        "README.md": readme(info, settings, rows),
        "CITATION.cff": citation_cff(info, settings),
        "LICENCE.md": licence_note(settings),
        CODEBOOK_PAGE: codebook_page(info, says, schemas),
        DESCRIPTOR: _json(_descriptor(info, settings, resources)),
    }
    for name, text in texts.items():
        (folder / name).write_text(text, "utf-8")
    (folder / CRATE).write_text(_json(crate(folder, info, settings, resources)), "utf-8")
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    sums = [f"{of_file(path)}  {path.relative_to(folder).as_posix()}\n" for path in files]
    (folder / CHECKSUMS).write_text("".join(sums), "utf-8")
    return rows


def _checked(connection: DuckDBPyConnection, folder: Path, home: Home) -> dict[Path, tuple[str, str]]:
    """Copy the checked rows of every upload in use, so that the package can be imported; returns each file's name and description."""
    found = {}
    for upload, kind in connection.execute("SELECT upload_id, kind FROM published.uploads WHERE status = 'active'").fetchall():
        for which in (kind, "problems"):
            source, target = (checked_path(root, which, upload) for root in (home.checked, folder / "checked"))
            if not source.is_file():
                raise ExportRefused(
                    f"The checked rows of upload {upload} are missing. Run 'tautleaf build --from-received', then export again."
                )
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
            found[target] = (f"checked_{which}_{upload}", f"Every row of upload {upload} as it was checked ({which}), for tautleaf import.")
    return found


def _predictions(folder: Path, home: Home) -> list[dict[str, Any]]:
    """Copy what classes predicted, where any did: no table holds it, and nothing could make it again."""
    if not home.predictions.is_file():
        return []
    path = folder / home.predictions.name
    shutil.copyfile(home.predictions, path)
    return [resource_of(folder, path, "predictions", "What classes predicted: counts of each question, a line of JSON each.")]


def _json(content: Mapping[str, Any]) -> str:
    return json.dumps(content, ensure_ascii=False, indent=1) + "\n"


def _row(connection: DuckDBPyConnection, table: str) -> dict[str, Any]:
    found = connection.execute(f"FROM published.{table}")
    names = [column[0] for column in found.description or ()]
    return dict(zip(names, found.fetchone() or (), strict=False))


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
        "role": info["role"],
        **({"settings": vars(settings)} if info["role"] == "instructor" else {}),
        **({"licenses": licences} if licences else {}),
        **({"contributors": authors} if authors else {}),
        "resources": resources,
    }

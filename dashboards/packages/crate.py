"""The package described as a research object: RO-Crate Metadata Specification 1.1 (JSON-LD), a file of its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from dashboards.packages.texts import authors_of, is_licence_code
from ingest.settings import Settings

CONTEXT = "https://w3id.org/ro/crate/1.1/context"
CONFORMS_TO = "https://w3id.org/ro/crate/1.1"
LICENCES = "https://spdx.org/licenses/"
_NOTE = "LICENCE.md"
_TEXTS = {
    "README.md": ("What the package holds and how its files are written.", "text/markdown"),
    "codebook.html": ("What each table and column holds, with its unit, as a page.", "text/html"),
    "CITATION.cff": ("How to cite the data.", "text/yaml"),
    _NOTE: ("Under which terms the data may be used.", "text/markdown"),
    "datapackage.json": ("The tables described for programs (Frictionless Data Package).", "application/json"),
}


def crate(folder: Path, info: Mapping[str, Any], settings: Settings, resources: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """The whole of ro-crate-metadata.json.

    Args:
        folder: the package, in which everything else is written already.
        info: the one row of `build_info`.
        settings: authors and licence.
        resources: the resources of the package's other descriptor.
    """
    files = [_file(each["path"], each["description"], each["mediatype"], each["bytes"]) for each in resources]
    files += [_file(name, says, kind, (folder / name).stat().st_size) for name, (says, kind) in _TEXTS.items()]
    authors = [{"@id": f"#author-{place}", "@type": "Person", "name": name} for place, name in enumerate(authors_of(settings), start=1)]
    authors = authors or [{"@id": "#program", "@type": "Organization", "name": info["program_name"]}]
    licence, described = {"@id": _NOTE}, []
    if is_licence_code(settings.data_licence):
        licence = {"@id": f"{LICENCES}{settings.data_licence}"}
        described = [{**licence, "@type": "CreativeWork", "name": settings.data_licence}]
    root = {
        "@id": "./",
        "@type": "Dataset",
        "name": f"{info['program_name']}: leaf water potential, for the {info['role']}",
        "description": "Leaf water potential (MPa) of field classes, with the rain before it; codebook.html describes every column.",
        "datePublished": info["built_at"],
        "version": info["build_id"],
        "license": licence,
        "author": [{"@id": author["@id"]} for author in authors],
        "hasPart": [{"@id": file["@id"]} for file in files],
    }
    about = {"@id": "ro-crate-metadata.json", "@type": "CreativeWork", "conformsTo": {"@id": CONFORMS_TO}, "about": {"@id": "./"}}
    return {"@context": CONTEXT, "@graph": [about, root, *files, *authors, *described]}


def _file(path: str, says: str, kind: str, size: int) -> dict[str, Any]:
    return {
        "@id": path,
        "@type": "File",
        "name": path.rpartition("/")[2],
        "description": says,
        "encodingFormat": kind,
        "contentSize": str(size),
    }

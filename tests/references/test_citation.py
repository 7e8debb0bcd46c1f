"""The citation of a data package, held to the JSON Schema of the Citation File Format 1.2.0 (source and licence: cff-1.2.0-schema.md)."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft7Validator

from dashboards.packages.texts import citation_cff
from ingest.settings import Settings

SCHEMA = json.loads(Path(__file__).with_name("cff-1.2.0-schema.json").read_text("utf-8"))
INFO = {"program_name": 'A lab: "hill" & low ground', "build_id": "20260101T120000Z-1", "built_at": "2026-01-01T12:00:00Z"}
SETTINGS = Settings(program_code="lab", program_name="A lab", timezone="America/Chicago")


def faults(citation: str) -> list[str]:
    """What the schema finds fault with; as it asks, a date of YAML is read as its text."""
    read = {name: str(value) if name == "date-released" else value for name, value in yaml.safe_load(citation).items()}
    return [f"{fault.json_path}: {fault.message[:200]}" for fault in Draft7Validator(SCHEMA).iter_errors(read)]


@pytest.mark.parametrize(
    ("authors", "licence", "n_authors", "stated"),
    [
        ("", "", 1, None),
        ("The field class", "CC-BY-4.0", 1, "CC-BY-4.0"),
        ("The field class; A second class; The field class", "CC0-1.0", 2, "CC0-1.0"),
        (" ; ", "ours", 1, None),
        ("Null; 2024; - : #", "LicenseRef-ours", 3, None),
        ("no", "cc-by-4.0", 1, None),
        ("yes", "MIT OR Apache-2.0", 1, None),
        ("Ça & là", "Ask the authors.", 1, None),
    ],
)
def test_a_citation_is_one_by_its_schema(authors: str, licence: str, n_authors: int, stated: str | None) -> None:
    citation = citation_cff(INFO, replace(SETTINGS, data_authors=authors, data_licence=licence))
    assert faults(citation) == []
    read = yaml.safe_load(citation)
    assert (len(read["authors"]), read.get("license")) == (n_authors, stated)


def test_the_schema_finds_faults() -> None:
    citation = citation_cff(INFO, SETTINGS)
    for good, bad in (("1.2.0", "1.2"), ("type: dataset", "type: data"), ("authors:", "writers:"), ("2026-01-01", "2026")):
        assert faults(citation.replace(good, bad)), bad

"""The texts of a data package: what it holds and how to read it, how to cite it, and under which terms it may be used."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from ingest.settings import Settings

_LOAD = """
`observations.csv` can be read by `tautleaf check` and `tautleaf load` as any class's file, where the registers know its codes:
`sites.csv`, `taxa.csv`, `chambers.csv`, `gauges.csv`, `semesters.csv` and `sections.csv` can be copied into a home as its registers.
"""
_IMPORT = """- `checked/`: every row of every file in use as it was checked, from which `tautleaf import` makes a new home.
- `predictions.jsonl`, where classes predicted first: what they predicted, as counts.
"""


def readme(info: Mapping[str, Any], settings: Settings, rows: Mapping[str, int]) -> str:
    """What the package holds and how its files are written."""
    tables = "\n".join(f"| `{table}` | {count} |" for table, count in rows.items() if table != "codebook")
    return f"""# {info["program_name"]}: leaf water potential

Data package for the {info["role"]}, build {info["build_id"]} of {info["built_at"]}. Clock times are local to {settings.timezone}.

| table | rows |
|---|---|
{tables}

- `data/`: each table as CSV (UTF-8, comma, decimal point, dates as YYYY-MM-DD) and as Parquet.
- `{info["program"]}-{info["role"]}.duckdb`: the same tables as one DuckDB database.
- `codebook.html`, `codebook.csv`: what each table and each column holds, with its unit.
- `datapackage.json`: the same for programs (Frictionless Data Package): types, descriptions, keys.
- `ro-crate-metadata.json`: the package as a research object (RO-Crate 1.1).
- `SHA256SUMS`: `sha256sum -c SHA256SUMS` tells whether the files are whole.
- `CITATION.cff`, `LICENCE.md`: how to cite, and under which terms.
{_IMPORT if info["role"] == "instructor" else ""}
**Blank** means missing. A reading whose endpoint was never reached is a bound: `below_limit` is true, and the potential is below the
value. `usable` says whether a reading counts in summaries. In `observations`, `upload_id`, `source_sheet`, `source_row` and
`source_cell` say where each number stands in the file that was received, `reading_as_written` and `unit_as_written` how.

**Apostrophes.** In the CSV files, a text that a spreadsheet program would run as a formula (one that begins with =, +, -, @, a tab or a
carriage return, and is no plain number) has an apostrophe before it, and so has a text that begins with one itself: take one leading
apostrophe away, and every text is as it was. The Parquet files hold the texts as they are.
{_LOAD if "observations" in rows else ""}"""


def citation_cff(info: Mapping[str, Any], settings: Settings) -> str:
    """The package's CITATION.cff (version 1.2.0); without authors in the settings, the program itself is named."""
    authors = authors_of(settings) or [str(info["program_name"])]
    lines = [
        "cff-version: 1.2.0",
        "message: Please cite these data as below.",
        "type: dataset",
        f"title: {_quoted(str(info['program_name']) + ': leaf water potential')}",
        f"version: {_quoted(str(info['build_id']))}",
        f"date-released: {str(info['built_at'])[:10]}",
        "authors:",
        *(f"  - name: {_quoted(name)}" for name in authors),
    ]
    if is_licence_code(settings.data_licence):
        lines.append(f"license: {_quoted(settings.data_licence)}")
    return "\n".join(lines) + "\n"


def licence_note(settings: Settings) -> str:
    """Under which terms the data may be used, as the settings state it."""
    if settings.data_licence:
        return f"These data may be used under: {settings.data_licence}\n"
    return "No licence is stated for these data. Ask their authors before you use or pass them on.\n"


def authors_of(settings: Settings) -> list[str]:
    """The names in the setting data_authors, each once."""
    return list(dict.fromkeys(name.strip() for name in settings.data_authors.split(";") if name.strip()))


def is_licence_code(text: str) -> bool:
    """True for the code of one licence of the SPDX list, such as CC-BY-4.0; anything else is for the note alone."""
    from packaging.licenses import InvalidLicenseExpression, canonicalize_license_expression

    try:
        return re.fullmatch(r"(?!LicenseRef-)[A-Za-z0-9.-]+", text) is not None and canonicalize_license_expression(text) == text
    except InvalidLicenseExpression:
        return False


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)

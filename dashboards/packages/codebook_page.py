"""The codebook as a page: what each table and column holds, for a reader with a browser and no program."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

_STYLE = """
:root { color-scheme: light dark; --ink: #1c1c1a; --paper: #fff; --line: #d8d6cf; --link: #2f6b4f; }
@media (prefers-color-scheme: dark) { :root { --ink: #e9e7e1; --paper: #181816; --line: #3b3a36; --link: #8fc9ab; } }
body { margin: 0 auto; max-width: 70rem; padding: 16px; background: var(--paper); color: var(--ink); font: 16px/1.5 sans-serif; }
h1, h2 { font-family: serif; font-weight: 600; }
h2 { margin-top: 40px; }
a { color: var(--link); }
nav ul { columns: 14rem; padding-left: 16px; }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { border-bottom: 1px solid var(--line); padding: 8px 16px 8px 0; text-align: left; vertical-align: top; font-weight: 400; }
thead th { font-weight: 600; }
code { font-size: 0.95em; overflow-wrap: anywhere; }
@media print { nav { display: none; } tr { break-inside: avoid; } }
"""


def codebook_page(info: Mapping[str, Any], says: Mapping[tuple[str, str], str], schemas: Mapping[str, Mapping[str, Any]]) -> str:
    """One self-contained HTML page; every text is escaped.

    Args:
        info: the one row of `build_info`.
        says: description by table and column, the column '' being the table itself.
        schemas: the columns of each table with their types.
    """
    title = f"Codebook: {info['program_name']}, for the {info['role']}"
    links = "".join(f'<li><a href="#{escape(table)}">{escape(table)}</a></li>' for table in schemas)
    tables = "".join(_table(table, says.get((table, ""), ""), schema) for table, schema in schemas.items())
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body><main><h1>{escape(title)}</h1>"
        f"<p>Build {escape(str(info['build_id']))} of {escape(str(info['built_at']))}. A blank cell means missing.</p>"
        f'<nav aria-label="Tables"><ul>{links}</ul></nav>{tables}</main></body></html>\n'
    )


def _table(name: str, says: str, schema: Mapping[str, Any]) -> str:
    key = schema.get("primaryKey", [])
    rows = "".join(
        f'<tr><th scope="row"><code>{escape(field["name"])}</code></th><td>{escape(field["type"])}</td>'
        f"<td>{escape(field['description'])}{' Part of the key.' if field['name'] in key else ''}</td></tr>"
        for field in schema["fields"]
    )
    head = "".join(f'<th scope="col">{heading}</th>' for heading in ("Column", "Type", "What it holds"))
    scroll = f'<div class="scroll" tabindex="0" role="region" aria-label="Columns of {escape(name)}">'
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    title = f'<h2 id="{escape(name)}">{escape(name)}</h2><p>{escape(says)}</p>'
    return f'<section aria-labelledby="{escape(name)}">{title}{scroll}{table}</div></section>'

"""Where the numbers of a report come from, and how to cite them."""

from __future__ import annotations

from collections.abc import Mapping

from dashboards.packages.texts import authors_of
from dashboards.words import listed
from ingest.settings import Settings


def came_from(info: Mapping[str, object], settings: Settings, source: str) -> list[str]:
    """Source, build, role, citation and licence, each a sentence.

    Args:
        info: the row of `build_info`.
        settings: authors and licence.
        source: a sentence on the data themselves.
    """
    built = str(info["built_at"])
    return [
        source,
        f"Build {info['build_id']} of {built[:10]} (UTC), from what is published for the {info['role']}.",
        f"To cite: {citation(info, settings)}",
        f"Licence of the data: {settings.data_licence}."
        if settings.data_licence
        else "No licence is stated for these data: ask before use.",
    ]


def citation(info: Mapping[str, object], settings: Settings) -> str:
    """One line that names authors, year, title and build; without authors in the settings, the program itself is named."""
    name = str(info["program_name"])
    authors = listed(authors_of(settings)) or name
    return f"{authors} ({str(info['built_at'])[:4]}). {name}: leaf water potential. Data set, build {info['build_id']}."

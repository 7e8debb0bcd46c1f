"""The keys of the published tables: those of the models, which their yml states, and those of the registers."""

from __future__ import annotations

from pathlib import Path

from ingest.contract import REGISTERS, contract

_MARTS = Path(__file__).with_name("models") / "marts"


def keys_of_tables() -> dict[str, tuple[str, ...]]:
    """Table to the columns that tell its rows apart, as the models are tested for."""
    import yaml

    keys: dict[str, tuple[str, ...]] = {"uploads": ("upload_id",)}
    for name in REGISTERS:
        keys[name] = tuple(column.name for column in contract()[name].columns.values() if column.key)
    for path in sorted(_MARTS.glob("*.yml")):
        for model in yaml.safe_load(path.read_text("utf-8"))["models"]:
            keys[model["name"]] = tuple(model["config"]["meta"]["key"])
    return keys

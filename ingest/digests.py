"""What stands for bytes and for what was said: SHA-256, in lower-case hexadecimal."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any


def of_file(path: Path) -> str:
    """The digest of a file's bytes, which are never held all at once."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def of_values(values: Any) -> str:
    """The digest of plain values, the same whatever the order of the keys within them."""
    return hashlib.sha256(json.dumps(values, sort_keys=True, default=str).encode()).hexdigest()

"""The words by which classes say things, read from words.toml."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from ingest.folding import fold


@cache
def words_for(what: str) -> Mapping[str, str]:
    """Every folded word of one kind (endpoint, leaf_state, answer, sampling_window, season, reading) to what it means."""
    listed = tomllib.loads(Path(__file__).with_name("words.toml").read_text("utf-8"))[what]
    return {fold(word): meaning for meaning, words in listed.items() for word in words}


def meaning_of(what: str, text: str) -> str | None:
    """What a cell's words mean, or None where they are not known."""
    return words_for(what).get(fold(text))


@cache
def remark_pattern(what: str) -> re.Pattern[str]:
    """The pattern of one kind of remark, a key of [remark] in words.toml, for folded text."""
    listed = tomllib.loads(Path(__file__).with_name("words.toml").read_text("utf-8"))["remark"][what]
    return re.compile(r"\b(?:" + "|".join(listed) + r")\b")

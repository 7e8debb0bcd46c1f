"""Folding holds for any text, not only for the spellings that somebody thought of."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from ingest.folding import fold


@given(st.text())
def test_folding_what_is_folded_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@given(st.text())
def test_case_and_spare_space_never_tell_names_apart(text: str) -> None:
    assert fold(f"  {text.casefold()}\u00a0") == fold(text)


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126)))
def test_plain_letters_fold_as_their_wide_forms_do(text: str) -> None:
    wide = "".join(chr(ord(character) + 0xFEE0) if character != " " else "\u3000" for character in text)
    assert fold(text) == fold(wide)

"""No person is named: pseudonyms are keyed, and free text keeps only words that name nobody."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from ingest.cells.people import MARK, Scrubber, pseudonym, vocabulary
from ingest.folding import fold

KEY = b"k" * 32


def test_spellings_of_one_name_have_one_pseudonym() -> None:
    spellings = ["Ann  Lee ", "ann lee", "ANN-LEE", "Ánn\u00a0Lee", "ann\u200b lee"]
    assert {pseudonym(KEY, "lab", name) for name in spellings} == {pseudonym(KEY, "lab", "ann lee")}
    assert re.fullmatch(r"obs_[0-9a-f]{12}", pseudonym(KEY, "lab", "ann lee"))


def test_names_programs_and_keys_tell_pseudonyms_apart() -> None:
    found = [pseudonym(key, program, name) for key in (KEY, b"j" * 32) for program in ("lab", "lab2") for name in ("ann", "2ann", "?", "!")]
    assert len(set(found)) == len(found)


def test_a_pseudonym_is_the_same_in_every_version() -> None:
    # HMAC-SHA256 by the openssl command: printf 'lab\0ann lee' | openssl dgst -sha256 -hmac kkkkkkkkkkkkkkkkkkkkkkkkkkkkkkkk
    assert pseudonym(KEY, "lab", "Ann Lee") == "obs_83876455b1b0"


KEPT = [
    "Leaf's tip dead, recut; bubbles from the cut at 9:30am",
    "stopped at >40 bar, no water (gauge ended)",
    "2024-09-17 08:30, 2024-09-17T08:30, 9/17/24, 17 Sep 2024, 8h30",
    "leaf3 12bar L2 3a 2nd 12½ -1.2 MPa 5.5cm² 100% ±0.5",
    "didn't see an endpoint… slipped twice, n/a, 5 a.m. or P.M.",
    "plant b at Ridge Top, will check again in may",
    "Ridge-top reading was 12345",
    "",
    "   \n",
]


@pytest.mark.parametrize("text", KEPT)
def test_ordinary_remarks_stay_as_they_are(text: str) -> None:
    kept = Scrubber(words=["Ridge top", "b"], names=["Ann Lee"]).scrub(text)
    assert kept == text.replace("…", "...")


SCRUBBED = [
    ("recut by Jim O'Brien & Zoë K. at noon", "recut by […]. at noon"),
    ("brown tip, Brown says", "[…] tip, […]"),
    ("ann.lee@school.example wrote", "[…] wrote"),
    ("call 555-123-4567 or (555) 123 4567", "[…] or […]"),
    ("id 123-45-6789, s1234567, 0012345", "id […]"),
    ("Will and Dawn read at dawn; will repeat", "[…] and […] read at dawn; will repeat"),
    ("readings_fall_2024_AnnLee.xlsx", "readings_fall_2024_[…].xlsx"),
    ("Sm\u200bith Ⓐⓝⓝ 𝐀𝐧𝐧 A\u0332n\u0332n cut it", "[…] cut it"),
    ("be\u200ban and be\u00adan", "[…] and […]"),
    ("J.L. cut a leaf", "[…]. cut a leaf"),
    ("leaf […] cut […] […]", "leaf […] cut […]"),
    ("１２３４５６ and ①②③④⑤⑥", "[…] and […]"),
    ("李小龍 cut", "[…] cut"),
]


@pytest.mark.parametrize(("text", "expected"), SCRUBBED)
def test_what_could_name_a_person_becomes_a_mark(text: str, expected: str) -> None:
    assert Scrubber(names=["Ann Brown"]).scrub(text) == expected


def test_words_of_registers_stay_unless_an_observer_is_called_so() -> None:
    assert Scrubber(words=["Hackberry hollow", "Will's plot"]).scrub("Will read at Hackberry Hollow") == "Will read at Hackberry Hollow"
    assert Scrubber(words=["Hackberry hollow"], names=["H. Hollow"]).scrub("at Hackberry Hollow") == "at Hackberry […]"


letters = st.text(st.characters(categories=["L"]), min_size=1, max_size=12)
names = st.lists(letters, min_size=1, max_size=3).map(" ".join)
remarks = st.lists(st.sampled_from(sorted(word for word in vocabulary()[0] if word.isalpha())), max_size=5).map(" ".join)
glue = st.sampled_from([" ", ", ", "-", "_", "/", ".", "\u00a0", "'", "\n", " by "])


def tokens(text: str) -> set[str]:
    """The folded words of a text, taken apart wherever no letter or digit stands."""
    return set(fold(text.replace("_", " ")).split())


@given(names, remarks, remarks, glue)
@example("May Brown", "leaf cut", "again", " ")
@example("ǅabc", "leaf", "cut", "_")
def test_no_word_of_an_observers_name_survives(name: str, before: str, after: str, between: str) -> None:
    scrubbed = Scrubber(names=[name]).scrub(before + between + name + between + after)
    assert not tokens(scrubbed) & tokens(name)


@given(names, remarks, glue)
def test_no_word_of_a_name_that_nobody_announced_survives(name: str, remark: str, between: str) -> None:
    unknown = tokens(name) - vocabulary()[0]
    assume(unknown)
    assume(not re.search(r"\b[ap]\.m\b", f"{remark}{between}{name}{between}{remark}".casefold()))  # a clock's a.m., and nobody
    assert not tokens(Scrubber().scrub(remark + between + name + between + remark)) & unknown


@given(remarks, st.emails(), glue)
def test_no_address_survives(remark: str, address: str, between: str) -> None:
    scrubbed = Scrubber().scrub(f"{remark} {address} {remark}")
    assert address not in scrubbed
    assert "@" not in scrubbed


@given(st.integers(100_000, 10**10).map(str), st.sampled_from(["", "s", "A", "id", "leaf", "no."]), st.sampled_from(["", "x", " bar", "-"]))
def test_no_student_number_survives(number: str, before: str, after: str) -> None:
    assert number not in Scrubber().scrub(f"reading {before}{number}{after} cut")


@given(st.text())
def test_scrubbing_what_is_scrubbed_changes_nothing(text: str) -> None:
    scrubber = Scrubber(names=["Ann Lee"])
    assert scrubber.scrub(scrubber.scrub(text)) == scrubber.scrub(text)
    assert MARK * 2 not in scrubber.scrub(text)


def test_two_hundred_thousand_cells_take_seconds() -> None:
    scrubber = Scrubber(words=["Ridge top"], names=["Ann Lee"])
    cells = [f"leaf {number} slipped at {number % 97}.5 bar" for number in range(40_000)] + ["Ridge top", "2024-09-17"] * 80_000
    start = time.process_time()
    for cell in cells:
        scrubber.scrub(cell)
    assert time.process_time() - start < 5


def test_the_vocabulary_holds_the_lab_and_no_common_given_name() -> None:
    words, lower_only = vocabulary()
    assert {"leaf", "bubbles", "psi", "recut", "slipped", "tuesday", "seven", "drizzle", "brown", "petiole"} <= words
    assert {"may", "april", "june", "august", "will", "dawn", "young"} <= lower_only <= words
    assert len(words) > 500
    # Given names that are also English words, and common ones that are not (chosen by hand).
    given = "ann anna ben bill bob carol chase clay dale daisy drew emma frank gene grace grant hazel heather holly ivy jack john juan lily"
    assert not words & set(f"{given} mark mary maria mike olive pat penny ray rob robin rose sage sarah sue tom violet".split())
    assert (Path(__file__).parents[2] / "ingest" / "cells" / "vocabulary.txt").is_file()

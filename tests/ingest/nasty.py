"""Cells of the worst kind that classes, programs and enemies write, for the fuzzers."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta
from datetime import time as clock

from ingest.files.containers import CellValue
from tests.ingest.fuzzing import NAMES

NUMBERS = (
    "18", "18.5", "18,5", "1,234", "1.234,5", "1 234", "1'234", "0", "-0", "-3", "−3", "(18)", "+18", ".5", "18.", "1e1", "1e400", "1e-9",
    "0x12", "1_8", "１８", "٣", "½", "12½", "18²", "l8", "1O", "O", "1.2.3", "1,2,3", "--3", "18-19", "18 19", "18/19", "18..5", "00018",
    "999999999999", "9" * 400, "0." + "0" * 300 + "1", "nan", "inf", "-inf", "Infinity", "NaN", "None", "TRUE", "18%",
    "$18", "#18", "1 8",
)  # fmt: skip
AROUND = ("", "", "", "", "~{}", "≈{}", ">{}", "<{}", "≥ {}", "{}+", "{}?", "{} ?", "{}*", "({})", "'{}", "={}", "{} bar", "{}psi",
          "{} MPa", "{}kPa", "{} atm", "bar {}", "{} bars?", "{} (psi)", "no bubbles by {}", "{} or so", "ca. {}", "{}, recut", "{} dead",
          "{}\n{}", "{} bar 20 psi", "max {}", "{} @ 13:05", "over {}", "was {}", "not {}", "not {} but 12",
          "{} [{}]", "leaf {}", "{} x 2")  # fmt: skip
WORDS = (
    "", " ", "\u00a0", "\u200b", "\u202e18\u202c", "\ufeff", "\x00", "\x1b[2J", "\t", "\n", "-", "–", '"', "ditto",
    "″", "n/a", "NA", "NR",
    "mean", "Average", "Total", "SD", "Date", "Site", "Pressure (psi)", "Notes:", "* typed late", "off scale", "max", "no water", "lost",
    "dead?", "brown", "recut", "leaf broke", "slipped", "see back", "same", "site: ridge", "Ridge top", "Section A", "ange", "grass",
    "ange / codr", "predawn", "midday", "noon", "13:05", "1:05", "25:99", "0.5", "1305", "13.05", "1:05 pm", "9/17/24",
    "17/9/2024", "31/12/9999",
    "0000-00-00", "2024-02-30", "Sep 17", "45552", "-1", "1900-01-00", "yesterday", "=1+1", "=cmd|' /C calc'!A0",
    "@SUM(A1)", "+1", "%s%n{0}",
    "<script>alert(1)</script>", "'; DROP TABLE x; --", "../../etc/passwd", "C:\\x", "\\", "{", "}", "{value}", "[x",
    "(", "a" * 300, "w" * 10_000,
    "1" * 10_000, "1," * 3_000, " " * 5_000 + "18", "((" * 2_000, "é" * 100, "葉", "\U0001f343", "Ψ", "psi", "bar", "MPa",
)  # fmt: skip
TYPED: tuple[CellValue, ...] = (
    0, -0.0, 18, 18.5, -18.5, 1e-300, 1e300, float("nan"), float("inf"), -float("inf"), 2**70, True, False, date(2024, 9, 17),
    datetime(2024, 9, 17, 13, 5), datetime(1899, 12, 30), datetime(1904, 1, 1), date(1, 1, 1), date(9999, 12, 31),
    clock(13, 5), clock(0, 0),
    timedelta(hours=13, minutes=5), timedelta(days=-3), timedelta(days=900_000), 45552.0, 0.5451388, 1305, 13.05, None,
)  # fmt: skip


def nasty(chance: random.Random) -> CellValue:
    """A cell of the worst kind."""
    kind = chance.random()
    if kind < 0.45:
        around = chance.choice(AROUND)
        number = chance.choice(NUMBERS) if chance.random() < 0.7 else f"{chance.uniform(-5, 60):.{chance.randrange(4)}f}"
        return around.replace("{}", number) if around else number
    if kind < 0.75:
        return chance.choice(WORDS)
    if kind < 0.88:
        return chance.choice(TYPED)
    if kind < 0.95:
        name = chance.choice(NAMES).capitalize()
        return chance.choice(("{}", "{} 18", "18 {}", "recut by {}", "{}@school.example", "site {}", "{}'s leaf", "18 ({})")).format(name)
    return "".join(chance.choice("0189.,-+<>~?/ :barpsiMPa()=@\"'\n\u00a0%") for _ in range(chance.randrange(1, 12)))

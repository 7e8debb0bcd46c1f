"""Spoilt bytes and traps among weather files: an error by name or a receipt that adds up, numbers that are numbers, days that were."""

from __future__ import annotations

import datetime as dt
import pickle
import random
import time
from collections import Counter
from typing import Any

import pytest

from ingest.checking import Asked, Checked, check_bytes
from ingest.contract import contract
from ingest.errors import FileUnreadable
from ingest.files.limited import in_limits
from ingest.home import Home
from ingest.weather import records as weather
from ingest.weather.checks import FIRST_DAY
from ingest.weather.opening import MOST_ENTRIES, looks_like_weather, work
from tests.ingest.fuzzing import NAMES
from tests.ingest.mutations import spoil
from tests.ingest.weather_records import by_station, dly

CASES, TOGETHER = 400, 100
SLOWEST_SECONDS = 60
DAYS = [dt.date(2023, 1, 1) + dt.timedelta(days=number) for number in range(60)]
CELLS = (
    "9" * 400, "-" + "9" * 5000, "1e400", "inf", "nan", "-inf", "1e-400", "0." + "0" * 400 + "1", "١٢", "1_0", "", " ", "\x00", "\x1b[2J",
    "0001-01-01", "00010101", "99991231", "9999-12-31", "0000-00-00", "2023-02-30", "-5", "T", "M", "T,X,7,0700", '"', '""',
    "'", "=1+1", ",,,,", "\u202e1", "é" * 300, "a" * 5000, "\n", "\r", " " * 5000, f"asked {NAMES[0].capitalize()}",
    f"{NAMES[0]}@school.example", "MDPR", "DAPR", "XXXX",
)  # fmt: skip
MONTHS = ("202301", "202302")
WHOLE = (
    "\n".join(dly(element, month, ["   50  7", "    0T 7", "-9999   "] * 9) for month in MONTHS for element in ("PRCP", "TMAX")),
    by_station(*(f"{day:%Y%m%d},{element},{number},,,7,0700" for number, day in enumerate(DAYS) for element in ("PRCP", "TMIN"))),
    "gauge,date,rain (mm),tmax (C),tmin (F)\n"
    + "".join(f"ZZ000000001,{day},{number / 4},{number % 30},20\n" for number, day in enumerate(DAYS)),
    "Hut\n\nDate;Rain (in);PRCP_ATTRIBUTES\n" + "".join(f"{day:%d.%m.%Y};0,{number:02};,,7\n" for number, day in enumerate(DAYS)),
)


def spoilt(seed: int) -> bytes:
    """A weather file with bytes or cells spoilt."""
    chance = random.Random(seed)  # noqa: S311  # a seed makes the same case every time; nothing is secret
    text = WHOLE[seed % len(WHOLE)]
    if chance.random() < 0.6:
        lines = text.split("\n")
        for _ in range(chance.choice((1, 2, 5))):
            at = chance.randrange(1, len(lines))
            mark = ";" if ";" in lines[at] else ","
            cells = lines[at].split(mark)
            cells[chance.randrange(len(cells))] = chance.choice(CELLS)
            lines[at] = mark.join(cells)
        text = "\n".join(lines)
    encoding = chance.choice(("utf-8", "utf-8", "utf-16", "utf-8-sig"))
    data = text.encode(encoding)
    return spoil(data, chance) if chance.random() < 0.6 else data


def complaints(found: Checked) -> list[str]:
    """What is wrong with an answer."""
    counts, columns, said = found.receipt.rows, found.columns, []
    if not counts["in_file"] == counts["accepted"] + counts["flagged"] + counts["set_aside"] == len(columns["status"]):
        said.append(f"the rows do not add up: {counts}")
    limits = contract()["weather"].columns
    for name in ("amount_mm", "temperature_c", "days"):
        low, high = limits[name].minimum, limits[name].maximum
        assert low is not None
        assert high is not None
        for value, status in zip(columns[name], columns["status"], strict=True):
            if value is not None and not (low <= value <= high if status != "set_aside" else abs(value) < 1e12):
                said.append(f"{name} is {value}, {status}")
    loaded = [day for day, status in zip(columns["date"], columns["status"], strict=True) if status != "set_aside"]
    said.extend(f"{day} is loaded" for day in loaded if day is None or not FIRST_DAY <= day <= dt.datetime.now(dt.UTC).date())
    receipt = found.receipt.as_text()
    said.extend(f"{control!r} is printed" for control in "\x00\x07\x1b\u202e" if control in receipt)
    # A question about an unknown gauge has to repeat what stands there.
    texts = [] if any(problem.code == "gauge_unknown" for problem in found.receipt.problems) else [receipt, str(columns)]
    said.extend("a name is kept or printed" for text in texts if NAMES[0] in text.casefold())
    return said


@pytest.mark.parametrize("start", range(0, CASES, TOGETHER))
def test_spoilt_weather_gives_an_error_by_name_or_a_receipt_that_adds_up(start: int, lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    seeds, told, outcomes = range(start, start + TOGETHER), [], Counter[str]()
    files = [spoilt(seed) for seed in seeds]
    answers = in_limits("tests.ingest.open_many_weather", pickle.dumps(files), "gauge")
    for seed, data, answer in zip(seeds, files, answers, strict=True):
        outcomes["refused" if isinstance(answer, str) else "opened"] += 1
        if isinstance(answer, str):
            told.extend([] if len(answer) > 30 else [f"seed {seed}: an error that says too little: {answer}"])
            continue
        monkeypatch.setattr(weather, "in_limits", lambda *_, answer=answer: answer)
        told.extend(f"seed {seed}: {said}" for said in complaints(check_bytes(lab, data, "gauge", Asked(kind="weather", gauge="hut"))))
    assert not told, "\n".join(told)
    assert outcomes["opened"] > TOGETHER / 2  # else nothing was tried behind the opening


HEADER = b"date,rain (mm)\n"
TRAPS: dict[str, tuple[bytes, str | None]] = {
    "a line of ten million characters": (HEADER + b"2023-01-01,1\n2023-01-02," + b"1" * 10_000_000, "cannot be split"),
    "a line of ten million characters, and nothing else": (b"1," * 5_000_000, "no weather record"),
    "nothing but zero bytes": (bytes(1_000_000), "no weather record"),
    "zero bytes in every line": (HEADER + b"2023-01-01,\x001\x00\n" * 1000, None),
    "numbers of 400 digits": (HEADER + b"2023-01-01," + b"9" * 400 + b"\n2023-01-02,1\n", None),
    "numbers of 400 digits in a record": (b"ZZ000000001,20230101,PRCP," + b"9" * 5000 + b",,,7,\nZZ000000001,20230102,PRCP,5,,,7,\n", None),
    "days of the year 1 and of 9999": (HEADER + b"0001-01-01,1\n1066-10-14,1\n9999-12-31,1\n2023-01-01,2\n", None),
    "cells of thirty thousand blanks": (HEADER + (b"2023-01-01" + b" " * 15_000 + b"x," + b" " * 15_000 + b"1\n") * 100, None),
    "a quotation mark that never closes": (HEADER + b'2023-01-01,"' + b"2023-01-02,1\n" * 900_000, "quotation mark"),
    "a hundred thousand stations": (b"".join(b"ZZ%09d,20230101,PRCP,5,,,7,\n" % number for number in range(100_000)), None),
    "a hundred thousand elements": (
        b"".join(b"ZZ000000001,20230101,PRCP,5,,,7,\n" * 2 + b"ZZ000000001,20230101,%06d,5,,,7,\n" % number for number in range(100_000)),
        None,
    ),
    "fifty megabytes of a record": (b"ZZ000000001,20230101,PRCP,5,,,7,\n" * 1_500_000, f"more than {MOST_ENTRIES:,} entries"),
    "fifty megabytes of a table": (HEADER + b"2023-01-01,1\n" * 3_900_000, f"more than {MOST_ENTRIES:,} entries"),
    "fifty megabytes of fixed columns": (
        (dly("PRCP", "202301", ["   50  7"] * 31) + "\n").encode() * 185_000,
        f"more than {MOST_ENTRIES:,} entries",
    ),
}


@pytest.mark.parametrize("case", TRAPS)
def test_a_weather_file_that_is_a_trap_is_named_or_read_within_limits(case: str, lab: Home) -> None:
    data, words = TRAPS[case]
    started, asked = time.monotonic(), Asked(kind="weather", gauge="hut")
    if words is None:
        assert not complaints(check_bytes(lab, data, "gauge.csv", asked))
    else:
        with pytest.raises(FileUnreadable, match=words):
            check_bytes(lab, data, "gauge.csv", asked)
    assert time.monotonic() - started < SLOWEST_SECONDS


@pytest.mark.parametrize(
    "data", [*(data for data, _ in TRAPS.values()), b"date," + b" " * 60_000 + b"rain (mm)\n1,1\n"], ids=[*TRAPS, "a header of blanks"]
)
def test_a_glance_tells_whether_a_trap_may_be_weather(data: bytes) -> None:
    started = time.process_time()
    looks_like_weather(data)
    assert time.process_time() - started < 1


def test_a_record_opened_in_its_own_process_is_the_one_opened_here(lab: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    for text in WHOLE:
        asked = Asked(kind="weather", gauge="hut")
        outside = check_bytes(lab, text.encode(), "gauge", asked)
        with monkeypatch.context() as patch:
            patch.setattr(weather, "in_limits", lambda _, data, name: work(data, name))
            here: Any = check_bytes(lab, text.encode(), "gauge", asked)
        assert outside.columns == here.columns
        assert outside.receipt.as_text() == here.receipt.as_text()
        assert outside.receipt.rows["accepted"]

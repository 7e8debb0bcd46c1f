"""Make the demo's years: weather record, class files, registers and the order of loading. The same bytes every time.

Run `python -m demo_years.make` to write them where they are kept, or with `--to DIR` elsewhere.
"""

from __future__ import annotations

import argparse
import shutil
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from demo_years.bad_upload import FILE as BAD_FILE
from demo_years.bad_upload import draft_sheets
from demo_years.chance import stream
from demo_years.classes import make_section
from demo_years.learning_files import LearningFile, learning_files
from demo_years.plants import Meadow
from demo_years.readings import Reading, mistyped, read_section
from demo_years.records import plain_table, station_file
from demo_years.shapes import ClassFile, Placed, Sheet, Truth, lay_out
from demo_years.vocabulary import REGISTERS, Vocabulary, register_rows
from demo_years.weather import Day, simulate
from demo_years.writers import ods_bytes, text_bytes, xlsx_bytes

HERE = Path(__file__).parent
LEARNING = "learning"
STATION_FILE = "weather/thessowin_hut_1991-2020.dly"
TABLE_FILE = "weather/thessowin_hut_2020-2025.csv"


@dataclass(frozen=True)
class Years:
    """Everything that is simulated: the weather, and each class file's sheets and readings."""

    days: list[Day]
    files: dict[str, tuple[ClassFile, list[Sheet], list[Placed]]]
    draft: list[Sheet]


@cache
def class_files() -> tuple[ClassFile, ...]:
    """The class files as class_files.toml describes them, in the order in which they came in."""
    raw = tomllib.loads((HERE / "class_files.toml").read_text("utf-8"))["file"]
    made = []
    for entry in raw:
        facts: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()}
        facts["columns"] = tuple(entry["columns"].items())
        made.append(ClassFile(**facts))
    return tuple(made)


@cache
def years() -> Years:
    """Simulate it all; about two seconds."""
    days = simulate(stream("weather"))
    meadow, words = Meadow(days), Vocabulary()
    sections = [(row["semester"], row["section"]) for row in register_rows("sections")]
    files: dict[str, tuple[ClassFile, list[Sheet], list[Placed]]] = {}
    for shape in class_files():
        of_three = (shape.semester, "c") in sections
        readings: dict[str, list[Reading]] = {}
        for code in shape.sections:
            section = make_section(shape.semester, code, is_one_of_three=of_three)
            rng = stream(f"readings {shape.semester} {code}")
            taken = read_section(section, words.chamber(shape.chamber), meadow, rng)
            readings[code] = mistyped(taken, *shape.swapped_sites) if shape.swapped_sites else taken
        files[shape.file] = (shape, *lay_out(shape, readings, words))
    last = next(placed for shape, _, placed in files.values() if shape.file == "Fall 2025 Section A.xlsx")
    return Years(days, files, draft_sheets([one.reading for one in last], words))


def truth() -> list[Truth]:
    """One mapping per reading of each class file, in the order of the files: what a careful reader makes of that file.

    Keys: file, sheet, row (from 1), semester, section, date, time_read (None where the file has no clock), window, site, taxon,
    plant, leaf, written (the cell as text), unit, quantity, balance_pressure_mpa (None: nothing written; for `not_reached` the
    limit), endpoint, leaf_state, observer, remark. The file that a corrected one replaces is there too, with its mistakes.
    """
    rows = []
    for file, (shape, _, placed) in years().files.items():
        has_clock = any(field == "time_read" for _, field in shape.columns)
        for one in placed:
            visit = one.reading.visit
            rows.append(
                {
                    "file": file,
                    "sheet": one.sheet,
                    "row": one.row,
                    "semester": visit.section.semester,
                    "section": visit.section.section,
                    "date": visit.day,
                    "time_read": visit.time_read if has_clock else None,
                    "window": visit.window,
                    "site": visit.site,
                    "taxon": visit.taxon,
                    "plant": str(visit.plant),
                    "leaf": str(visit.leaf),
                    "written": one.written,
                    "unit": one.reading.chamber.unit,
                    "quantity": shape.quantity,
                    "balance_pressure_mpa": one.reading.balance_pressure_mpa,
                    "endpoint": one.reading.endpoint,
                    "leaf_state": one.reading.leaf_state,
                    "observer": visit.observer.name,
                    "remark": one.reading.remark,
                }
            )
    return rows


def file_bytes(shape: ClassFile | LearningFile, sheets: list[Sheet]) -> bytes:
    """A file of a class in the format that its name says."""
    if shape.file.endswith(".xlsx"):
        return xlsx_bytes(sheets)
    if shape.file.endswith(".ods"):
        return ods_bytes(sheets)
    return text_bytes(sheets[0], delimiter="\t" if shape.file.endswith(".tsv") else ",", encoding=shape.encoding)


def load_order() -> str:
    """The order in which the files came in, as TOML: file, arguments of the load, and what becomes of it."""
    lines = ["# Made by `python -m demo_years.make`: the files in the order in which they are loaded."]
    entries: list[tuple[str, str | None, str]] = [(STATION_FILE, None, "accepted"), (TABLE_FILE, None, "accepted")]
    entries += [(shape.file, shape.replaces, "accepted") for shape in class_files()]
    entries += [(f"{LEARNING}/{one.file}", None, "accepted") for one in learning_files()]
    entries.append((BAD_FILE, None, "refused"))
    for file, replaces, expect in entries:
        lines += ["", "[[load]]", f'file = "{file}"', *([f'replaces = "{replaces}"'] if replaces else []), f'expect = "{expect}"']
    return "\n".join(lines) + "\n"


def make(to: Path) -> list[Path]:
    """Write files/, registers/, facts.toml and load_order.toml under a folder; the paths written, in order."""
    made = years()
    contents = {f"files/{file}": file_bytes(shape, sheets) for file, (shape, sheets, _) in made.files.items()}
    contents[f"files/{STATION_FILE}"] = station_file(made.days)
    contents[f"files/{TABLE_FILE}"] = plain_table(made.days)
    contents[f"files/{BAD_FILE}"] = xlsx_bytes(made.draft)
    contents |= {f"files/{LEARNING}/{one.file}": file_bytes(one, one.sheets) for one in learning_files()}
    contents["load_order.toml"] = load_order().encode("utf-8")
    for name, content in contents.items():
        path = to / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    written = [to / name for name in contents]
    if to.resolve() != HERE:
        (to / "registers").mkdir(exist_ok=True)
        for source in [*sorted(REGISTERS.glob("*.csv")), HERE / "facts.toml"]:
            written.append(to / source.relative_to(HERE))
            shutil.copyfile(source, written[-1])
    return written


def main() -> None:
    """Write the demo's years."""
    parser = argparse.ArgumentParser(description="Make the demo's files, the same bytes every time.")
    parser.add_argument("--to", type=Path, default=HERE, help="folder to write to (default: where the demo is kept)")
    make(parser.parse_args().to)


if __name__ == "__main__":
    main()

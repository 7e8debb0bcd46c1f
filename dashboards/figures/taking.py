"""What a reader takes along of a view: exactly what is drawn as a CSV, the picture, and the scripts that redraw it.

The picture is drawn by the very script that the reader is given (`redraw.py`), from the very rows of the CSV.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboards.figures import marks
from dashboards.figures.redraw import INK, plain, redraw
from dashboards.packages.tables import guarded
from dashboards.words import sentence

if TYPE_CHECKING:
    import pandas as pd

    from dashboards.answer import Answer
    from dashboards.figures.panel import Panel

COLUMNS = (
    *(
        "panel",
        "title",
        "place",
        "layer",
        "x",
        "y",
        "x_end",
        "y_end",
        "date",
        "shape",
        "size",
        "colour",
        "opacity",
        "is_bound",
        "piece",
        "says",
    ),
)
HERE = Path(__file__).parent
Row = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """One way to take a figure: what the link says, the file's ending and type, and how it is made of the rows."""

    words: str
    ending: str
    media_type: str
    make: Callable[[Any], bytes]


def rows_of(answer: Answer, *, beside: bool) -> list[Row]:
    """Everything that an answer draws, one row each, in the order in which it is drawn.

    Args:
        answer: a drawn view.
        beside: whether its panels stand beside each other, or one below the other.
    """
    place = "beside" if beside else "below"
    rows: list[Row] = [
        {"place": place, "layer": layer, "says": says} for layer, says in (("heading", answer.title), ("note", _note(answer)))
    ]
    for panel in answer.panels:
        where = {"panel": panel.name, "title": panel.title, "place": "below" if panel.is_wide else place}
        rows += [where | row for row in _panel_rows(panel)]
    return rows


def _note(answer: Answer) -> str:
    """What stands under the figure: quantity and unit, the shapes in words, how many."""
    shapes = {shape for panel in answer.panels for shape in panel.layers["marks"]["shape"]}
    keys = [f"{shape.replace('_', ' ')}: {position}" for position, shape in marks.POSITION_SHAPES.items() if shape in shapes]
    return " ".join(filter(None, [answer.source, f"{sentence('; '.join(keys))}." if keys else "", answer.counts]))


def _panel_rows(panel: Panel) -> Iterator[Row]:
    def at(x: float) -> Row:
        return {"x": x, "date": _day(x)} if panel.is_on_time else {"x": x}

    (left, right), (bottom, top) = panel.x_range, panel.y_range
    yield {"layer": "range", "x": left, "x_end": right, "y": bottom, "y_end": top}
    yield from ({"layer": "x_tick", **at(x), "says": words} for x, words in panel.x_ticks.items())
    for y, words in panel.y_ticks.items():
        yield {"layer": "y_tick", "y": y, "says": f"{words}  ({panel.beside[y]})" if panel.beside else words}
    for block in _each(panel.layers["blocks"]):
        ends = {"x_end": block["right"], "y": block["bottom"], "y_end": block["top"]}
        yield {"layer": "block", **at(block["left"]), **ends, "colour": block["colour"], "opacity": block["alpha"], "says": block["says"]}
    for piece, line in enumerate(_each(panel.layers["model_lines"]), start=1):
        look = {"size": line["width"], "colour": line["colour"], "piece": piece}
        yield from ({"layer": "model", **at(x), "y": y, **look} for x, y in zip(line["xs"], line["ys"], strict=True))
    for name in ("bars", "ink_bars"):
        for bar in _each(panel.layers[name]):
            ends = {"x_end": bar["x1"], "y": bar["y0"], "y_end": bar["y1"]}
            yield {"layer": "line", **at(bar["x0"]), **ends, "size": bar["width"], "colour": bar.get("colour", INK)}
    for name in ("marks", "ink_marks"):
        for mark in _each(panel.layers[name]):
            look = {"shape": mark["shape"], "size": mark["size"], "colour": mark.get("colour", INK), "says": mark["says"]}
            opacity, is_bound = mark.get("line_alpha", mark.get("alpha")), mark.get("fill_alpha") == 0.0
            yield {"layer": "mark", **at(mark["x"]), "y": mark["y"], **look, "opacity": opacity, "is_bound": is_bound}
    yield from ({"layer": "word", **at(word["x"]), "y": word["y"], "says": word["text"]} for word in _each(panel.layers["words"]))


def _each(layer: Mapping[str, list[Any]]) -> Iterator[Row]:
    names = list(layer)
    return (dict(zip(names, values, strict=True)) for values in zip(*layer.values(), strict=True))


def _day(ms: float) -> str:
    return (dt.date(1970, 1, 1) + dt.timedelta(days=ms // marks.DAY_MS)).isoformat()


def csv_of(rows: list[Row]) -> bytes:
    """The rows as CSV, in UTF-8 with its mark, so that a spreadsheet program reads the minus signs too."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([_written(row.get(name)) for name in COLUMNS] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def _written(value: Any) -> Any:
    return str(value).lower() if isinstance(value, bool) else _safe(value)


def _safe(value: Any) -> Any:
    return guarded(value) if isinstance(value, str) else value


def _picture(rows: list[Row], kind: str) -> bytes:
    import matplotlib as mpl

    read = plain(io.StringIO(csv_of(rows).decode("utf-8-sig")))
    out = io.BytesIO()
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "tautleaf"}):  # text stays text, the same figure the same file
        redraw(read).savefig(out, format=kind, dpi=200, metadata={"Date": None} if kind == "svg" else None)
    return out.getvalue()


KINDS: Mapping[str, Kind] = {
    "picture": Kind("Picture (PNG)", "png", "image/png", lambda rows: _picture(rows, "png")),
    "drawing": Kind("Drawing (SVG)", "svg", "image/svg+xml", lambda rows: _picture(rows, "svg")),
    "numbers": Kind("What is drawn (CSV)", "csv", "text/csv; charset=utf-8", csv_of),
    "python": Kind("Python script", "py", "text/x-python; charset=utf-8", lambda rows: (HERE / "redraw.py").read_bytes()),
    "r": Kind("R script", "R", "text/plain; charset=utf-8", lambda rows: (HERE / "redraw.R").read_bytes()),
}
"""How a figure can be taken, in the order in which it is offered."""


def _rows_csv(frame: pd.DataFrame) -> bytes:
    safe = frame.map(_safe).rename(columns=guarded)  # the reader's own SQL may name a column anything
    return str(safe.to_csv(index=False, lineterminator="\n")).encode("utf-8-sig")


def _parquet(frame: pd.DataFrame) -> bytes:
    import tempfile

    import duckdb

    with tempfile.TemporaryDirectory() as folder, duckdb.connect() as connection:
        path = Path(folder, "rows.parquet")
        connection.from_df(frame).write_parquet(str(path))
        return path.read_bytes()


TABLE_KINDS: Mapping[str, Kind] = {
    "rows": Kind("CSV", "csv", "text/csv; charset=utf-8", _rows_csv),
    "parquet": Kind("Parquet", "parquet", "application/vnd.apache.parquet", _parquet),
}
"""How the rows that a question found can be taken."""

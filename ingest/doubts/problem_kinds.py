"""The kinds of problem: every code once, with its severity, its message and what to do.

`flag`: the row is loaded and carries the code; `set_aside`: the row is kept, but not loaded; `refuse`: the file is not
loaded until somebody has answered. `usable` says whether a flagged reading still counts in summaries.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ingest.doubts.refusals import REFUSALS

Severity = Literal["flag", "set_aside", "refuse"]


@dataclass(frozen=True)
class ProblemKind:
    """One code: its severity, whether a flagged row stays usable, its message, what to do, and what is asked of the user."""

    severity: Severity
    message: str
    suggestion: str
    usable: bool = True
    structural: bool = False
    ask: str = ""


def _flag(message: str, suggestion: str, usable: bool = True) -> ProblemKind:
    return ProblemKind("flag", message, suggestion, usable)


def _aside(message: str, suggestion: str, structural: bool = False) -> ProblemKind:
    return ProblemKind("set_aside", message, suggestion, usable=False, structural=structural)


def _refuse(message: str, suggestion: str, ask: str = "") -> ProblemKind:
    return ProblemKind("refuse", message, suggestion, usable=False, ask=ask)


KINDS: Mapping[str, ProblemKind] = {
    # Rows that are no data: kept, so that every row of a file is accounted for.
    "title_row": _aside("text above a table", "nothing to do", structural=True),
    "header_row": _aside("header of a table", "nothing to do", structural=True),
    "blank_row": _aside("blank row", "nothing to do", structural=True),
    "summary_row": _aside("average, total or other summary of the rows above", "nothing to do", structural=True),
    "note_row": _aside("note or legend outside a table", "nothing to do", structural=True),
    "heading_row": _aside("heading of the rows below it", "nothing to do", structural=True),
    "sheet_left_out": _aside("row of a sheet that the recipe leaves out", "nothing to do", structural=True),
    # Readings without a value that can be used.
    "reading_missing": _aside("no reading in this row", "load a corrected file if there was one"),
    "reading_unreadable": _aside("{value} is no number that can be read", "write one number, with its unit if the column has none"),
    "reading_absurd": _aside("{value} is beyond any chamber", "look whether the unit or a decimal point went wrong"),
    "unit_missing_here": _aside("this number has no unit while others in the column have one", "write the unit beside the number"),
    "unit_unknown_here": _aside("the unit {value} is not known", "use MPa, bar, psi, kPa, atm or kgf/cm2"),
    "negative_pressure": _aside(
        "{value} is negative in a column of pressures", "if it is a potential, write it as a pressure in a corrected file"
    ),
    "positive_potential": _aside(
        "{value} is above zero in a column of potentials, and no water potential is",
        "if the minus sign was left out, write it in a corrected file",
    ),
    "above_chamber_maximum": _aside(
        "{value} is above the highest pressure of chamber {chamber}, {limit}", "look at the unit and at the chamber's row in chambers.csv"
    ),
    "bound_without_limit": _aside(
        "no endpoint was reached, and the pressure at which the class stopped is not written",
        "write that pressure, for example >40, or name the chamber so that its maximum is known",
    ),
    "upper_bound": _aside("{value} says only that the pressure was below a value", "write the reading, or leave the row aside"),
    # Rows that cannot be placed.
    "date_missing": _aside("no date", "write the date of the reading"),
    "date_unreadable": _aside("{value} is no date that can be read", "write the date as YYYY-MM-DD"),
    "date_outside_semester": _aside(
        "{value} is outside the semester {semester} ({start} to {end})", "correct the date, or the semester's days in semesters.csv"
    ),
    "date_in_no_semester": _aside("{value} lies in no semester of semesters.csv", "correct the date, or add the semester"),
    "weather_before_gauges": _aside("{value} is before rain was read from gauges day by day", "correct the year"),
    "date_in_future": _aside("{value} is still to come", "correct the date"),
    "date_maybe_turned": _aside(
        "{value} may have its day and month turned: the program made a date of it, and left others as text", "write all dates as text"
    ),
    "site_missing": _aside("no site", "write the site"),
    "site_set_aside": _aside("the recipe sets the site {value} aside", "nothing to do"),
    "taxon_missing": _aside("no plant name", "write the plant's name"),
    "taxon_set_aside": _aside("the recipe sets the plant name {value} aside", "nothing to do"),
    "section_missing": _aside("no section", "write the lab section"),
    "row_repeated": _aside("the same leaf with the same reading as row {other}", "nothing to do if it was typed twice"),
    "row_shifted": _aside(
        "more cells than the header: a comma within a number or a text may have shifted them", "write decimal points, or quote the text"
    ),
    "contract_broken": _aside("{value} is not allowed here: {allowed}", "correct the cell"),
    # Doubts: loaded, but out of the summaries.
    "unit_doubt": _flag(
        "{value} {unit} would be a potential of {mpa} MPa; as {other_unit} it would be {other_mpa} MPa",
        "if the unit is wrong, say so in the recipe or correct the cell",
        usable=False,
    ),
    "endpoint_doubtful": _flag("the endpoint is doubtful: {value}", "nothing to do: it stays out of the means", usable=False),
    "reading_taken_back": _flag("the remark takes the number back: {value}", "settle it in a corrected file", usable=False),
    "reading_not_usable": _flag("the file says that the reading does not count", "nothing to do: it stays out of the means", usable=False),
    "reading_zero": _flag(
        "a pressure of zero is hardly a reading: a blank may have become 0", "leave the cell blank where nothing was read", usable=False
    ),
    "tag_turned_into_date": _flag(
        "{value} is a date where a plant or leaf is numbered: a spreadsheet program turned it into one",
        "write the tag as text",
        usable=True,
    ),
    "leaf_recut": _flag("the leaf was cut again: {value}", "nothing to do: it stays out of the means", usable=False),
    "remark_against_reading": _flag(
        "the remark says no endpoint by {limit}, and the reading is {value}", "settle it in a corrected file", usable=False
    ),
    "remark_names_another": _flag(
        "the remark names another number or unit than the reading, which is {reading}: {value}",
        "settle it in a corrected file",
        usable=False,
    ),
    "remark_unread": _flag(
        "the remark is not understood: {value}", "look whether the reading counts; it does until a corrected file says otherwise"
    ),
    "unit_against_column": _flag("{value} names its own unit, and the column is in {unit}", "nothing to do: the cell's own unit was used"),
    "leaf_senesced": _flag("the leaf was dead or senesced: {value}", "nothing to do: it stays out of the means", usable=False),
    "leaf_state_doubtful": _flag("the leaf may have been dead: {value}", "settle it in a corrected file", usable=False),
    "leaf_state_unreadable": _flag("the leaf state {value} is not understood", "write green, partly senesced or senesced", usable=False),
    "endpoint_unreadable": _flag("the endpoint {value} is not understood", "write seen, not reached or doubtful", usable=False),
    "reading_doubtful": _flag("{value} is marked as uncertain by its writer", "settle it in a corrected file", usable=False),
    "reading_mistyped": _flag(
        "{value} has a letter for a digit or a mark too many, and was taken as {number}", "settle it in a corrected file", usable=False
    ),
    "reading_elsewhere": _flag("{other}, which was passed over, holds {value} here", "settle it in a corrected file", usable=False),
    "bound_doubtful": _flag(
        "no endpoint was reached, and the number {value} is lower than what other leaves were taken to",
        "write the pressure at which it was stopped, for example >40",
        usable=False,
    ),
    "site_doubtful": _flag("{value} is marked as uncertain; taken as {match}", "settle it in a corrected file", usable=False),
    "taxon_doubtful": _flag("{value} is marked as uncertain; taken as {match}", "settle it in a corrected file", usable=False),
    "taxon_against_name": _flag("another column of the row names {match}: {value}", "settle it in a corrected file", usable=False),
    "window_unknown": _flag("neither a clock time nor a window", "write the time of the reading", usable=False),
    "window_unreadable": _flag("{value} is no window that can be read", "write predawn, morning, midday or afternoon", usable=False),
    "window_against_clock": _flag(
        "{value} is written as {window}, and the clock says {clock_window}", "correct the time or the window", usable=False
    ),
    "predawn_after_sunrise": _flag(
        "written as predawn, and read at {value}, after sunrise at {sunrise}", "correct the time or the window", usable=False
    ),
    "time_unreadable": _flag("{value} is no clock time that can be read", "write the time as HH:MM", usable=False),
    "date_in_other_semester": _flag(
        "{value} lies in {semester}, and nearly all other rows in {usual}", "look whether the year or the month is right", usable=False
    ),
    "time_order": _flag("read at {value}, before the leaf was cut at {cut}", "correct one of the two times"),
    "time_at_night": _flag("read at {value}, long before sunrise at {sunrise}", "look whether a.m. and p.m. were mixed up", usable=False),
    "time_after_sunset": _flag("read at {value}, after sunset at {sunset}", "look whether a.m. and p.m. were mixed up", usable=False),
    # Remarks on rows that stay in use.
    "date_flipped": _flag("{value} has day and month the other way round than its column: it can only be {day}", "correct the date"),
    "endpoint_not_reached": _flag("no water at {value}: the potential is at least as dry as that", "nothing to do: it counts as a bound"),
    "leaf_partly_senesced": _flag("the leaf was partly senesced", "nothing to do"),
    "late_reading": _flag("read {value} minutes after the cut", "nothing to do; readings later than 5 minutes may be too dry"),
    "outside_usual_range": _flag("{mpa} MPa is unusual for a {group} at {window}", "look at the number and its unit once more"),
    "site_alike": _flag(
        "no site is called {value}; taken as {match}, the only one like it",
        "if that is right, {remember} remembers the spelling in sites.csv",
    ),
    "taxon_alike": _flag(
        "no plant is called {value}; taken as {match}, the only one like it",
        "if that is right, {remember} remembers the spelling in taxa.csv",
    ),
    "chamber_unknown": _flag(
        "no chamber is called {value}; its highest pressure cannot be checked",
        "say which chamber {value} is: {answer}; or add it to chambers.csv",
    ),
    "unit_against_chamber": _flag("written in {unit}, and the gauge of chamber {chamber} shows {gauge_unit}", "look at the unit once more"),
    "row_repeated_unnumbered": _flag(
        "the same plant and reading as row {other}, without leaf numbers", "if it was typed twice, load a corrected file"
    ),
    "leaf_twice": _flag("the same leaf as row {other}, with another reading", "settle it in a corrected file", usable=False),
    "text_shortened": _flag("the text is longer than {limit} characters and was cut", "nothing to do"),
    # Weather records.
    "weather_quality_failed": _aside("the record's own quality check failed ({value})", "nothing to do: the value is not used"),
    "weather_missing": _aside("no value for this day", "nothing to do: a missing day stays missing"),
    "weather_unreadable": _aside("{value} is no number that can be read", "correct the record"),
    "weather_element_unused": _aside("the element {value} is not used", "nothing to do"),
    "weather_day_repeated": _aside("the same day and element as row {other}", "keep one of the two"),
    "weather_multiday_open": _aside("a total over several days without the number of days", "nothing to do: it cannot be placed"),
    "weather_trace": _flag("a trace: too little to measure", "nothing to do: it counts as 0 mm"),
    "weather_synoptic": _flag("from synoptic summaries: use with caution", "nothing to do"),
    "weather_temperatures_crossed": _aside("the lowest temperature is above the highest", "correct the record"),
    # Scores of tests and levels of rubrics.
    "maximum_row": _aside("row of the highest scores", "nothing to do", structural=True),
    "student_missing": _aside("no student", "write the student's code or name"),
    "phase_missing": _aside("the row says neither pre nor post", "write pre or post"),
    "instrument_missing": _aside("no test is named", "write the test's code"),
    "semester_missing": _aside("no semester", "write the semester"),
    "item_missing": _aside("no item", "write the item, or Total"),
    "outcome_missing": _aside("no outcome", "write the outcome's code"),
    "outcome_set_aside": _aside("the recipe sets the outcome {value} aside", "nothing to do"),
    "score_unreadable": _aside("{value} is no score that can be read", "write one number, or absent"),
    "score_turned_into_date": _aside(
        "{value} is a date where a score stands: 8/10 turns into one", "write the score as text, or as a number"
    ),
    "negative_score": _aside("{value} is negative, and no score is", "correct the score"),
    "max_score_missing": _aside("no highest score is known for it", "write the highest score"),
    "max_score_zero": _aside("the highest score is {value}, and a share of it cannot be computed", "write the highest score, above 0"),
    "score_above_maximum": _aside("{value} is above the highest score {limit}", "correct the score, or the highest score"),
    "score_repeated": _aside(
        "the same student's {what} as in row {other}, with the same score or none", "nothing to do if it was typed twice"
    ),
    "level_unreadable": _aside("{value} is no level that can be read", "write the level's number"),
    "level_out_of_range": _aside("{value} is no level of a rubric of {limit} levels", "correct the level, or levels in outcomes.csv"),
    "score_contradicts": _flag(
        "the same student's {what} as in row {other}, with another score", "settle it in a corrected file", usable=False
    ),
    "max_score_contradicts": _flag(
        "out of {value} here, and out of {limit} in the other rows", "settle it in a corrected file", usable=False
    ),
    "total_not_sum": _flag("the total is {value}, and the items add up to {limit}", "correct the total or an item", usable=False),
    "score_doubtful": _flag("{value} is marked as uncertain by its writer", "settle it in a corrected file", usable=False),
    "score_mistyped": _flag(
        "{value} has a letter for a digit or a mark too many, and was taken as {number}", "settle it in a corrected file", usable=False
    ),
    "level_contradicts": _flag("{value} names a level whose word is another's", "settle it in a corrected file", usable=False),
    "level_not_whole": _flag("{value} lies between two levels", "nothing to do: it counts as it is"),
    "student_doubtful": _flag(
        "another student of the file is written nearly alike and took the other test: they are kept apart",
        "write one student always in one way, or use codes",
    ),
    "student_in_two_sections": _flag("the student also stands in section {other}", "look which section it is"),
    "items_unknown": _flag(
        "no item of {value} here is one that outcomes.csv names", "name the items as they are, or write [names.item] into the recipe"
    ),
    # The file as a whole: refused until somebody has answered.
    **{code: _refuse(*texts) for code, texts in REFUSALS.items()},
}

"""What keeps a file from being loaded until somebody has answered or corrected it: what is the matter, what to do, what is asked.

What to do completes "To load it, …", and ends with the answer on the command line where one settles it.
"""

from __future__ import annotations

from collections.abc import Mapping

REFUSALS: Mapping[str, tuple[str, ...]] = {
    # A file of readings or a weather record as a whole, and the registers (register_…).
    "no_table": (
        "No table of readings was found: no row names a reading, a date, a site and a plant.",
        "write one header row above the readings (date, site, species, pressure), or say which row it is: {answer}",
        "In which row is the header?",
    ),
    "no_rows": ("The table has a header and no rows.", "write the readings below its header"),
    "column_missing": ("No column was taken for the {column}.", "say where the {column} is: {answer}", "Where is it?"),
    "column_unclear": ("More than one column could be the {column}: {value}.", "say which one is the {column}: {answer}", "Which is it?"),
    "label_unknown": (
        "The column {value} holds readings like its neighbours, and what its header names is not known.",
        "say what the column {value} stands for: {answer}",
        "What does it stand for?",
    ),
    "numbers_unclear": (
        "The column {value} holds numbers, and what they count is not written.",
        "say whether they number leaves, plants or only rows: {answer}",
        "Is it a number of the leaf, of the plant, or of neither (no column)?",
    ),
    "chambers_hardly_known": (
        "{number} different names in {value} are no chambers of the register, the first is {first}: that is hardly their column.",
        "say that no column names the chamber, or which one: {answer}; or fill in the register chambers.csv",
        "Which column is it, if any?",
    ),
    "unit_missing": (
        "No unit is written for the readings in {value}.",
        "say the unit of the readings: {answer}",
        "Which unit are they in?",
    ),
    "unit_doubtful": (
        "The readings in {value} are no ordinary ones in their unit ({numbers}); as {other} they would be.",
        "say the unit of the readings: {answer}",
        "Which unit are they in?",
    ),
    "unit_unclear": (
        "The header {value} can mean pounds per square inch or the letter psi.",
        "say the unit of the readings: {answer}",
        "Which unit are the readings in?",
    ),
    "quantity_unclear": (
        "The column {value} holds {numbers}, so it is not clear whether it holds pressures or potentials.",
        "say whether the readings are pressures or potentials (or either, where −12 and 12 mean the same): {answer}",
        "Which are they?",
    ),
    "date_order_unclear": (
        "The dates could be day first or month first, {value} for one.",
        "say whether the day or the month comes first in the dates: {answer}",
        "Which comes first?",
    ),
    "year_missing": (
        "The dates have no year, {value} for one, and no one semester fits.",
        "say the semester of the readings: {answer}",
        "Which semester is it?",
    ),
    "clock_unclear": (
        "The times do not say morning or afternoon, {value} for one.",
        "say whether hours 1 to 7 are afternoon: {answer}",
        "Are hours 1 to 7 in the afternoon, of a 24-hour clock, or split (1 to 3 p.m., 4 to 7 a.m.)?",
    ),
    "window_missing": (
        "Neither clock times nor windows are written.",
        "say in which part of the day they were read: {answer}",
        "In which part of the day were they read?",
    ),
    "semester_unknown": (
        "The semester {value} is not in semesters.csv.",
        "add {value} to semesters.csv, or say which semester it is: {answer}",
        "Which semester is it?",
    ),
    "section_missing_everywhere": ("The lab section is not written anywhere.", "say the lab section: {answer}", "Which section is it?"),
    "section_unknown": (
        "The section {value} is not in sections.csv for {semester}.",
        "say which section {value} is: {answer}; or add it to sections.csv",
        "Which section is it?",
    ),
    "site_unknown": (
        "No site is called {value}.",
        "say which site {value} is: {answer}; or add it to sites.csv",
        "Which site is it, or none of them?",
    ),
    "taxon_unknown": (
        "No plant is called {value}.",
        "say which plant {value} is: {answer}; or add it to taxa.csv",
        "Which plant is it, or none of them?",
    ),
    "names_hardly_known": (
        "{number} different names in {value} are in no register, the first in {first}: that is hardly the column of the {what}s.",
        "say which column names the {what}: {answer}; or fill in the register {register}.csv",
        "Which column is it?",
    ),
    "readings_are_formulas": (
        "The readings are formulas, and the file does not hold what they came to.",
        "open it in a spreadsheet program, save it there and load that file",
    ),
    "no_readings_left": ("Every row of the table would be set aside.", "look at the reasons below and correct the file"),
    # A file of scores or levels.
    "no_learning_table": (
        "No table of students and their {what} was found.",
        "write one header row with the student and the {what} above them, or say which row it is: {answer}",
        "In which row is the header?",
    ),
    "kind_unclear": (
        "A table of students holds numbers, and it is not clear whether they are scores of a test or levels of a rubric.",
        "say what the file holds: {answer}",
        "Which is it?",
    ),
    "no_scores_left": ("Every score or level of the table would be set aside.", "look at the reasons below and correct the file"),
    "semester_missing_everywhere": ("The semester is not written anywhere.", "say the semester: {answer}", "Which semester is it?"),
    "phase_unclear": (
        "It is not written whether {value} was before or after the unit.",
        "say pre or post: {answer}",
        "Was it before or after the unit?",
    ),
    "instrument_unclear": (
        "The file does not say which test it is.",
        "say the code of the test: {answer}; a new one is a word in lower case, and outcomes.csv names those that are evidence",
        "Which test is it?",
    ),
    "instrument_unknown": (
        "No test is called {value} in outcomes.csv.",
        "say which test {value} is: {answer}",
        "Which test is it? A new one gets a code in lower case.",
    ),
    "max_score_unclear": (
        "{value}.",
        "say the highest score: {answer}",
        "What is the highest score?",
    ),
    "score_unit_unclear": (
        "The column {value} is headed percent and holds shares between 0 and 1.",
        "say what the scores are: {answer}",
        "Percent, or shares of one?",
    ),
    "outcome_unknown": (
        "No outcome is called {value}.",
        "say which outcome {value} is: {answer}; or add it to outcomes.csv",
        "Which outcome is it, or none of them?",
    ),
    "level_unknown": (
        "The level {value} is no number, and outcomes.csv has no such word.",
        "say which level {value} is: {answer}; or write the words in level_words of outcomes.csv",
        "Which level is it?",
    ),
    "gauge_unknown": ("No gauge is called {value}.", "say which gauge {value} is: {answer}; or add it to gauges.csv", "Which gauge is it?"),
    "gauge_missing": ("The file does not name its gauge.", "say which gauge it is: {answer}", "Which gauge is it?"),
    "weather_unit_missing": (
        "The unit of {value} is not written.",
        "say the unit of {value}: {answer}; or write it in the header, as rain (mm) or tmax (C)",
        "Which unit is it?",
    ),
    "register_column_missing": ("The register has no column {column}.", "add the column; tautleaf init writes a complete one"),
    "register_value_missing": ("{column} is blank.", "fill it in"),
    "register_value_invalid": ("{value} is not allowed for {column}: {allowed}.", "correct the cell"),
    "register_key_repeated": ("{value} is there twice, first in row {other}.", "keep one of the two"),
    "register_alias_repeated": ("The alias {value} also belongs to {other}.", "keep it with one of the two"),
    "register_reference_unknown": ("{value} is not in {other}.", "add it there, or correct the cell"),
    "register_dates_crossed": ("The semester ends on {value}, before it starts.", "correct one of the two dates"),
    "register_semesters_overlap": ("The semester overlaps with {other}.", "correct the dates: a day belongs to one semester"),
}

"""What a reader may choose, from what the published file holds; and, where a choice finds nothing, the sentence that says why."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from dashboards.choices import GROUP_CHOICE_WORDS, GROUP_CHOICES, Choices
from dashboards.figures.second_scale import SCALES
from dashboards.figures.time_axis import day_of
from dashboards.predicting.predicted_view import PREDICT, WORDS
from dashboards.views.ask_view import DRAWINGS
from dashboards.views.compare_view import CONTRASTS
from dashboards.views.discussion import QUESTION_WORDS
from dashboards.views.hillslope_figure import ACROSS
from dashboards.views.rain_view import AGAINST
from dashboards.views.years_view import LAID
from dashboards.words import GROUPS, WINDOWS, count, day_words, listed, semester_order, semester_words

if TYPE_CHECKING:
    import pandas as pd


def settled(choices: Choices, holdings: pd.DataFrame, *, can_predict: bool = False) -> Choices:
    """The choices with what must be chosen filled in: the latest semester, its commonest window; codes that are unknown fall away."""
    if holdings.empty:
        return choices
    semesters = sorted(set(holdings["semester"]), key=semester_order)
    semester = choices.semester if choices.semester in semesters else semesters[-1]
    term = holdings[holdings["semester"] == semester]
    window = choices.window
    if window not in WINDOWS:
        counted = term.groupby("sampling_window")["n"].sum()
        window = "midday" if "midday" in counted.index else str(counted.idxmax())
    kinds = holdings[holdings["functional_group"].isin(choices.groups)]
    shows_time = choices.laid != "over"
    ends = (f"{semesters[0][:4]}-01-01", f"{semesters[-1][:4]}-12-31")
    return replace(
        choices,
        semester=semester,
        window=window,
        section=choices.section if choices.section in set(term["section"]) else "",
        taxon=choices.taxon if choices.taxon in set(kinds["taxon"]) else "",
        question=choices.question if choices.question in _questions(can_predict).values() else "",
        site=choices.site if choices.site in set(holdings["site"]) else "",
        since=choices.since if shows_time and day_of(choices.since) and choices.since > ends[0] else "",
        until=choices.until if shows_time and day_of(choices.until) and choices.until < ends[1] else "",
        pick=choices.pick if choices.pick in _picks(replace(choices, semester=semester, window=window), holdings).values() else "",
    )


def _questions(can_predict: bool) -> dict[str, str]:
    """Words and codes of the questions, in order: after the readings, and before what would tell the answer, the prediction."""
    first, *rest = QUESTION_WORDS.items()
    return dict([first, *([(WORDS, PREDICT)] if can_predict else []), *rest])


def offers(choices: Choices, holdings: pd.DataFrame, tables: Iterable[str] = (), *, can_predict: bool = False) -> dict[str, dict[str, str]]:
    """For each choice the words on offer and the code of each; the words are unique. `tables` are those of the role's file."""
    groups = set(holdings["functional_group"])
    kinds = holdings[holdings["functional_group"].isin(choices.groups) & (holdings["taxon"] != "")]
    term = holdings[(holdings["semester"] == choices.semester) & (holdings["section"] != "")]
    semesters = sorted(set(holdings["semester"]), key=semester_order, reverse=True)
    years = sorted({semester[:4] for semester in semesters}) if choices.laid != "over" else []
    return {
        "semester": {semester_words(semester): semester for semester in semesters},
        "section": {"all sections": ""} | {f"section {code}": code for code in sorted(set(term["section"]))},
        "window": {window: window for window in WINDOWS if window in set(holdings["sampling_window"]) or window == choices.window},
        "group": {words: code for code, words in GROUP_CHOICE_WORDS.items() if not code or _offers(code, groups)},
        "taxon": {"all kinds": ""} | _named(kinds, "taxon", "scientific_name"),
        "site": {"all sites": ""} | _named(holdings, "site", "site_name"),
        "scale": dict(SCALES),
        "contrast": dict(CONTRASTS),
        "against": dict(AGAINST),
        "across": dict(ACROSS),
        "laid": dict(LAID),
        "since": {"from the start": ""} | {f"from {year}": f"{year}-01-01" for year in years[1:]} | _day("from", choices.since),
        "until": {"to the end": ""} | {f"to {year}": f"{year}-12-31" for year in years[:-1]} | _day("to", choices.until),
        "pick": {"no readings listed": ""} | _picks(choices, holdings),
        "table": {"codebook of all tables": ""} | {f"codebook of {table}": table for table in sorted(tables)},
        "drawn": dict(DRAWINGS),
        "question": _questions(can_predict),
    }


def _day(word: str, chosen: str) -> dict[str, str]:
    """A day that the reader dragged to, in words; none where it is a year's first or last, which is offered anyway."""
    day = day_of(chosen)
    return {} if day is None or chosen[4:] in ("-01-01", "-12-31") else {f"{word} {day_words(day)}": chosen}


def _picks(choices: Choices, holdings: pd.DataFrame) -> dict[str, str]:
    """The marks of the chosen semester whose readings can be shown, by words."""
    there = matching(replace(choices, section=""), holdings)
    kinds = sorted(
        {(list(GROUPS).index(row.functional_group), row.site_name, row.functional_group, row.site) for row in there.itertuples()}
    )
    names = [name for _, name, group, _ in kinds if group == kinds[0][2]]
    is_clear = len(set(names)) == len(names)
    return {f"listing {GROUPS[group]}, {name if is_clear else site}": f"{group}.{site}" for _, name, group, site in kinds}


def _offers(choice: str, groups: set[str]) -> bool:
    """A compound choice is offered where it holds two groups that are there, a single one where it is there."""
    there = [group for group in GROUP_CHOICES[choice] if group in groups]
    return len(there) >= min(2, len(GROUP_CHOICES[choice]))


def _named(frame: pd.DataFrame, code: str, name: str) -> dict[str, str]:
    """Names and their codes, by name; a name that two codes share is told apart by the code."""
    pairs = sorted({(str(n), str(c)) for n, c in zip(frame[name], frame[code], strict=True)})
    names = [n for n, _ in pairs]
    return {(n if names.count(n) == 1 else f"{n} ({c})"): c for n, c in pairs}


def why_empty(choices: Choices, holdings: pd.DataFrame) -> str:
    """Why the choices find nothing, and which one to change."""
    if holdings.empty:
        return "No usable reading has been loaded yet. Load a class's file with: tautleaf load FILE"
    names = ("section", "taxon", "site", "window", "group")
    for name in names:
        released = replace(choices, **{name: ""})
        found = matching(released, holdings)
        if not found.empty:
            return _what_instead(name, choices, found)
    term = holdings[holdings["semester"] == choices.semester]
    if term.empty:
        return f"No usable reading of {semester_words(choices.semester)} has been loaded."
    return f"{semester_words(choices.semester)} holds {count(int(term['n'].sum()), 'reading')}, but none that fit these choices together."


def matching(choices: Choices, holdings: pd.DataFrame) -> pd.DataFrame:
    """The holdings that fit every choice; an empty one fits all."""
    fits = holdings["functional_group"].isin(choices.groups)
    for column, value in (
        ("semester", choices.semester),
        ("section", choices.section),
        ("sampling_window", choices.window),
        ("taxon", choices.taxon),
        ("site", choices.site),
    ):
        if value:
            fits &= holdings[column] == value
    return holdings[fits]


def _what_instead(name: str, choices: Choices, found: pd.DataFrame) -> str:
    n = count(int(found["n"].sum()), "reading")
    when = semester_words(choices.semester)
    if name == "window":
        there = listed(window for window in WINDOWS if window in set(found["sampling_window"]))
        nothing = "nothing was read" if choices.is_whole_cohort and not choices.group else "nothing that fits these choices was read"
        return f"In {when} {nothing} {WINDOWS.get(choices.window, choices.window)}. There are readings of: {there}."
    if name == "group":
        return f"In {when} there are no readings of {choices.who()} {WINDOWS.get(choices.window, '')}; of other plants there are {n}."
    narrowed = {"section": "this section", "taxon": "this kind of plant", "site": "this site"}[name]
    return f"In {when} there are no readings of {narrowed} {WINDOWS.get(choices.window, '')}; without that choice there are {n}."

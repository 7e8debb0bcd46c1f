"""What a reader may choose, from what the published file holds; and, where a choice finds nothing, the sentence that says why."""

from __future__ import annotations

from collections import Counter
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
from dashboards.words import GROUPS, WINDOWS, count, day_words, listed, semester_words

if TYPE_CHECKING:
    from dashboards.holdings import Held, Holdings


def settled(choices: Choices, holdings: Holdings, *, can_predict: bool = False) -> Choices:
    """The choices with what must be chosen filled in: the latest semester, its commonest window; codes that are unknown fall away."""
    if holdings.is_empty:
        return choices
    semesters = holdings.semesters
    semester = choices.semester if choices.semester in semesters else semesters[-1]
    window = choices.window if choices.window in WINDOWS else _usual_window(holdings.of(semester))
    shows_time = choices.laid != "over"
    ends = (f"{semesters[0][:4]}-01-01", f"{semesters[-1][:4]}-12-31")
    taxa = {taxon for _, taxon, group in holdings.kinds if group in choices.groups}
    return replace(
        choices,
        semester=semester,
        window=window,
        section=choices.section if choices.section and choices.section in holdings.sections_of(semester) else "",
        taxon=choices.taxon if choices.taxon in taxa else "",
        question=choices.question if choices.question in _questions(can_predict).values() else "",
        site=choices.site if choices.site in {site for _, site in holdings.sites} else "",
        since=choices.since if shows_time and day_of(choices.since) and choices.since > ends[0] else "",
        until=choices.until if shows_time and day_of(choices.until) and choices.until < ends[1] else "",
        pick=choices.pick if choices.pick in _picks(replace(choices, semester=semester, window=window), holdings).values() else "",
    )


def _usual_window(term: list[Held]) -> str:
    """Midday where anything was read then, or else the window with the most readings."""
    counted = Counter[str]()
    for row in term:
        counted[row.window] += row.n if row.window else 0
    return "midday" if "midday" in counted else min(counted, key=lambda window: (-counted[window], window))


def _questions(can_predict: bool) -> dict[str, str]:
    """Words and codes of the questions, in order: after the readings, and before what would tell the answer, the prediction."""
    first, *rest = QUESTION_WORDS.items()
    return dict([first, *([(WORDS, PREDICT)] if can_predict else []), *rest])


def offers(choices: Choices, holdings: Holdings, tables: Iterable[str] = (), *, can_predict: bool = False) -> dict[str, dict[str, str]]:
    """For each choice the words on offer and the code of each; the words are unique. `tables` are those of the role's file."""
    kinds = [(name, taxon) for name, taxon, group in holdings.kinds if group in choices.groups]
    years = sorted({semester[:4] for semester in holdings.semesters}) if choices.laid != "over" else []
    return {
        "semester": dict(holdings.semesters_named),
        "section": {"all sections": ""} | {f"section {code}": code for code in holdings.sections_of(choices.semester)},
        "window": {window: window for window in WINDOWS if window in holdings.windows or window == choices.window},
        "group": {words: code for code, words in GROUP_CHOICE_WORDS.items() if not code or _offers(code, holdings.groups)},
        "taxon": {"all kinds": ""} | _named(kinds),
        "site": {"all sites": ""} | _named(holdings.sites),
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


def _picks(choices: Choices, holdings: Holdings) -> dict[str, str]:
    """The marks of the chosen semester whose readings can be shown, by words."""
    there = holdings.matching(replace(choices, section=""))
    kinds = sorted({(list(GROUPS).index(row.group), row.site_name, row.group, row.site) for row in there})
    names = [name for _, name, group, _ in kinds if group == kinds[0][2]]
    is_clear = len(set(names)) == len(names)
    return {f"listing {GROUPS[group]}, {name if is_clear else site}": f"{group}.{site}" for _, name, group, site in kinds}


def _offers(choice: str, groups: set[str]) -> bool:
    """A compound choice is offered where it holds two groups that are there, a single one where it is there."""
    there = [group for group in GROUP_CHOICES[choice] if group in groups]
    return len(there) >= min(2, len(GROUP_CHOICES[choice]))


def _named(pairs: list[tuple[str, str]]) -> dict[str, str]:
    """Codes by their names, in order; a name that two codes share is told apart by the code."""
    names = Counter(name for name, _ in pairs)
    return {(name if names[name] == 1 else f"{name} ({code})"): code for name, code in pairs}


def why_empty(choices: Choices, holdings: Holdings) -> str:
    """Why the choices find nothing, and which one to change."""
    if holdings.is_empty:
        return "No usable reading has been loaded yet. Load a class's file with: tautleaf load FILE"
    for name in ("section", "taxon", "site", "window", "group"):
        found = holdings.matching(replace(choices, **{name: ""}))
        if found:
            return _what_instead(name, choices, found)
    term = holdings.of(choices.semester)
    if not term:
        return f"No usable reading of {semester_words(choices.semester)} has been loaded."
    n = sum(row.n for row in term)
    return f"{semester_words(choices.semester)} holds {count(n, 'reading')}, but none that fit these choices together."


def _what_instead(name: str, choices: Choices, found: list[Held]) -> str:
    n = count(sum(row.n for row in found), "reading")
    when = semester_words(choices.semester)
    if name == "window":
        there = listed(window for window in WINDOWS if window in {row.window for row in found})
        nothing = "nothing was read" if choices.is_whole_cohort and not choices.group else "nothing that fits these choices was read"
        return f"In {when} {nothing} {WINDOWS.get(choices.window, choices.window)}. There are readings of: {there}."
    if name == "group":
        return f"In {when} there are no readings of {choices.who()} {WINDOWS.get(choices.window, '')}; of other plants there are {n}."
    narrowed = {"section": "this section", "taxon": "this kind of plant", "site": "this site"}[name]
    return f"In {when} there are no readings of {narrowed} {WINDOWS.get(choices.window, '')}; without that choice there are {n}."

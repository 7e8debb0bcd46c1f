"""The reviewer's tables of learning: no small number of students can be read or reckoned back from them.

What would tell of few students is told as a bound, in steps, or not at all:

- A share is exact only where as many students as the threshold attained it, and as many did not; else a bound stands for it
  ("at least 60 %"), behind which as many numbers lie as the threshold, so that 100 % and 0 % look no different from others.
- One table tells exact numbers of students, learning_outcomes; learning_gains tells the least in steps of the threshold, and
  learning_items none at all. So no hidden number (who came only before, only after, or was not scored) is the difference of two
  shown ones.
- No total over semesters is told: the next build, with one more semester, would tell that semester.
- Differences and effect sizes of gains stay with the instructor (beside the means they tell how many there were), and so does the
  median, which is one student's; means so near 0 or 100 that they tell of all are hidden.

Two builds that differ by one student still differ by one student: correct a semester before a reviewer gets it, not after.
`tests/warehouse/test_reviewed_learning.py` audits this by linear programme.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import astuple, dataclass, fields
from typing import TYPE_CHECKING, Any, get_type_hints

from warehouse.reviewed import keep_rows
from warehouse.suppress import is_small

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

Row = Mapping[str, Any]
HIDDEN_CODE, HIDDEN = "hidden", "Hidden, so that it tells of nobody."
_STEPS = 20  # bounds and difficulties are told in steps of 5 %
_NEAR_ALL_PERCENT = 95.0


@dataclass(frozen=True)
class Share:
    """A share of students, 0 to 1, as a reviewer may know it: exact, or one bound, or nothing."""

    exact: float | None = None
    at_least: float | None = None
    at_most: float | None = None


def shown_share(n_of: float, n: int, threshold: int) -> Share:
    """What may be told of n_of out of n students.

    Of fewer students than twice the threshold no bound is told: which bound it is would narrow the number down. The ends of a bound
    are rounded outwards.
    """
    if threshold <= 1:
        return Share(exact=n_of / n) if n else Share()
    if n < 2 * threshold:
        return Share()
    if n_of < threshold:
        return Share(at_most=-(-_STEPS * (threshold - 1) // n) / _STEPS)
    if n - n_of < threshold:
        return Share(at_least=_STEPS * (n - threshold + 1) // n / _STEPS)
    return Share(exact=n_of / n)


@dataclass(frozen=True, kw_only=True)
class ReviewedOutcome:
    """A row of the reviewer's learning_outcomes; shares are 0 to 1."""

    program: str
    semester: str
    year: int
    season: str
    outcome: str
    statement: str
    evidence: str
    is_suppressed: bool
    n_scored: int | None
    n_attained: int | None = None
    target_share: float | None
    share_attained: float | None = None
    share_ci_low: float | None = None
    share_ci_high: float | None = None
    share_at_least: float | None = None
    share_at_most: float | None = None
    is_target_met: bool | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str


def reviewed_outcome(row: Row, threshold: int) -> ReviewedOutcome:
    """A row of learning_outcomes as a reviewer may see it.

    A target is met or missed where what is shown says so by itself.
    """
    from warehouse.statistics.attainment import attainment
    from warehouse.statistics.learning_words import hidden_outcome_sentence

    own = {name: row[name] for name in ("program", "semester", "year", "season", "outcome", "statement", "evidence", "target_share")}
    n, of, target = row["n_scored"], row["n_attained"], row["target_share"]
    share = Share() if of is None else shown_share(of, n, threshold)
    if n == 0 or (not is_small(n, threshold) and (of is None or share.exact is not None)):
        told = attainment(n, 0, of, target, row["evidence"], row["statement"], row["semester"])
        known = {field.name: getattr(told, field.name) for field in fields(told)}
        return ReviewedOutcome(**own, is_suppressed=False, n_scored=n, n_attained=of, **known)
    is_met = None
    if target is not None and share.at_least is not None and share.at_least >= target:
        is_met = True
    if target is not None and share.at_most is not None and share.at_most < target:
        is_met = False
    n_shown = None if is_small(n, threshold) else n
    return ReviewedOutcome(
        **own,
        is_suppressed=True,
        n_scored=n_shown,
        share_at_least=share.at_least,
        share_at_most=share.at_most,
        is_target_met=is_met,
        reason_code=HIDDEN_CODE,
        reason=HIDDEN,
        sentence=hidden_outcome_sentence(row, n_shown, share.at_least, share.at_most, is_met),
    )


@dataclass(frozen=True, kw_only=True)
class ReviewedGain:
    """A row of the reviewer's learning_gains: means in whole percent, gains to two decimals."""

    program: str
    semester: str
    year: int
    season: str
    instrument: str
    is_suppressed: bool
    n_matched_at_least: int | None = None
    pre_mean_percent: float | None = None
    post_mean_percent: float | None = None
    class_gain: float | None = None
    class_gain_ci_low: float | None = None
    class_gain_ci_high: float | None = None
    class_gain_band: str | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str


def reviewed_gain(row: Row, threshold: int, scored: Collection[int] = ()) -> ReviewedGain:
    """A row of learning_gains as a reviewer may see it.

    `scored` are the numbers of students that the outcomes of the same semester tell. All matched students are among them: were one of
    them the least that is told of the matched, both would be equal, and every other number would follow.
    """
    from warehouse.statistics.learning_words import reviewed_gain_sentence

    own = {name: row[name] for name in ("program", "semester", "year", "season", "instrument")}
    n, means = row["n_matched"], [row["pre_mean_percent"], row["post_mean_percent"]]
    if n == 0:
        none = {"reason_code": row["reason_code"], "reason": row["reason"]}
        return ReviewedGain(
            **own, is_suppressed=False, n_matched_at_least=0, **none, sentence=reviewed_gain_sentence(own, 0, row["reason"])
        )
    tells_of_all = threshold > 1 and any(not 100 - _NEAR_ALL_PERCENT <= mean <= _NEAR_ALL_PERCENT for mean in means)
    # Any other reason than few students says that they are alike.
    tells_of_all = tells_of_all or (threshold > 1 and row["reason_code"] not in (None, "few_matched"))
    step = max(threshold, 1)
    at_least = n // step * step
    if threshold > 1 and at_least in scored:
        at_least -= step
    if is_small(n, threshold) or at_least < threshold or tells_of_all:
        said = reviewed_gain_sentence(own, None, HIDDEN)
        return ReviewedGain(**own, is_suppressed=True, reason_code=HIDDEN_CODE, reason=HIDDEN, sentence=said)
    shown: dict[str, Any] = {name: _rounded(row[name], 0) for name in ("pre_mean_percent", "post_mean_percent")}
    shown |= {name: _rounded(row[name], 2) for name in ("class_gain", "class_gain_ci_low", "class_gain_ci_high")}
    shown |= {"class_gain_band": row["class_gain_band"], "reason_code": row["reason_code"]}
    shown["reason"] = "Too few students for an interval." if row["reason_code"] == "few_matched" else row["reason"]
    said = reviewed_gain_sentence({**own, **shown}, at_least, shown["reason"])
    return ReviewedGain(**own, is_suppressed=False, n_matched_at_least=at_least, **shown, sentence=said)


@dataclass(frozen=True, kw_only=True)
class ReviewedItem:
    """A row of the reviewer's learning_items: difficulty in steps of 5 %, 0 to 1; coefficients to two decimals."""

    program: str
    semester: str
    year: int
    season: str
    instrument: str
    phase: str
    item: str
    is_suppressed: bool
    difficulty: float | None = None
    difficulty_at_least: float | None = None
    difficulty_at_most: float | None = None
    discrimination: float | None = None
    alpha: float | None = None
    reason_code: str | None = None
    reason: str | None = None
    sentence: str


def reviewed_item(row: Row, threshold: int) -> ReviewedItem:
    """A row of learning_items as a reviewer may see it; its points are counted in students who reached all of them."""
    from warehouse.statistics.learning_words import reviewed_item_sentence

    own = {name: row[name] for name in ("program", "semester", "year", "season", "instrument", "phase", "item")}
    n, difficulty = row["n_scored"], row["difficulty"]
    share = Share() if difficulty is None else shown_share(difficulty * n, n, threshold)
    is_small_class = is_small(row["n_complete"], threshold) or is_small(n, threshold)
    shown: dict[str, Any] = {"alpha": None if is_small_class else _rounded(row["alpha"], 2)}
    if share.exact is None:
        shown |= {"difficulty_at_least": share.at_least, "difficulty_at_most": share.at_most}
        shown |= {"reason_code": HIDDEN_CODE, "reason": HIDDEN}
    else:
        shown["difficulty"] = round(_STEPS * share.exact) / _STEPS
        shown["discrimination"] = None if is_small_class else _rounded(row["discrimination"], 2)
    return ReviewedItem(**own, is_suppressed=share.exact is None, **shown, sentence=reviewed_item_sentence({**own, **shown}))


def _rounded(value: float | None, decimals: int) -> float | None:
    return None if value is None else round(value, decimals) + 0.0


def write(connection: DuckDBPyConnection, target: str, threshold: int) -> None:
    """Create the reviewer's learning tables in the catalog `target` from those of the catalog `modelled`."""
    from warehouse.statistics_in_sql import sql_type

    told = connection.execute(
        "SELECT program, semester, list(n_scored) FROM modelled.learning_outcomes WHERE evidence = 'assessment' GROUP BY ALL"
    ).fetchall()
    scored = {(program, semester): counts for program, semester, counts in told}

    def gain(row: Row, threshold: int) -> ReviewedGain:
        return reviewed_gain(row, threshold, scored.get((row["program"], row["semester"]), ()))

    made: dict[str, tuple[type, Callable[[Row, int], Any], str]] = {
        "learning_gains": (ReviewedGain, gain, "program, year, semester, instrument"),
        "learning_outcomes": (ReviewedOutcome, reviewed_outcome, "program, year, semester, outcome, evidence"),
        "learning_items": (ReviewedItem, reviewed_item, "program, year, semester, instrument, phase DESC, item"),
    }
    for table, (kind, reviewed, order) in made.items():
        cursor = connection.execute(f"SELECT * FROM modelled.{table}")  # noqa: S608  # names are our own
        names = [column[0] for column in cursor.description or ()]
        rows = [astuple(reviewed(dict(zip(names, row, strict=True)), threshold)) for row in cursor.fetchall()]
        hints = get_type_hints(kind)
        keep_rows(connection, "shown", {field.name: sql_type(hints[field.name]) for field in fields(kind)}, rows)
        connection.execute(f"CREATE TABLE {target}.{table} AS SELECT * FROM shown ORDER BY {order}")  # noqa: S608  # names are our own

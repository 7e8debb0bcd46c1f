"""A field day planned: plants and leaves for a difference that the instructor names, at the warehouse's own scatter."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from ingest.contract import contract
from ingest.errors import NothingPublished, PlanUnclear

if TYPE_CHECKING:
    from ingest.home import Home

# Where there is no history: round numbers of the size that class data show (common practice, from memory; no source).
ASSUMED_SD_PLANT_MPA = 0.3
ASSUMED_SD_LEAF_MPA = 0.2
LEAVES = range(1, 6)
CURVE = (2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 50)
NEARLY_CERTAIN = 0.995  # where the curve may end
CARE = (
    "The plan leads to a pressure chamber: eye protection for all, no face above the cut, never above the rated pressure; "
    "the maker's manual, your local rules and a trained person beside the chamber come first."
)


@dataclass(frozen=True)
class Scatter:
    """How much plants differ, and the leaves of one plant, MPa (standard deviations), and where that comes from, in words."""

    sd_plant_mpa: float
    sd_leaf_mpa: float
    source: str


@dataclass(frozen=True)
class Design:
    """One way to take the leaves: plants a site for the wanted power (None: more than a thousand), and leaves at both sites."""

    leaves_per_plant: int
    plants_per_site: int | None
    leaves_in_all: int | None


@dataclass(frozen=True)
class Plan:
    """What is needed; `curve` is the power for numbers of plants a site at `leaves` leaves a plant."""

    difference_mpa: float
    power: float
    functional_group: str
    sampling_window: str
    scatter: Scatter
    designs: list[Design]
    leaves: int
    curve: dict[int, float]
    sentence: str

    def as_dict(self) -> dict[str, Any]:
        """The plan as plain values, for JSON."""
        return {**asdict(self), "care": CARE}

    def as_text(self) -> str:
        """The plan as lines for a person."""
        lines = [self.sentence, "", "  leaves a plant   plants a site   leaves at both sites"]
        for design in self.designs:
            plants = str(design.plants_per_site or "over 1000")
            lines.append(f"  {design.leaves_per_plant:14}   {plants:>13}   {design.leaves_in_all or '–':>20}")
        lines += ["", f"  chance to see it, with {_leaves(self.leaves)} a plant:", "  plants a site   chance"]
        lines += [f"  {plants:13}   {chance:6.0%}  {'▪' * round(20 * chance)}" for plants, chance in self.curve.items()]
        return "\n".join([*lines, "", self.scatter.source, CARE])


def named_scatter(sd_plant_mpa: float | None, sd_leaf_mpa: float | None) -> Scatter | None:
    """The scatter that the caller names, or None where none is named.

    Raises:
        PlanUnclear: only one of the two is named.
    """
    if sd_plant_mpa is None and sd_leaf_mpa is None:
        return None
    if sd_plant_mpa is None or sd_leaf_mpa is None:
        raise PlanUnclear("Name both standard deviations, --sd-plant and --sd-leaf, or neither.")
    words = (
        f"As you named it: standard deviation {sd_plant_mpa:.2f} MPa between plants and {sd_leaf_mpa:.2f} MPa between leaves of a plant."
    )
    return Scatter(sd_plant_mpa, sd_leaf_mpa, words)


def scatter_of(home: Home, group: str, window: str) -> Scatter:
    """The scatter that the readings in use show, or the stated assumption where there are none or too few.

    Raises:
        PlanUnclear: no such functional group or sampling window.
        PublishedDamaged: what is published cannot be read.
    """
    from warehouse.published import open_published

    for option, code, column in (("group", group, ("taxa", "functional_group")), ("window", window, ("readings", "sampling_window"))):
        stated = contract()[column[0]].columns[column[1]]
        if code not in stated.allowed:
            raise PlanUnclear(f"'{code}' is no {column[1].replace('_', ' ')}. Name {stated.allows()} with --{option}.")

    try:
        published = open_published(home, "instructor")
    except NothingPublished:
        return _assumed("nothing is published in this home yet")
    try:
        rows = published.query(
            "SELECT sd_plant_mpa, sd_leaf_mpa, n_plants, n_sets, is_boundary, reason FROM variance_components "
            "WHERE functional_group = ? AND sampling_window = ?",
            [group, window],
        ).to_dict("records")
    finally:
        published.close()
    if not rows:
        return _assumed(f"no plant of {group} with a number was read at {window} yet")
    row = rows[0]
    if row["reason"]:
        return _assumed(row["reason"][0].lower() + row["reason"][1:].rstrip("."))
    source = (
        f"From your own readings: standard deviation {row['sd_plant_mpa']:.2f} MPa between plants and {row['sd_leaf_mpa']:.2f} MPa between "
        f"leaves of a plant ({row['n_plants']} plants in {row['n_sets']} sets of one site, day and taxon)."
    )
    if row["is_boundary"]:
        source += " Plants differed no more than their leaves did: take the number of plants as the least."
    return Scatter(row["sd_plant_mpa"], row["sd_leaf_mpa"], source)


def _assumed(why: str) -> Scatter:
    words = (
        f"Assumed, for {why}: standard deviation {ASSUMED_SD_PLANT_MPA:.2f} MPa between plants and {ASSUMED_SD_LEAF_MPA:.2f} MPa between "
        "leaves of a plant. Plan again after the first semester, or name your own with --sd-plant and --sd-leaf."
    )
    return Scatter(ASSUMED_SD_PLANT_MPA, ASSUMED_SD_LEAF_MPA, words)


def make_plan(difference_mpa: float, scatter: Scatter, group: str, window: str, power: float, leaves: int) -> Plan:
    """Plants and leaves for a difference between two sites.

    Args:
        difference_mpa: the true difference that should be seen, MPa, either sign.
        scatter: see `scatter_of`.
        group: functional group, as shown.
        window: sampling window, as shown.
        power: wanted chance to see it, above 0.05 and below 1.
        leaves: leaves a plant, for the sentence and the curve.

    Raises:
        PlanUnclear: a number with which nothing can be planned.
    """
    from warehouse.statistics.planning import plants_needed, sd_of_plant_means
    from warehouse.statistics.planning import power as power_of

    _check(difference_mpa, scatter, power, leaves)
    sds = {m: sd_of_plant_means(scatter.sd_plant_mpa, scatter.sd_leaf_mpa, m) for m in sorted({*LEAVES, leaves})}
    needed = {m: plants_needed(difference_mpa, sd, power) for m, sd in sds.items()}
    designs = [Design(m, plants, plants and 2 * m * plants) for m, plants in needed.items()]
    chances = {plants: power_of(difference_mpa, sds[leaves], plants) for plants in CURVE}
    certain = [plants for plants, chance in chances.items() if chance >= NEARLY_CERTAIN]
    curve = {plants: chance for plants, chance in chances.items() if not certain or plants <= certain[0]}
    return Plan(
        abs(difference_mpa),
        power,
        group,
        window,
        scatter,
        designs,
        leaves,
        curve,
        _sentence(difference_mpa, power, group, window, needed, leaves),
    )


def _sentence(difference_mpa: float, power: float, group: str, window: str, needed: dict[int, int | None], leaves: int) -> str:
    test = f"({group}, {window}, two-sided test at 5 %)"
    aim = f"To see a true difference of {abs(difference_mpa):.2f} MPa between two sites on {power:.0%} of field days {test}"
    plants = needed[leaves]
    if plants is None:
        return f"{aim}, more than a thousand plants a site would be needed: no class can see so small a difference."
    return f"{aim}, read {_leaves(leaves)} of each of {plants} plants a site, that is {2 * leaves * plants} leaves."


def _leaves(number: int) -> str:
    return "1 leaf" if number == 1 else f"{number} leaves"


def _check(difference_mpa: float, scatter: Scatter, power: float, leaves: int) -> None:
    # Written so that NaN fails too.
    if not 0 < abs(difference_mpa) <= 20:
        raise PlanUnclear(
            f"A difference of {difference_mpa:g} MPa cannot be planned for. Name one above 0 and up to 20 MPa, such as --difference 0.5."
        )
    if not 0.05 < power < 1:
        raise PlanUnclear(f"A chance of {power:g} cannot be planned for. Name one above 0.05 and below 1, such as --power 0.8.")
    if not 1 <= leaves <= 50:
        raise PlanUnclear(f"{leaves} leaves a plant cannot be planned for. Name 1 to 50, such as --leaves 3.")
    if not (0 <= scatter.sd_plant_mpa <= 20 and 0 <= scatter.sd_leaf_mpa <= 20 and scatter.sd_plant_mpa + scatter.sd_leaf_mpa > 0):
        raise PlanUnclear("The standard deviations must lie between 0 and 20 MPa, and not both be 0.")

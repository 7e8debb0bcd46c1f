"""The difference of two sides from their leaves: a mixed model of plants, sections and observers."""

from __future__ import annotations

from dataclasses import dataclass

from scipy.special import stdtr, stdtrit

from warehouse.statistics.mixed import mixed_model


@dataclass(frozen=True)
class MixedContrast:
    """First minus second, MPa, with its 95 % t interval, and the deviations of what plants, sections and observers share, MPa.

    The degrees of freedom are Satterthwaite's, but at most the plants less the fixed columns.
    A deviation is null where its factor is not in the model (`left_out` says why) and 0 where its variance is (`at_boundary`).
    """

    difference_mpa: float | None = None
    se_mpa: float | None = None
    df: float | None = None
    ci_low_mpa: float | None = None
    ci_high_mpa: float | None = None
    p_value: float | None = None
    sd_plant_mpa: float | None = None
    sd_section_mpa: float | None = None
    sd_observer_mpa: float | None = None
    sd_leaf_mpa: float | None = None
    at_boundary: str | None = None
    left_out: str | None = None
    reason_code: str | None = None
    reason: str | None = None


def mixed_contrast(
    water_potential_mpa: list[float],
    is_first: list[bool],
    site: list[str],
    plant: list[str],
    section: list[str | None],
    observer: list[str | None],
) -> MixedContrast:
    """Compare two sides by their leaves: potential = side + site + (1 | plant) + (1 | section) + (1 | observer), REML.

    Args:
        water_potential_mpa: values of leaves, none of them a bound, MPa.
        is_first: True on the first side.
        site: sites whose levels are taken out; one name everywhere takes out none.
        plant: the leaf's plant.
        section: its lab section; null where not known.
        observer: who read it; null where not known. A factor with fewer than 5 levels, or not known for a leaf, is left out.

    Returns:
        first minus second, or the reason why the model cannot be fitted.

    Source: Bates et al. 2015, J. Stat. Softw. 67(1); Satterthwaite 1946; see `mixed`.
    """
    fixed = {"first": [float(side) for side in is_first]}
    fixed |= {f"site {name}": [float(here == name) for here in site] for name in sorted(set(site))[1:]}
    fit = mixed_model(water_potential_mpa, fixed, {"plant": plant, "section": section, "observer": observer})
    left_out = "; ".join(fit.left_out) or None
    if fit.reason_code is not None:
        return MixedContrast(left_out=left_out, reason_code=fit.reason_code, reason=fit.reason)
    sd = dict(zip(fit.factors, fit.sd, strict=True))
    difference, se = fit.estimates[1], fit.se[1]
    # Where the plants' variance is estimated as 0 the model would take each leaf as a replicate. Plants stay the unit.
    df = min(fit.df[1], float(len(set(plant)) - len(fit.terms)))
    half = float(stdtrit(df, 0.975)) * se
    return MixedContrast(
        difference_mpa=difference,
        se_mpa=se,
        df=df,
        ci_low_mpa=difference - half,
        ci_high_mpa=difference + half,
        p_value=2 * float(stdtr(df, -abs(difference) / se)),
        sd_plant_mpa=sd.get("plant"),
        sd_section_mpa=sd.get("section"),
        sd_observer_mpa=sd.get("observer"),
        sd_leaf_mpa=fit.residual_sd,
        at_boundary="; ".join(fit.at_boundary) or None,
        left_out=left_out,
    )

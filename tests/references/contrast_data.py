"""Published plants and patients for the checks of contrasts."""

from __future__ import annotations

import numpy as np

from tests.references.test_mixed_models import CO2

# Means per plant of CO2 uptake (Potvin, Lechowicz & Tardif 1990, Ecology 71:1389; R's CO2).
QUEBEC = tuple(float(np.mean(values)) for plant, values in CO2.items() if plant[0] == "Q")
MISSISSIPPI = tuple(float(np.mean(values)) for plant, values in CO2.items() if plant[0] == "M")
# Hours of extra sleep of ten patients under two drugs (Student 1908, Biometrika 6:1; R's sleep).
DRUG_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
DRUG_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)

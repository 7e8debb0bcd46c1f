"""Every statistic that the models may call by name, see `warehouse.functions`.

A statistic takes scalars and lists and returns a frozen dataclass (or a list of them, or a scalar) whose annotations are its
columns' types. Its `reason_code` and `reason` say why values are null. The same arguments always give the same result: a
bootstrap has a fixed seed, and the model lists values in a stated order.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from warehouse.statistics.attainment import attainment
from warehouse.statistics.censored_groups import censored_difference, logrank
from warehouse.statistics.contrast_words import contrast_sentence, own_history_words
from warehouse.statistics.contrasts import plant_contrast
from warehouse.statistics.contrasts_of_leaves import mixed_contrast
from warehouse.statistics.digits import digit_preference
from warehouse.statistics.group_words import group_summary
from warehouse.statistics.history import own_history
from warehouse.statistics.hydroscape import hydroscape
from warehouse.statistics.items import item_analysis
from warehouse.statistics.learning import learning_gain
from warehouse.statistics.observer_words import agreement_sentence, digit_sentence, share_sentence, spread_sentence
from warehouse.statistics.observers import observer_variance, paired_readings, within_plant_spread
from warehouse.statistics.reasons import reason_text
from warehouse.statistics.response import rain_response
from warehouse.statistics.soil_bucket import soil_water
from warehouse.statistics.weather_words import dry_spell_sentence, rain_index_sentences, soil_season_sentence

STATISTICS: tuple[Callable[..., Any], ...] = (
    *(censored_difference, logrank, group_summary, own_history),
    *(paired_readings, within_plant_spread, observer_variance, digit_preference),
    *(rain_response, hydroscape),
    *(agreement_sentence, spread_sentence, share_sentence, digit_sentence),
    *(plant_contrast, mixed_contrast, contrast_sentence, own_history_words),
    *(learning_gain, attainment, item_analysis),
    *(reason_text, soil_water, rain_index_sentences, dry_spell_sentence, soil_season_sentence),
)

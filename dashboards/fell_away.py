"""What of a reader's choices this program does not hold, in a sentence: an old link, or a section that another semester lacks."""

from __future__ import annotations

from dashboards.choices import Choices
from dashboards.words import listed, semester_words

NAMES = {"semester": "semester", "section": "section", "window": "part of the day", "taxon": "kind of plant", "site": "site"}


def fell_away(asked: Choices, chosen: Choices) -> str:
    """Which words were asked for and are not here, and what is shown instead; nothing where all are here."""
    missing = [
        f"{words} “{getattr(asked, name)}”" for name, words in NAMES.items() if getattr(asked, name) not in ("", getattr(chosen, name))
    ]
    if not missing or not chosen.semester:
        return ""
    instead = f"{semester_words(chosen.semester)}, {chosen.window}"
    return f"There is no {listed(missing, 'or')} here. This page shows {instead}; each word of the line above can be changed."

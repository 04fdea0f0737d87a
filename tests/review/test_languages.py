"""Figures of one language of a document against those of another, from the text to the finding."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.draft import draft, draft_text
from sinkside.findings import Finding, Level
from sinkside.review import review

SAMPLES = Path(__file__).parents[1] / "samples" / "own" / "open"
RULES = {"languages-disagree", "languages-disagree-on-treatment"}

ENGLISH = """FENNEL grasper
Instructions for reprocessing

1. Transport
Transport the instrument in a closed container. Cleaning must begin within 2 hours after use.

2. Cleaning
Rinse the instrument with cold water for at least 1 minute.
Soak it in a 0.5 % solution of the detergent for 10 minutes.

3. Sterilization
Sterilize with steam and a fractionated vacuum at 134 °C for at least 5 minutes.
"""
GERMAN = """FENNEL Fasszange
Aufbereitungsanleitung

1. Transport
Das Instrument in einem geschlossenen Behälter transportieren.
Die Reinigung muss innerhalb von {hours} Stunden nach der Anwendung beginnen.

2. Reinigung
Das Instrument mindestens 1 Minute mit kaltem Wasser abspülen.
In einer 0,5 %igen Lösung des Reinigers 10 Minuten einlegen.

3. Sterilisation
Mit Dampf im fraktionierten Vakuum bei {temperature} °C mindestens 5 Minuten sterilisieren.
"""


def _differences(text: str, language: str | None = None) -> list[Finding]:
    return [one for one in review(draft_text(text, language=language)) if one.rule in RULES]


def test_languages_one_after_another_that_agree_are_quiet() -> None:
    """The same figures with decimal comma and other words are no difference, whichever language is read."""
    text = ENGLISH + "\n" + GERMAN.format(hours="zwei", temperature=134)
    assert _differences(text) == []
    assert _differences(text, "de") == []


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_figure_that_differs_is_found_from_both_sides(language: str) -> None:
    """The temperature is a stop, the time to cleaning a concern; both quote both languages."""
    text = ENGLISH + "\n" + GERMAN.format(hours="sechs", temperature=132)
    found = {one.rule: one for one in _differences(text, language)}
    stop, concern = found["languages-disagree-on-treatment"], found["languages-disagree"]
    assert (stop.level, concern.level) == (Level.stop, Level.concern)
    quoted = stop.place.text + " ".join(place.text for place in stop.more_places)
    assert "134 °C" in quoted
    assert "132 °C" in quoted


def test_no_more_than_the_two_differences_are_found() -> None:
    """Alignment slips would show as differences between sentences that have nothing to do with each other."""
    text = ENGLISH + "\n" + GERMAN.format(hours="sechs", temperature=132)
    assert len(_differences(text)) == len(RULES)


def test_the_table_in_two_languages_gives_its_planted_differences() -> None:
    """Sterilization temperature, drying, time to cleaning and a total differ; nothing else does."""
    found = [
        one
        for one in review(draft(SAMPLES / "ilmbruck_hysteroscopy_scissors_two_language.txt"))
        if one.rule in RULES
    ]
    quoted = sorted(place.text for one in found for place in one.more_places)
    assert [words.split()[0] for words in quoted] == ["Dampf,", "Den", "Im", "Innerhalb"]

"""What structure has no place for is told in the maker's own words, and nothing else is repeated."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.plain.left_unsaid import left_unsaid
from sinkside.plain.operations import shown_operations


def told(sentence: str, *, language: str = "en") -> list[str]:
    """What is left unsaid of each step that is read from one sentence on cleaning."""
    text = draft_text(f"Processing instruction: Quarl 4 forceps\n\nCleaning\n{sentence}\n")
    document = text.device.document.model_copy(update={"language": language})
    text = text.model_copy(update={"device": text.device.model_copy(update={"document": document})})
    return [left_unsaid(one, text) for one in shown_operations(None, text)]


@pytest.mark.parametrize(
    ("sentence", "condition"),
    [
        ("Brush the jaw by hand with a soft brush.", "by hand"),
        ("Lay the forceps in a basket with a lid.", "with a lid"),
        ("Soak the forceps as a pair for 10 minutes.", "as a pair"),
        ("Brush the jaw under the surface of the water for 1 minute.", "under the surface"),
    ],
)
def test_a_condition_without_a_place_is_quoted(sentence: str, condition: str) -> None:
    """By hand, with a lid, as a pair, under the surface: the maker's sentence stands on the paper."""
    assert [one for one in told(sentence) if condition in one]


@pytest.mark.parametrize(
    "sentence", ["Brush the jaw for at least 2 minutes.", "Rinse the forceps at 40 °C for 1 min."]
)
def test_a_sentence_that_structure_holds_is_not_repeated(sentence: str) -> None:
    """Action, thing and figures are all that it says, so that no paper says it twice."""
    assert told(sentence) == [""]


def test_what_cannot_be_compared_is_told_whole() -> None:
    """Of a language whose small words are not known, each sentence is quoted rather than none."""
    assert told("Brush the jaw for at least 2 minutes.", language="sv") != [""]

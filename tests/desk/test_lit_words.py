"""Which words of a page are lit for a step."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sinkside.desk.lit_words import Box, boxes_of, lit_parts, lit_words

PAGE = (
    "6.",
    "Sterilization",
    "Sterilize",
    "by",
    "steam.",
    "The",
    "jaw",
    "must",
    "be",
    "open.",
    "Temperature",
    "134",
    "°C,",
    "holding",
    "time",
    "3",
    "min.",
    "Gravity",
    "processes",
    "have",
    "not",
    "been",
    "vali-",
    "dated.",
    "The",
    "jaw",
    "must",
    "be",
    "open",
    "before",
    "packing.",
)


def _said(wanted: str) -> str:
    return " ".join(PAGE[place] for place in lit_words(PAGE, wanted))


def test_the_sentence_is_lit_and_nothing_else() -> None:
    """A sentence in the middle of a page is lit from its first word to its last."""
    wanted = "Temperature 134 °C, holding time 3 min."
    assert _said(wanted) == wanted


def test_a_word_broken_at_the_line_end_is_lit_whole() -> None:
    """Words that were joined while reading stand in two pieces on the page, and both are lit."""
    said = _said("Gravity processes have not been validated.")
    assert said == "Gravity processes have not been vali- dated."


def test_rows_of_tables_are_lit_without_their_strokes() -> None:
    """The strokes that stand between the cells of a row are not on the page."""
    page = ("2", "Cleaning", "pH", "11", "55", "°C", "10", "min")
    assert lit_words(page, "| 2 | Cleaning | pH 11 | 55 °C | 10 min |") == tuple(range(8))


def test_words_that_are_not_there_light_nothing() -> None:
    """One word in common is no place."""
    assert lit_words(PAGE, "Oil the joint with the pen") == ()
    assert lit_words((), "anything") == ()
    assert lit_words(PAGE, "") == ()


def test_boxes_join_along_a_line_only() -> None:
    """Words of a line make one rectangle; the next line begins another."""
    words = [Box(50, 10, 90, 20), Box(95, 11, 140, 20), Box(20, 30, 60, 40)]
    assert boxes_of(words) == (Box(50, 10, 140, 20), Box(20, 30, 60, 40))


@given(st.lists(st.text(min_size=1, max_size=8), max_size=30), st.text(max_size=80))
def test_places_are_on_the_page_in_order(page: list[str], wanted: str) -> None:
    """Whatever is sought, the places are words of the page, each once, in reading order."""
    places = lit_words(tuple(page), wanted)
    assert places == tuple(sorted(set(places)))
    assert all(0 <= place < len(page) for place in places)


@given(st.text(alphabet="ab .", max_size=40), st.sets(st.integers(0, 12)))
def test_parts_of_a_line_say_the_line(line: str, lit: set[int]) -> None:
    """Cut in parts, a line loses nothing."""
    assert "".join(text for text, _ in lit_parts(line, frozenset(lit), 0)) == line

"""Durations as clocks show them, in texts of our own; hh:mm:ss in the order of ISO 8601-1 (from memory)."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.clocks import Clock
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.known import Known
from sinkside.draft.lexicon import read_words

HOURS, MINUTES = Clock("h", "min"), Clock("min", "s")


@pytest.mark.parametrize(
    ("words", "clock", "value", "unit"),
    [
        ("Soak for 00:10.", HOURS, 10, "min"),
        ("Soak for 04:00.", HOURS, 4, "h"),
        ("Soak for 01:30.", HOURS, 90, "min"),
        ("Soak for 05:00.", MINUTES, 5, "min"),
        ("Soak for 02:30.", MINUTES, 150, "s"),
        ("Soak for 0:03:30.", None, 210, "s"),
        ("Soak for 00:10:00.", None, 10, "min"),
    ],
)
def test_a_clock_is_a_duration(words: str, clock: Clock | None, value: float, unit: str) -> None:
    """Whole hours stay hours and whole minutes minutes; what is left over is told in the smaller unit."""
    [figure] = [
        figure
        for one in FigureGrammar(read_words(words), known=Known(clock=clock)).read()
        for figure in one.figures
    ]
    assert (figure.quantity, figure.value, figure.unit) == ("time", value, unit)
    assert figure.as_written in words


@pytest.mark.parametrize("words", ["Soak for 00:75.", "Soak for 00:1.", "Soak for 00:10."])
def test_without_a_word_on_what_it_counts_no_clock_is_guessed(words: str) -> None:
    """Two groups alone may be hours or minutes, and sixty minutes are an hour: a human decides."""
    found = FigureGrammar(read_words(words)).read()
    assert not any(figure.quantity == "time" for one in found for figure in one.figures)
    assert any(one.unread for one in found)


def test_a_share_is_no_clock() -> None:
    """'1:50' of a cleaner is how much of it goes into the bath, though the times stand as clocks."""
    reading = read_words("Mix the cleaner with water 1:50.")
    [figure] = [x for one in FigureGrammar(reading, known=Known(clock=HOURS)).read() for x in one.figures]
    assert figure.quantity == "ratio"


def test_the_head_of_the_column_says_what_clocks_count() -> None:
    """Two tables of one document may show minutes and seconds in one and hours in the other."""
    text = """Washer

| Phase | Time (mm:ss) | Temperature |
|---|---|---|
| Rinse | 02:00 | 20 °C |
| Wash | 07:30 | 55 °C |

Sterilization

| Cycle | Time (hh:mm) | Temperature |
|---|---|---|
| A | 00:05 | 134 °C |
"""
    times = [
        figure for step in draft_text(text).steps for figure in step.figures if figure.quantity == "time"
    ]
    assert [(time.value, time.unit) for time in times] == [(2, "min"), (450, "s"), (5, "min")]


def test_a_word_in_one_head_serves_the_whole_document() -> None:
    """'hh:mm' over a table says how times in the sentences are meant."""
    text = (
        "Cleaning\n\n- Soak it for at least 00:10.\n\n| Phase | Time (hh:mm) |\n|---|---|\n| Wash | 00:07 |\n"
    )
    drafted = draft_text(text)
    assert [figure.min for figure in drafted.steps[0].figures] == [10]
    assert drafted.not_understood == ()

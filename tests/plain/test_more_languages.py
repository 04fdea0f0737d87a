"""Languages to come: a catalogue is all that Portuguese or Tagalog asks for."""

from __future__ import annotations

import functools

import pytest

from sinkside.instruction import Device, Instruction, Step
from sinkside.language import Catalogue, Message, key_of, locale_of
from sinkside.plain import Habits, habits, plain_steps, reading_back
from sinkside.plain.reading_back import figures_read
from sinkside.plain.reviewing import templates_of
from sinkside.quantities import Figure

#: By language: how CLDR writes 2500.5, and its plurals (CLDR's charts, from memory).
TO_COME = {
    "pt": ("2.500,5", {"one", "many", "other"}),
    "fil": ("2,500.5", {"one", "other"}),
}


def _made_up(language: str, collection: str = "") -> Catalogue:
    """A catalogue in which each text is marked, with every plural that CLDR gives the language."""
    assert collection == "plain"
    plurals = {*locale_of(language).plural_form.tags, "other"}
    messages = {}
    for template in templates_of("de"):
        for plural in sorted(plurals) if template.plural else [""]:
            said = Message(f"~{template.english}", reviewed=False)
            messages[key_of(template.english, plural)] = said
    return Catalogue(language, messages)


@pytest.mark.parametrize("language", TO_COME)
def test_a_catalogue_is_enough(language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a catalogue and a name in the list, steps are said, counted, bounded and read back."""
    monkeypatch.setattr(habits, "LANGUAGES", {**habits.LANGUAGES, language: language})
    monkeypatch.setattr("sinkside.plain.voice.catalogue", _made_up)
    monkeypatch.setattr(reading_back, "catalogue", _made_up)
    monkeypatch.setattr(reading_back, "_reader", functools.cache(reading_back._reader.__wrapped__))
    figures = (
        Figure(quantity="volume", min=2500.5, unit="mL"),
        Figure(quantity="time", max=1, unit="d", strict=True),
        Figure(quantity="count", value=3, unit="1", role="strokes"),
    )
    step = Step(id="s1", stage="cleaning", action="brush", on=("shaft",), figures=figures)
    text = Instruction(device=Device(name="Punch"), steps=(step,))
    (said,) = plain_steps(None, text, Habits(language=language))
    written, plurals = TO_COME[language]
    assert said.headline == "~Brush the shaft"
    assert said.figures[0].number == written
    assert [(one.low, one.high, one.unit) for figure in said.figures
            for one in figures_read(figure.text, language)] == [
        (2500.5, float("inf"), "mL"), (float("-inf"), 1.0, "d"), (3.0, 3.0, "strokes")
    ]  # fmt: skip
    assert {*locale_of(language).plural_form.tags, "other"} == plurals

"""The catalogues that come with Sinkside."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from sinkside.language import Catalogue, read_catalogue

LANGUAGES = ("de", "fr", "es")
FIELD = re.compile(r"\{[^}]*\}")


def _read(language: str) -> Catalogue:
    file = resources.files("sinkside.language").joinpath("catalogues", f"{language}.po")
    with file.open("rb") as stream:
        return read_catalogue(stream, language)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_translation_carries_the_same_evidence(language: str) -> None:
    """Every field of a sentence, with its decimals, stands in the translation, so that no figure is lost."""
    uneven = [
        english
        for english, message in _read(language).messages.items()
        if sorted(FIELD.findall(english)) != sorted(FIELD.findall(message.text))
    ]
    assert uneven == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_figures_written_into_sentences_survive(language: str) -> None:
    """A number in an English sentence is the same number in the translation."""
    numbers = re.compile(r"\d+")
    changed = [
        english
        for english, message in _read(language).messages.items()
        if sorted(numbers.findall(FIELD.sub("", english)))
        != sorted(numbers.findall(FIELD.sub("", message.text)))
    ]
    assert changed == []


def test_all_languages_say_the_same_things() -> None:
    """No sentence is translated into one language and forgotten in another."""
    german, french, spanish = (set(_read(language).messages) for language in LANGUAGES)
    assert german == french == spanish


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_passes_as_reviewed_that_nobody_reviewed(language: str) -> None:
    """No person has confirmed these catalogues yet, and every entry says so."""
    confirmed = [m for m in _read(language).messages.values() if m.reviewed]
    assert confirmed == []

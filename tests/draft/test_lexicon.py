"""The data files of the lexicon say only what the code can use."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

import pytest

from sinkside.draft.lexicon import LANGUAGES, lexicon_for, read_words
from sinkside.instruction import POSITIONS, Action, AirRemoval, FeatureKind, PartUse, Stage
from sinkside.quantities import FigureQuantity
from sinkside.quantities.units import canonical_unit

FOLDER = resources.files("sinkside") / "draft" / "lexicons"


def _tables(language: str) -> dict[str, Any]:
    merged: dict[str, Any] = {}
    for file in [FOLDER / "units.toml", *(FOLDER / language).iterdir()]:
        merged.update(tomllib.loads(file.read_text(encoding="utf-8")))
    return merged


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_meaning_is_one_of_the_vocabulary(language: str) -> None:
    """Stages, actions, kinds of feature and part use are spelled as the instruction spells them."""
    tables = _tables(language)
    vocabularies: dict[str, set[str]] = {
        "stage": {str(one) for one in Stage},
        "action": {str(one) for one in Action},
        "feature": {str(one) for one in FeatureKind},
        "single_use": {str(one) for one in PartUse},
        "air_removal": {str(one) for one in AirRemoval},
    }
    for category, known in vocabularies.items():
        assert {one for key in tables[category] for one in key.split("+")} <= known, category
    for position in tables["position"]:
        feature, value = position.split(":")
        assert value in POSITIONS[feature]


def test_every_unit_can_be_carried_by_a_figure() -> None:
    """Each unit has a quantity and a spelling of the format; all others are marked as foreign."""
    for key in _tables("en")["unit"]:
        quantity, unit = key.split(":")
        if quantity != "foreign":
            assert quantity in {str(one) for one in FigureQuantity}
            assert unit == "mL/mL" or canonical_unit(unit) == unit


@pytest.mark.parametrize(
    ("word", "action"), [("rinsed", "rinse"), ("rinsing", "rinse"), ("flushes", "flush"), ("dried", "dry")]
)
def test_words_count_in_their_forms(word: str, action: str) -> None:
    """The endings of the language lead back to the word of the lexicon."""
    assert read_words(word).has("action", action)


def test_an_unknown_language_is_refused() -> None:
    """A language without a folder has no lexicon."""
    with pytest.raises(KeyError):
        lexicon_for("xx")

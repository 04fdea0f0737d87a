"""The page of words has every word that files may use."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path

import pytest

from sinkside.findings import Level
from sinkside.instruction import (
    POSITIONS,
    Action,
    AirRemoval,
    FeatureKind,
    FigureRole,
    PartUse,
    Stage,
    StatementKind,
)
from sinkside.quantities import Bound
from sinkside.route import Station
from sinkside.sources import WAYS_OF_READING

WORDS = (Path(__file__).parents[1] / "docs" / "words.md").read_text("utf-8")
KINDS: tuple[type[StrEnum], ...] = (
    Action,
    AirRemoval,
    Bound,
    FeatureKind,
    FigureRole,
    Level,
    PartUse,
    Stage,
    StatementKind,
    Station,
)


def _missing(words: list[str]) -> list[str]:
    return [word for word in words if f"`{word}`" not in WORDS]


@pytest.mark.parametrize("kind", KINDS)
def test_every_word_of_the_vocabulary_is_explained(kind: type[StrEnum]) -> None:
    """docs/words.md names each value of each vocabulary as files write it."""
    assert _missing([word.value for word in kind]) == []


def test_every_position_and_way_of_reading_is_explained() -> None:
    """docs/words.md names each moving feature with its positions, and each way a source was read."""
    for feature, positions in POSITIONS.items():
        row = next(
            line for line in WORDS.splitlines() if line.startswith(f"| `{feature}` | `{positions[0]}`")
        )
        assert [position for position in positions if f"`{position}`" not in row] == []
    assert _missing(list(WAYS_OF_READING)) == []

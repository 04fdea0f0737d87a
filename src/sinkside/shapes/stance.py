"""In which position each moving feature is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sinkside.errors import BadInput
from sinkside.instruction import POSITIONS


@dataclass(frozen=True)
class Stance:
    """The position of every moving feature; where nothing is stated, as the device lies at rest."""

    jaw: str = "closed"
    ratchet: str = "released"
    sleeve: str = "forward"
    port: str = "open"
    knob: str = "straight"
    part: str = "assembled"

    @classmethod
    def of(cls, positions: Mapping[str, str]) -> Stance:
        """The stance that some positions ask for.

        Raises:
            BadInput: if a feature or its position is none of the vocabulary.

        >>> Stance.of({"jaw": "open"}).jaw
        'open'
        """
        for feature, position in positions.items():
            expected = POSITIONS.get(feature)
            if expected is None:
                raise BadInput(f"'{feature}' has no positions; expected one of {', '.join(POSITIONS)}")
            if position not in expected:
                raise BadInput(f"'{feature}: {position}' is no position; expected {' or '.join(expected)}")
        return cls(**positions)

    def __getitem__(self, feature: str) -> str:
        position: str = getattr(self, feature)
        return position

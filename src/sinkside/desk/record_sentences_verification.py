"""What events of verification say: cleaning tests, families, texts, water."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from pydantic import JsonValue

Data = Mapping[str, JsonValue]


def _tested(data: Data) -> str:
    return f"tested the cleaning of {data['device']}: {'passed' if data['passed'] else 'not passed'}"


#: Sentences without their subject: who did it stands before them.
VERIFICATION: Final[Mapping[str, str | Callable[[Data], str]]] = {
    "verification-planned": lambda data: f"planned {{subject}} with {data['devices']} devices",
    "verification-devices-added": lambda data: f"added {data['devices']} devices to {{subject}}",
    "verification-device-changed": lambda data: (
        f"changed {{subject}}: {data['device']}, {data['times']} tests in the period"
    ),
    "verification-goes-on": lambda data: f"let the work on {data['device']} go on, {{subject}}",
    "verification-ended": "ended {subject}",
    "verification-tested": lambda data: f"{_tested(data)}, {{subject}}",
    "maker-asked-if-current": "asked the maker whether the text of {subject} is current",
    "maker-answered-if-current": "kept what the maker answered of the text of {subject}",
    "product-family-made": lambda data: f"made {{subject}} of {data['sets']} sets",
    "product-family-grew": lambda data: f"added a set to {{subject}}, which has {data['sets']} now",
    "product-tested": lambda data: (
        f"recorded a product test of {{subject}}: {'passed' if data['passed'] else 'not passed'}"
    ),
    "water-event-begun": lambda data: (
        f"wrote down a water event, {{subject}}: {data['machines']} machines stand still"
    ),
    "water-event-over": "said that the water is back: {subject}",
    "water-event-closed": "let everything go on after a water event: {subject}",
    "water-exception-made": "let one load go on under exception during a water event: {subject}",
    "water-exception-used": "began the load that may go on during a water event: {subject}",
    "verification-result": lambda data: (
        f"kept what was found on {{subject}}: {'passed' if data['passed'] else 'not passed'}"
    ),
}

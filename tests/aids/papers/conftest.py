"""An invented punch that comes apart, has an edge and sticks, for the tests of papers."""

from __future__ import annotations

import pytest

from sinkside.instruction import Instruction

_PARTS = [
    {"id": "base", "name": "base shaft"},
    {"id": "slide", "name": "sliding shaft"},
    {"id": "screw", "name": "locking screw"},
    {"id": "seal", "name": "seal", "use": "new-at-assembly"},
    {"id": "cap", "name": "tip cap", "use": "discard-after-use"},
]
_FEATURES = [
    {"id": "sleeve", "kind": "sliding-sleeve", "part": "slide"},
    {"id": "edge", "kind": "cutting-edge", "part": "slide", "name": "cutting edge"},
    {"id": "jaw", "kind": "jaw", "part": "slide"},
    {"id": "thread", "kind": "thread", "part": "screw"},
]


def _said(kind: str, line: int, text: str) -> dict[str, object]:
    return {"kind": kind, "origin": {"page": 1, "line": line, "text": text}}


def _step(number: int, stage: str, action: str, **more: object) -> dict[str, object]:
    origin = {"page": 1, "line": 10 + number, "text": more.pop("text", f"Sentence {number} of the text.")}
    return {"id": f"s{number}", "stage": stage, "action": action, "origin": origin, **more}


def _minutes(number: float) -> dict[str, object]:
    return {"quantity": "time", "min": number, "unit": "min", "as_written": f"at least {number:g} min"}


def make_punch() -> Instruction:
    """A sliding bone punch of an invented maker."""
    bath = "Immerse it in cleaner at 5 mL/L for at least 10 minutes."
    return Instruction.model_validate(
        {
            "device": {
                "name": "Merlebank 3 mm sliding bone punch",
                "maker": "Oddling & Rusk",
                "document": {"title": "MB-3 processing", "revision": "2"},
                "parts": _PARTS,
                "features": _FEATURES,
            },
            "steps": [
                _step(1, "point-of-use", "discard-part", on=["cap"]),
                _step(2, "transport", "start-cleaning", figures=[
                    {"quantity": "time", "max": 2, "unit": "h", "role": "time-since-use"}]),
                _step(3, "preparation", "take-apart", on=["base", "slide"]),
                _step(4, "cleaning", "soak", with_="cleaner", text=bath),
                _step(5, "cleaning", "prepare-solution", text=bath, figures=[
                    {"quantity": "concentration", "value": 5, "unit": "mL/L", "role": "dose"}, _minutes(10)]),
                _step(6, "cleaning", "wash", figures=[
                    {"quantity": "temperature", "min": 55, "max": 60, "unit": "°C"}, _minutes(5)]),
                _step(7, "disinfection", "disinfect", figures=[
                    {"quantity": "temperature", "min": 90, "unit": "°C"}, _minutes(5)]),
                _step(8, "inspection", "inspect", on=["edge"], until="no notch is seen", figures=[
                    {"quantity": "count", "min": 8, "unit": "1", "role": "magnification"}]),
                _step(9, "maintenance", "lubricate", on=["slide"], figures=[
                    {"quantity": "count", "value": 1, "unit": "1", "role": "drops"}]),
                _step(10, "inspection", "put-together"),
                _step(11, "inspection", "test", on=["slide"], text="Test that the sliding shaft glides."),
                _step(12, "preparation", "set-position", positions={"jaw": "open"}),
                _step(13, "packaging", "pack"),
                _step(14, "sterilization", "sterilize", air_removal="prevacuum", figures=[
                    {"quantity": "temperature", "value": 134, "unit": "°C"}, _minutes(3)]),
                _step(15, "storage", "store"),
                _step(16, "maintenance", "count-use"),
            ],
            "statements": [
                _said("prohibition", 1, "WARNING: Do not soak it in saline."),
                _said("prohibition", 2, "Do not use a punch with a cracked shaft."),
                _said("warning", 3, "If the sliding shaft sticks, never use force."),
                _said("life", 4, "The punch may be used 500 times."),
            ],
        }
    )  # fmt: skip


@pytest.fixture
def punch() -> Instruction:
    """A sliding bone punch of an invented maker."""
    return make_punch()

"""What a text says in two places is set side by side, however it is worded; the same put right stays quiet.

The texts are our own and stand in `two_places.toml`; their wordings are common practice, no source.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Level
from sinkside.review import review

_PAIRS = tomllib.loads(Path(__file__).with_name("two_places.toml").read_text("utf-8"))["pair"]


def _rules(text: str) -> set[str]:
    """The rules that speak louder than a note."""
    findings = review(draft_text(f"Grasper G1\n\n{text}"))
    return {finding.rule for finding in findings if finding.level is not Level.note}


@pytest.mark.parametrize("pair", _PAIRS, ids=lambda pair: pair["rule"])
def test_the_fault_is_found_and_the_right_text_is_not(pair: dict[str, str]) -> None:
    """The rule speaks of the text with the fault and is silent on the same text put right."""
    assert pair["rule"] in _rules(pair["faulty"])
    assert pair["rule"] not in _rules(pair["right"])

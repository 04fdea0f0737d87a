"""Right texts that a rule once took for wrong: it is silent on them, and finds the fault beside them.

The texts are our own and stand in `right_texts.toml`; their wordings are common practice, no source.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Level
from sinkside.review import review

_CLASSES = tomllib.loads(Path(__file__).with_name("right_texts.toml").read_text("utf-8"))["class"]
_RIGHT = [(one["rule"], one.get("around", "") + text) for one in _CLASSES for text in one["right"]]


def _rules(text: str) -> set[str]:
    """The rules that speak louder than a note."""
    findings = review(draft_text(f"LINNET SURGICAL LTD\nLARK forceps\n\n{text}"))
    return {finding.rule for finding in findings if finding.level is not Level.note}


@pytest.mark.parametrize("one", _CLASSES, ids=lambda one: one["rule"])
def test_the_fault_is_found(one: dict[str, str]) -> None:
    """The rule speaks of the text with the fault."""
    assert one["rule"] in _rules(one.get("around", "") + one["faulty"])


@pytest.mark.parametrize(("rule", "text"), _RIGHT)
def test_the_right_text_is_let_be(rule: str, text: str) -> None:
    """The rule is silent on what makers rightly write."""
    assert rule not in _rules(text)

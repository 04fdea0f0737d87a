"""Figures set against what is told of them elsewhere: brush and bore, cycles and proof, dose and vessel.

The sentences are invented. That each way inside is cleaned, and how, is asked by ISO 17664-1 (from memory);
A0 is counted as in ISO 15883-1 (from memory); drinking water has at most 2500 µS/cm by Directive (EU)
2020/2184 (from memory).
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sinkside.draft import draft_text
from sinkside.review import review

TITLE = "LINNET SURGICAL LTD\nLARK aspiration needle with stopcock, cannula and stylet\n\n"
_TEXTS = tomllib.loads((Path(__file__).parent / "figures_against_figures.toml").read_text(encoding="utf-8"))
CASES, FOREIGN = _TEXTS["case"], _TEXTS["foreign"]


def _rules(text: str) -> set[str]:
    return {finding.rule for finding in review(draft_text(text))}


@pytest.mark.parametrize("case", CASES, ids=[f"{n}-{case['rule']}" for n, case in enumerate(CASES)])
def test_a_figure_against_another_is_heard_and_its_right_form_is_not(case: dict[str, str]) -> None:
    """The rule speaks of the words with the fault and is silent on the same work put right."""
    assert case["rule"] in _rules(f"{TITLE}{case['faulty']}")
    assert case["rule"] not in _rules(f"{TITLE}{case['right']}")


@pytest.mark.parametrize("case", FOREIGN, ids=[f"{n}-{case['rule']}" for n, case in enumerate(FOREIGN)])
def test_the_same_is_heard_in_other_languages(case: dict[str, str]) -> None:
    """German, French and Spanish words for the same fault are heard."""
    assert case["rule"] in _rules(case["text"])

"""Kinds of fault that an author plants: each is found where it stands, and its right counterpart is let be.

The clean texts (`families/*.txt`), the faults and their counterparts (`families/*.toml`) are our own; no
published corpus of faulty instructions was available. `name` says what is wrong, `faults` and `rights` put
words of one of the texts in place of others, `quote` is the place where that shows, if it is another.
"""

from __future__ import annotations

import functools
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from sinkside.draft import draft_text
from sinkside.findings import Finding, Level
from sinkside.review import review

_FAMILIES = Path(__file__).parent / "families"
_TEXTS = {path.stem: path.read_text("utf-8") for path in sorted(_FAMILIES.glob("*.txt"))}
_HALF = 0.5


@dataclass(frozen=True)
class Change:
    """One change of a clean text, and the words where a finding must stand."""

    kind: str
    base: str
    text: str
    quotes: tuple[str, ...]
    minor: bool


def _changes(side: str) -> list[Any]:
    """Every change of one side; of each kind the first is tried in every run, the others in the long one."""
    changes = []
    for path in sorted(_FAMILIES.glob("*.toml")):
        for kind in tomllib.loads(path.read_text("utf-8"))["kind"]:
            for number, (base, old, new) in enumerate(kind.get(side, [])):
                marks = [pytest.mark.long] if number else []
                change = _change(kind, base, old, new)
                name = f"{path.stem}: {kind['name']} {number + 1}"
                changes.append(pytest.param(change, marks=marks, id=name))
    return changes


def _change(kind: dict[str, Any], base: str, old: str | list[str], new: str | list[str]) -> Change:
    text = _TEXTS[base]
    olds, news = ([old], [new]) if isinstance(old, str) and isinstance(new, str) else (old, new)
    for before, after in zip(olds, news, strict=True):
        assert before in text, f"{base} does not say: {before}"
        text = text.replace(before, after, 1)
    changed = [line for line in text.splitlines() if line not in _TEXTS[base].splitlines()]
    named = kind.get("quote", {}).get(base)
    return Change(
        kind["name"], base, text, (*([named] if named else []), *news, *changed), kind.get("minor", False)
    )


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.lower())


def _quotes(finding: Finding, quotes: tuple[str, ...]) -> bool:
    """Whether a place of a finding holds at least half the words of a quote."""
    for place in (finding.place, *finding.more_places):
        held = set(_words(place.text or ""))
        for quote in quotes:
            wanted = _words(quote)
            if wanted and sum(word in held for word in wanted) >= _HALF * len(wanted):
                return True
    return False


@functools.cache
def _of_the_clean_text(base: str) -> frozenset[tuple[str, str]]:
    findings = review(draft_text(_TEXTS[base]))
    return frozenset((finding.rule, finding.message) for finding in findings)


def _new_findings(change: Change) -> list[Finding]:
    known = _of_the_clean_text(change.base)
    findings = review(draft_text(change.text))
    return [finding for finding in findings if (finding.rule, finding.message) not in known]


@pytest.mark.parametrize("base", sorted(_TEXTS))
def test_a_clean_text_is_let_be(base: str) -> None:
    """The texts that faults are planted in have none before."""
    assert [f.rule for f in review(draft_text(_TEXTS[base])) if f.level is not Level.note] == []


@pytest.mark.parametrize("change", _changes("faults"))
def test_a_planted_fault_is_found_where_it_stands(change: Change) -> None:
    """A finding, louder than a note unless the fault is minor, holds the words that are wrong."""
    findings = [f for f in _new_findings(change) if change.minor or f.level is not Level.note]
    assert any(_quotes(finding, change.quotes) for finding in findings)


@pytest.mark.parametrize("change", _changes("rights"))
def test_the_right_counterpart_is_let_be(change: Change) -> None:
    """The same words put right trip nothing louder than a note."""
    assert [f.rule for f in _new_findings(change) if f.level is not Level.note] == []

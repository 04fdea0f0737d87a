"""One right text in four languages, and defects put into it: nobody cries wolf, and each is heard.

Texts and defects are our own; no published corpus of annotated instructions was available.
"""

from __future__ import annotations

import functools
import re
from pathlib import Path
from typing import Any

import pytest

from sinkside.documents import parse
from sinkside.draft import draft_text
from sinkside.findings import Finding, Level
from sinkside.review import review

FOLDER = Path(__file__).parent / "four_languages"
SOURCE = FOLDER / "wordings.yaml"
WORDINGS: Any = parse(SOURCE.read_text(encoding="utf-8"), resource=SOURCE.name, is_yaml=True)
LANGUAGES = ("en", "de", "fr", "es")
_SLOT = re.compile(r"^\[(\w+)\] ", re.MULTILINE)


def loud(text: str) -> list[Finding]:
    """The stops and concerns on a text whose slots lose their marks."""
    return [f for f in review(draft_text(_SLOT.sub("", text))) if f.level is not Level.note]


@functools.cache
def right_text(language: str) -> str:
    """The right text of a language, each line with the mark of its slot."""
    return (FOLDER / f"{language}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_right_text_raises_no_alarm(language: str) -> None:
    """The same right text is let be in every language."""
    assert [(f.rule, f.place.text) for f in loud(right_text(language))] == []


@pytest.mark.parametrize("wording", WORDINGS, ids=lambda one: f"{one['language']}-{one['says'][:40]}")
def test_a_defect_is_heard_in_its_language(wording: dict[str, Any]) -> None:
    """A defect that is put into the right text is found where it stands."""
    mark = f"[{wording['slot']}] "
    before, line = right_text(wording["language"]).split(mark, 1)
    first, _, rest = line.partition("\n")
    kept = f"{first}\n" if wording["behind"] else ""
    findings = loud(f"{before}{kept}{wording['says']}\n{rest}")
    words = set(wording["says"].split())
    told = [{*f.place.text.split(), *(w for p in f.more_places for w in p.text.split())} for f in findings]
    assert any(2 * len(words & there) >= len(words) for there in told)

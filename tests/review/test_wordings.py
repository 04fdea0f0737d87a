"""One defect, many wordings: whoever writes it, in a list, a table or prose, the rule for it must hear it.

Texts and defects are our own; no published corpus of annotated instructions was available.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sinkside.documents import parse
from sinkside.draft import draft_text
from sinkside.review import review

DOCUMENTS = Path(__file__).parent / "documents"
SOURCE = DOCUMENTS / "wordings.yaml"
WORDINGS: Any = parse(SOURCE.read_text(encoding="utf-8"), resource=SOURCE.name, is_yaml=True)


@pytest.mark.parametrize("wording", WORDINGS, ids=lambda wording: str(wording["rule"]))
def test_a_defect_is_heard_however_it_is_worded(wording: dict[str, str]) -> None:
    """The rule for a planted defect speaks, whatever words the defect is told in."""
    text = (DOCUMENTS / f"{wording['document']}.txt").read_text(encoding="utf-8")
    assert wording["words"] in text
    findings = review(draft_text(text.replace(wording["words"], wording["defect"], 1)))
    assert wording["rule"] in {finding.rule for finding in findings}

"""Spellings are found as by one pattern for all of them, and the first review is as quick as the bar.

The reference is the `re` module of Python with one pattern of alternatives.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sinkside.review.spelling import Spellings
from support.pace import quickest_s

_SAMPLES = Path(__file__).parent.parent / "samples"
_WORD = st.text(alphabet="abAB-é", min_size=1, max_size=3)
_SPELLING = st.lists(st.tuples(_WORD, st.sampled_from(["", "*"])), min_size=1, max_size=3).map(
    lambda words: " ".join(word + star for word, star in words)
)
_TEXT = st.text(alphabet="abABé -,.", max_size=30)

#: Processor time of the first review of a process, import left aside (issue: all rules within 0.3 s).
_BAR_S = 0.3
_FIRST = """
import sys, time
from pathlib import Path
from sinkside.draft import draft_text
from sinkside.review import review
drafted = draft_text(Path(sys.argv[1]).read_text("utf-8"))
begin = time.process_time()
review(drafted)
print(time.process_time() - begin)
"""


def _spelled(words: str) -> str:
    return re.escape(words).replace(r"\*", r"\w*").replace(r"\ ", r"[\s-]+")


@given(st.lists(_SPELLING, min_size=1, max_size=6), _TEXT)
@example(["a", "a b"], "A-b a")
@example(["ab", "a*"], "abA Ab")
def test_spellings_are_found_as_by_one_pattern(words: list[str], text: str) -> None:
    """Any spellings in any text are found where one pattern of all of them in their order finds them."""
    one = re.compile(rf"(?<!\w)(?:{'|'.join(map(_spelled, words))})(?!\w)", re.IGNORECASE)
    many = Spellings(words, _spelled, behind=r"(?!\w)")
    assert [match.span() for match in many.finditer(text)] == [match.span() for match in one.finditer(text)]
    assert many.sub("+", text) == one.sub("+", text)
    assert many.is_in(text) == (one.search(text) is not None)
    found, expected = many.search(text), one.search(text)
    assert (found and found.span()) == (expected and expected.span())


@pytest.mark.parametrize("name", ["a_arthroscopy_us_bullets.txt", "own/fresh_f/*german*.txt"])
def test_the_first_review_of_a_process_is_quick(name: str) -> None:
    """All rules on a text take no more than the bar in a process that has reviewed nothing before."""
    path = next(_SAMPLES.glob(name))

    def seconds() -> float:
        said = subprocess.run(
            [sys.executable, "-c", _FIRST, path], capture_output=True, text=True, check=True
        )
        return float(said.stdout)

    assert quickest_s(seconds) <= _BAR_S

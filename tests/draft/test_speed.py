"""Long texts take their time in proportion to their length, and what no instruction can be is refused."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable

import pytest

from sinkside.draft import draft_text
from sinkside.draft.drafting import MOST_LINES, MOST_SIGNS
from sinkside.draft.lexicon import lexicon_for, read_words
from sinkside.draft.splitting import split_sentences
from sinkside.errors import UnreadableFile

#: Twice the text may take this many times as long, on a machine that others use too.
_MOST_GROWTH = 4.0
_FLOOR_S = 0.15


def _growth(text: str, longer: str) -> float:
    """How many times as long the longer one takes: measured again where it is much, as machines are busy."""
    growth = _seconds(longer) / _seconds(text)
    return growth if growth < _MOST_GROWTH else _seconds(longer) / _seconds(text)


def _seconds(text: str) -> float:
    """The processor time that a draft takes."""
    read_words.cache_clear()
    gc.collect()  # what other tests left behind is not this text's
    begin = time.process_time()
    draft_text(text)
    return max(time.process_time() - begin, _FLOOR_S)


SHAPES: dict[str, Callable[[int], str]] = {
    "sentences": lambda count: "\n".join(f"Rinse the zorb{x} for {x % 50 + 1} min." for x in range(count)),
    "one sentence": lambda count: " ".join(f"rinse zorb{x} for 3 min and" for x in range(count)),
    "a list": lambda count: "Do not: " + "; ".join(f"rinse the zorb{x} for 3 min" for x in range(count)),
    "states": lambda count: " ".join("jaw open ratchet" for _ in range(count)),
    "headings": lambda count: "\n\n".join(f"Zorb x{x}" for x in range(count)),
    "rows": lambda count: "\n".join(f"| {x} | Cleaning | rinse zorb{x} | 3 min |" for x in range(count)),
    "open rows": lambda count: "\n".join(f"| {x} | Cleaning rinse zorb{x}" for x in range(count)),
    "numbers": lambda count: " ".join("5" for _ in range(count)),
    "one word": lambda count: "a" * count * 10,
    "brackets": lambda count: "(" * count + " 5 min; " + ")" * count,
}


@pytest.mark.parametrize("shape", sorted(SHAPES))
def test_time_grows_with_the_length(shape: str) -> None:
    """Twice as much of anything takes about twice as long, never four times: nothing is quadratic."""
    make = SHAPES[shape]
    lexicon_for("en")
    assert _growth(f"Cleaning\n\n{make(300)}", f"Cleaning\n\n{make(600)}") < _MOST_GROWTH


def test_what_never_ends_is_cut_between_words() -> None:
    """A sentence without an end is read in bearable pieces, and none of its words is lost."""
    text = " ".join(f"zorb{x}" for x in range(2000))
    pieces = [text[start:end] for start, end, _ in split_sentences(text)]
    assert max(len(piece) for piece in pieces) <= 2500
    assert " ".join(pieces) == text
    assert [text for _ in split_sentences("Rinse it.")] == [text]


def test_more_than_an_instruction_can_hold_is_refused_in_one_sentence() -> None:
    """The bound is said with what was found; a text at the bound is none of them."""
    with pytest.raises(UnreadableFile, match=f"at most {MOST_LINES} lines and {MOST_SIGNS} signs"):
        draft_text("\n".join("zorb" for _ in range(MOST_LINES + 1)))
    with pytest.raises(UnreadableFile, match=f"{MOST_SIGNS + 1} signs"):
        draft_text("a" * (MOST_SIGNS + 1))
    assert draft_text("Cleaning\n\nRinse the tip.").steps


def test_a_phrase_is_found_by_its_longest_fit() -> None:
    """A unit of two pieces wins over its first piece, and capitals count where the lexicon says so."""
    flow = read_words("10 L/min")
    assert [lexeme.value for lexeme in flow.all("unit")] == ["flow:L/min"]
    assert [lexeme.value for lexeme in read_words("10 MPa").all("unit")] == ["pressure:MPa"]
    assert read_words("10 mpa").all("unit") == []

"""The bibliography: every source says what it is and how it was read."""

from __future__ import annotations

import pytest

from sinkside.errors import BadInput
from sinkside.sources import WAYS_OF_READING, Source, bibliography, source


def test_every_entry_says_what_it_is() -> None:
    """Each source of the bibliography has a title and a known way of reading."""
    entries = bibliography()
    assert len(entries) > 60
    for entry in entries:
        assert entry.title, entry.key
        assert entry.how_read in WAYS_OF_READING


def test_one_book_read_in_one_clause_and_quoted_in_another() -> None:
    """A clause that was read is trusted although the book as a whole is known second-hand."""
    assert source("cdc-2008", "Table 7").trusted
    assert not source("cdc-2008").trusted
    assert source("cdc-2008", "Shelf life").how_read_phrase == "quoted second-hand"


def test_a_figure_may_say_itself_how_it_was_read() -> None:
    """What the figure says of its own clause comes before what the bibliography says."""
    assert source("en-285", "thermometric tests", how_read="second-hand").how_read == "second-hand"
    assert source("en-285").at("condensate table", how_read="memory").clause == "condensate table"


@pytest.mark.parametrize(("how_read", "trusted"), [("read", True), ("computed", True), ("memory", False)])
def test_only_read_and_computed_are_trusted(how_read: str, *, trusted: bool) -> None:
    """A figure may be shown without a warning only if it was read or computed."""
    assert Source("k", title="T", how_read=how_read).trusted is trusted


def test_a_source_reads_as_a_citation() -> None:
    """A source prints as title, edition and clause, without empty places."""
    assert str(Source("k", title="T", edition="2015", clause="Table 1")) == "T, 2015, Table 1"
    assert str(Source("k", title="T")) == "T"


def test_unknown_sources_and_ways_of_reading_are_refused() -> None:
    """A key that is not in the bibliography, and a way of reading that nobody knows, are errors in words."""
    with pytest.raises(BadInput, match="no source 'nowhere'"):
        source("nowhere")
    with pytest.raises(BadInput, match="'hearsay' is no way of reading; expected one of read"):
        Source("k", title="T", how_read="hearsay")

"""The journal in the archive: appended, found again, read as it was stored."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.errors import BadInput
from sinkside.journal import check
from sinkside.records import Wanted
from support.archive_places import DEPARTMENT, happening, later


def _append(archive: WorkspaceArchive, count: int, **more: str) -> None:
    with archive.unit() as unit:
        for number in range(count):
            unit.journal.append(DEPARTMENT, happening(number, **more))


def test_the_stored_bytes_are_a_whole_chain(archive: WorkspaceArchive) -> None:
    """What is stored passes the journal's own check against the head, in portions too."""
    _append(archive, 1003)
    with archive.unit(writes=False) as unit:
        head = unit.journal.head(DEPARTMENT)
        assert head is not None
        assert head.sequence == 1003
        stored = list(unit.journal.stored(DEPARTMENT))
        assert len(stored) == 1003
        assert check(stored, head=head) is None
        assert list(unit.journal.stored(DEPARTMENT, after=1001)) == stored[1001:]


def test_an_event_comes_back_as_it_was(archive: WorkspaceArchive) -> None:
    """An appended event is what is found, to the byte."""
    with archive.unit() as unit:
        appended = unit.journal.append(DEPARTMENT, happening(7, note="naïve Ω"))
    with archive.unit(writes=False) as unit:
        [found] = unit.journal.events(DEPARTMENT, Wanted())
    assert found == appended
    assert found.canonical == appended.canonical


@pytest.mark.parametrize(
    ("wanted", "numbers"),
    [
        (Wanted(limit=2), [9, 8]),
        (Wanted(before=4), [2, 1, 0]),
        (Wanted(since=later(3), until=later(5)), [4, 3]),
        (Wanted(subject="instruction:6"), [6]),
        (Wanted(kinds=("cycle-judged",)), []),
        (Wanted(actor="system", limit=1), [9]),
        (Wanted(text="INSTRUCTION:8"), [8]),
        (Wanted(subjects=("instruction:6", "instruction:2", "instruction:99")), [6, 2]),
        (Wanted(after=8), [9, 8]),
        (Wanted(subjects=("instruction:6", "instruction:2"), after=3, before=8), [6]),
        (Wanted(text="größe 5%"), [9, 8, 7, 6, 5, 4, 3, 2, 1, 0]),
        (Wanted(text="größe 5_"), []),
    ],
)
def test_events_are_found(archive: WorkspaceArchive, wanted: Wanted, numbers: list[int]) -> None:
    """Each way to ask gives its events, newest first; signs of the search language mean themselves."""
    _append(archive, 10, note="GRÖSSE größe 5%")
    with archive.unit(writes=False) as unit:
        assert [event.data["number"] for event in unit.journal.events(DEPARTMENT, wanted)] == numbers


def test_a_moment_leads_to_the_first_event_from_then_on(archive: WorkspaceArchive) -> None:
    """Between two events it is the later one, at one itself, after all of them the next that will be."""
    with archive.unit(writes=False) as unit:
        assert unit.journal.first_since(DEPARTMENT, later(0)) == 1
    _append(archive, 10)
    with archive.unit(writes=False) as unit:
        found = [unit.journal.first_since(DEPARTMENT, later(at)) for at in (-1, 0, 3, 9, 10)]
        assert found == [1, 1, 4, 10, 11]
        between = later(3) + timedelta(milliseconds=1)
        assert unit.journal.first_since(DEPARTMENT, between) == 5


def test_an_unknown_department_has_no_chain(archive: WorkspaceArchive) -> None:
    """Nothing is appended where there is no department."""
    with pytest.raises(BadInput, match="no such department"), archive.unit() as unit:
        unit.journal.append("nowhere", happening())
    with archive.unit(writes=False) as unit:
        assert unit.journal.head("nowhere") is None


def test_what_events_are_about_is_told_of_all_of_them(archive: WorkspaceArchive) -> None:
    """However few are wanted at once, each subject comes, once; a search narrows them as it does events."""
    _append(archive, 6)
    _append(archive, 3)
    with archive.unit(writes=False) as unit:
        about = unit.journal.subjects(DEPARTMENT, Wanted(limit=1))
        assert about == {f"instruction:{number}" for number in range(6)}
        assert unit.journal.subjects(DEPARTMENT, Wanted(after=6)) == {
            "instruction:0",
            "instruction:1",
            "instruction:2",
        }
        assert unit.journal.subjects(DEPARTMENT, Wanted(text="INSTRUCTION:5")) == {"instruction:5"}
        assert unit.journal.subjects("nowhere", Wanted()) == frozenset()

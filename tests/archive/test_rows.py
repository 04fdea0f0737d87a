"""Lists: what is due first, then the latest changed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sinkside.archive import WorkspaceArchive
from sinkside.records import WantedRows
from support.archive_places import DEPARTMENT, later, row


def test_a_row_comes_back_as_it_was(archive: WorkspaceArchive) -> None:
    """Every kind of field survives, and a second put changes the row."""
    with archive.unit() as unit:
        unit.rows.put(row(1))
        assert unit.rows.get("instruction", "i-1") == row(1)
        unit.rows.put(row(1, state="approved", due=later(5)))
        assert unit.rows.get("instruction", "i-1") == row(1, state="approved", due=later(5))
        assert unit.rows.count("instruction", [DEPARTMENT]) == 1


def test_what_is_due_comes_first(archive: WorkspaceArchive) -> None:
    """Due rows by date, then the rest by change, page by page."""
    with archive.unit() as unit:
        for one in (row(1), row(2), row(3, due=later(900)), row(4, due=later(100))):
            unit.rows.put(one)
        found = [one.id for one in unit.rows.all("instruction", [DEPARTMENT])]
        assert found == ["i-4", "i-3", "i-2", "i-1"]
        page = unit.rows.all("instruction", [DEPARTMENT], limit=2, offset=1)
        assert [one.id for one in page] == ["i-3", "i-2"]


def test_rows_are_chosen_by_department_state_and_text(archive: WorkspaceArchive) -> None:
    """Other departments' rows never show; text is found in title and fields whatever its case."""
    with archive.unit() as unit:
        unit.rows.put(row(1, title="Ölkännchen 50%"))
        unit.rows.put(row(2, state="approved"))
        assert unit.rows.all("instruction", ["elsewhere"]) == []
        assert unit.rows.all("instruction", []) == []
        assert unit.rows.all("cycle", [DEPARTMENT]) == []
        assert [one.id for one in unit.rows.all("instruction", [DEPARTMENT], states=["approved"])] == ["i-2"]
        assert [one.id for one in unit.rows.all("instruction", [DEPARTMENT], text="ÖLK")] == ["i-1"]
        assert len(unit.rows.all("instruction", [DEPARTMENT], text="BRIGHTWELL")) == 2
        assert unit.rows.all("instruction", [DEPARTMENT], text="5_%") == []
        assert unit.rows.count("instruction", [DEPARTMENT, "elsewhere"], states=["draft"]) == 1


def test_what_is_kept_as_json_is_not_searched(archive: WorkspaceArchive) -> None:
    """Answers of the fit table stand in a field of their row, and no words find them; the row still comes."""
    with archive.unit() as unit:
        unit.rows.put(replace(row(1), kind="fit", fields={"answers": '{"missing":["Brightwell brush"]}'}))
        assert unit.rows.all("fit", [DEPARTMENT], text="brightwell") == []
        assert [one.fields["answers"] for one in unit.rows.all("fit", [DEPARTMENT])] == [
            '{"missing":["Brightwell brush"]}'
        ]


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (WantedRows(), ["i-1", "i-2", "i-5", "i-4", "i-3"]),
        (WantedRows(fields={"verdict": "fails"}), ["i-1", "i-4", "i-3"]),
        (WantedRows(fields={"verdict": "fails", "machine": "W'1\""}), ["i-3"]),
        (WantedRows(states=["released"]), ["i-4", "i-3"]),
        (WantedRows(since=later(2), until=later(4)), ["i-2", "i-3"]),
        (WantedRows(text="retractor 5"), ["i-5"]),
        (WantedRows(limit=2, offset=1), ["i-2", "i-5"]),
        (WantedRows(fields={"none": "x"}), []),
    ],
)
def test_rows_are_ranked_and_chosen_by_their_fields(
    archive: WorkspaceArchive, wanted: WantedRows, found: list[str]
) -> None:
    """The worst of all rows comes first, on whichever page, and what has no rank last; fields choose."""
    ranks = {"state": {"draft": 0, "released": 1}, "verdict": {"fails": 0, "meets": 1}}
    said = [
        ("fails", "draft"),
        ("meets", "draft"),
        ("fails", "released"),
        ("fails", "released"),
        ("", "draft"),
    ]
    asked = replace(wanted, ranks=ranks)
    with archive.unit() as unit:
        for number, (verdict, state) in enumerate(said, start=1):
            fields = {"verdict": verdict or None, "machine": "W'1\"" if number == 3 else "S2"}
            unit.rows.put(replace(row(number, state=state), fields=fields))
        assert [one.id for one in unit.rows.found("instruction", [DEPARTMENT], asked)] == found
        whole = len(found) if wanted.limit > 2 else len(said)
        assert unit.rows.count_found("instruction", [DEPARTMENT], asked) == whole
        assert unit.rows.found("instruction", ["elsewhere"], asked) == []

"""Cases out of spreadsheets and calendars: numbers, rooms, times and sets come in, and no name ever does."""

from __future__ import annotations

import io
from datetime import UTC, datetime
from typing import Any

import pytest
from openpyxl import Workbook

from sinkside.bench.cases import CasesRead, read_cases
from sinkside.errors import UnreadableFile

SETS = {"sinus basic": "s-1", "s-1": "s-1", "hand surgery": "s-2"}
#: Invented; none of these words may come out of a file.
NAMES = ("Kowalska", "Anna", "Berg", "1957")


def _read(name: str, data: bytes | str, zone: str = "Europe/Vienna") -> CasesRead:
    return read_cases(name, data.encode() if isinstance(data, str) else data, zone=zone, sets=SETS)


def _xlsx(*rows: list[Any]) -> bytes:
    workbook = Workbook()
    for row in rows:
        workbook.active.append(row)  # type: ignore[union-attr] # a new workbook has a sheet
    kept = io.BytesIO()
    workbook.save(kept)
    return kept.getvalue()


def _calendar(*events: str) -> str:
    body = "".join(
        f"BEGIN:VEVENT\r\nUID:{n}@invented.example\r\nDTSTAMP:20261201T060000Z\r\n{event}\r\nEND:VEVENT\r\n"
        for n, event in enumerate(events)
    )
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Invented//EN\r\n{body}END:VCALENDAR\r\n"


def test_a_table_of_text_is_read_with_the_departments_clock() -> None:
    """Vienna is an hour ahead of UTC in December (IANA tzdata); sets are matched by name."""
    read = _read(
        "week.csv",
        "Case number;Room;Date;Start;Sets\n"
        "2026-04712;OR 2;02.12.2026;11:15;Hand surgery\n"
        "2026-04711;OR 3;2026-12-02;07:30;Sinus basic, sinus  BASIC\n",
    )
    assert [case.number for case in read.cases] == ["2026-04711", "2026-04712"]
    first = read.cases[0]
    assert first.begins == datetime(2026, 12, 2, 6, 30, tzinfo=UTC)
    assert (first.room, first.sets) == ("OR 3", ("s-1", "s-1"))
    assert (read.left_out, read.refused) == ((), ())


def test_a_workbooks_dates_are_read_as_dates() -> None:
    """Cells that a spreadsheet keeps as moments and numbers are taken as such."""
    begins = datetime(2026, 12, 2, 7, 30)  # noqa: DTZ001 # a clock's reading, as a cell holds it
    read = _read("week.xlsx", _xlsx(["number", "begins", "ends"], [70011, begins, begins.replace(hour=9)]))
    (case,) = read.cases
    assert (case.number, case.ends) == ("70011", datetime(2026, 12, 2, 8, 30, tzinfo=UTC))


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_columns_that_may_name_a_patient_are_never_read(ending: str) -> None:
    """A column of names or birthdays is left out, said by its letter; a name in a read column is refused."""
    rows = [
        ["Patient", "Case number", "Begins", "Born", "Room"],
        ["Anna Kowalska", "2026-04711", "2026-12-02 07:30", "03.04.1957", "Kowalska 3"],
        ["Berg", "Kowalska", "2026-12-02 09:00", "1957", "OR 1"],
    ]
    text = "\n".join(";".join(row) for row in rows)
    read = _read(f"week.{ending}", _xlsx(*rows) if ending == "xlsx" else text)
    assert [case.number for case in read.cases] == ["2026-04711"]
    assert "column A, D" in read.left_out[0]
    assert read.refused[0].startswith("row 3: expected a case number")
    assert not [name for name in NAMES if name.casefold() in read.model_dump_json().casefold()]


def test_a_calendar_gives_numbers_and_times_alone() -> None:
    """Of an event with names in its fields (RFC 5545, 3.8) number, room, time and known sets are kept."""
    read = _read(
        "week.ics",
        _calendar(
            "SUMMARY:Kowalska\\, Anna (2026-04711)\r\nLOCATION:OR 3\r\nDTSTART:20261202T063000Z\r\n"
            "DTEND:20261202T080000Z\r\nDESCRIPTION:Anna born 1957\\nSets: Sinus basic; Berg\r\n"
            "ATTENDEE;CN=Berg:mailto:berg@invented.example\r\nCATEGORIES:Hand surgery",
        ),
    )
    (case,) = read.cases
    assert (case.number, case.room, case.sets) == ("2026-04711", "OR 3", ("s-2", "s-1"))
    assert case.begins == datetime(2026, 12, 2, 6, 30, tzinfo=UTC)
    assert any("Attendee" in one for one in read.left_out)
    assert any("Description" in one for one in read.left_out)
    assert not [name for name in NAMES if name.casefold() in read.model_dump_json().casefold()]


def test_a_calendars_own_zone_counts_before_the_departments() -> None:
    """Tokyo keeps UTC+9 all year (IANA tzdata); a time without a zone is the department's."""
    start = "SUMMARY:70011\r\nDTSTART;TZID=Asia/Tokyo:20261202T163000"
    floating = "SUMMARY:70012\r\nDTSTART:20261202T083000"
    read = _read("week.ics", _calendar(start, floating))
    assert {case.begins for case in read.cases} == {datetime(2026, 12, 2, 7, 30, tzinfo=UTC)}


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ("SUMMARY:70011\r\nDTSTART:20261202T063000Z\r\nRRULE:FREQ=DAILY", "again and again"),
        ("SUMMARY:70011\r\nDTSTART;VALUE=DATE:20261202", "no begin"),
        ("SUMMARY:70011 70012\r\nDTSTART:20261202T063000Z", "expected a case number"),
        ("SUMMARY:Kowalska 1957\r\nDTSTART:20261202T063000Z", "expected a case number"),
        ("SUMMARY:70011\r\nDTSTART:20261202T063000Z\r\nDTEND:20261202T053000Z", "ends before"),
    ],
)
def test_events_that_are_no_case_are_refused_one_by_one(event: str, said: str) -> None:
    """What comes again, fills whole days, has two numbers or none: refused, and the next is still read."""
    read = _read("week.ics", _calendar(event, "SUMMARY:70099\r\nDTSTART:20261203T063000Z"))
    assert [case.number for case in read.cases] == ["70099"]
    assert said in read.refused[0]


def test_an_hour_that_occurs_twice_is_asked_about() -> None:
    """Vienna put its clocks back on 2026-10-25 (IANA tzdata): 02:30 was twice; neither is guessed."""
    read = _read("week.csv", "case,begins\n70011,2026-10-25 02:30\n70012,2026-10-25 04:30\n")
    assert [case.number for case in read.cases] == ["70012"]
    assert "occurred twice" in read.refused[0]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("week.csv", "Anna;Kowalska\nBerg;3\n"),
        ("week.xlsx", b"PK no workbook"),
        ("week.ics", b"\xff\xfe\x00no calendar"),
        ("week.pdf", b"%PDF-1.7"),
    ],
)
def test_what_is_no_list_of_cases_is_refused_whole(name: str, data: bytes | str) -> None:
    """Without headings, or no such file at all: refused with what was expected and none of its words."""
    with pytest.raises(UnreadableFile, match="expected") as refused:
        _read(name, data)
    assert not [one for one in NAMES if one in str(refused.value)]


def test_a_day_that_two_countries_read_differently_is_not_guessed() -> None:
    """12/02/2026 is a day in February or in December: refused, with the shape that was expected."""
    read = _read("week.csv", "case;date;start\n70011;12/02/2026;07:30\n")
    assert "2026-12-02 07:30" in read.refused[0]

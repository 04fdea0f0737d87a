"""Zip archives of recorder files: taken out within bounds, or refused with a sentence."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.desk.unpacking import unpacked
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, UnreadableFile

MOST = 1_000_000
TRACES = Path(__file__).parents[1] / "samples" / "traces"


def archive(
    members: dict[str, bytes], *, name: str = "week.zip", packing: int = zipfile.ZIP_DEFLATED
) -> Upload:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", packing) as made:
        for path, data in members.items():
            made.writestr(path, data)
    return Upload(name, "application/zip", held.getvalue())


def test_a_folder_in_an_archive_becomes_its_recorder_files() -> None:
    """Recorder files of any folder come out in order; notes, programs and hidden files stay behind."""
    record = (TRACES / "r-009.csv").read_bytes()
    given = archive(
        {"week/a.csv": record, "week/deep/b.TXT": b"x", "week/readme.md": b"x", "__MACOSX/a.csv": b"x",
         "week/.c.csv": b"x", "week/132-4.yaml": b"x"}
    )  # fmt: skip
    plain = Upload("c.csv", "text/csv", record)
    found = unpacked([given, plain], most_bytes=MOST)
    assert [one.plain_name for one in found] == ["a.csv", "b.TXT", "c.csv"]
    assert found[0].data == record
    assert found[2] is plain


def test_a_name_that_leads_elsewhere_is_only_a_name() -> None:
    """A member called ../../etc/x.csv is the file x.csv and nothing else."""
    (found,) = unpacked([archive({"../../etc/x.csv": b"a"})], most_bytes=MOST)
    assert found.plain_name == "x.csv"


def test_a_workbook_is_no_folder() -> None:
    """What a spreadsheet program writes is an archive too, and is left for the reader to refuse."""
    book = archive({"[Content_Types].xml": b"<x/>", "data.csv": b"1"}, name="book.xlsx")
    assert unpacked([book], most_bytes=MOST) == [book]


def test_what_unfolds_beyond_bounds_is_refused() -> None:
    """A small archive of a large file is refused once the bound is reached, whatever it says of its size."""
    bomb = archive({"big.csv": b"0" * (MOST + 1)})
    assert len(bomb.data) < MOST // 100
    with pytest.raises(UnreadableFile, match=r"week\.zip: what is in it is too large; at most 1 MB"):
        unpacked([bomb], most_bytes=MOST)
    liar = bomb.data.replace((MOST + 1).to_bytes(4, "little"), (10).to_bytes(4, "little"))
    with pytest.raises(UnreadableFile, match=r"week\.zip"):
        unpacked([Upload("week.zip", "application/zip", liar)], most_bytes=MOST)


def test_all_archives_of_an_upload_share_one_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two archives that fit alone are refused together where their sum does not."""
    monkeypatch.setattr("sinkside.desk.unpacking._MOST_UNPACKED_BYTES", 1_500)
    one, two = archive({"a.csv": b"0" * 1_000}), archive({"b.csv": b"1" * 1_000})
    assert len(unpacked([one], most_bytes=MOST)) == 1
    with pytest.raises(UnreadableFile, match="too large"):
        unpacked([one, two], most_bytes=MOST)


def test_a_damaged_archive_and_an_empty_one_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut off, spoilt inside, without any recorder file, or with too many: a sentence that names it."""
    whole = archive({"a.csv": bytes(range(256)) * 40})
    for data in (whole.data[:-30], whole.data[:60] + b"\xff" * 40 + whole.data[100:]):
        with pytest.raises(UnreadableFile, match=r"week\.zip: this archive is damaged"):
            unpacked([Upload("week.zip", "application/zip", data)], most_bytes=MOST)
    with pytest.raises(UnreadableFile, match="no recorder file in this archive"):
        unpacked([archive({"notes.md": b"x"})], most_bytes=MOST)
    monkeypatch.setattr("sinkside.desk.unpacking._MOST_MEMBERS", 2)
    with pytest.raises(UnreadableFile, match="it holds 3 files; at most 2"):
        unpacked([archive({f"{number}.csv": b"x" for number in range(3)})], most_bytes=MOST)


def test_a_locked_archive_is_refused() -> None:
    """An archive whose members want a password is refused, and so is a way of packing nobody knows."""
    locked = bytearray(archive({"a.csv": b"12345"}, packing=zipfile.ZIP_STORED).data)
    at = locked.index(b"PK\x01\x02")
    locked[6] |= 1
    locked[at + 8] |= 1
    with pytest.raises(UnreadableFile, match="locked, or packed in a way"):
        unpacked([Upload("week.zip", "application/zip", bytes(locked))], most_bytes=MOST)
    strange = bytearray(archive({"a.csv": b"12345"}, packing=zipfile.ZIP_STORED).data)
    strange[8] = strange[strange.index(b"PK\x01\x02") + 10] = 99
    with pytest.raises(UnreadableFile, match="locked, or packed in a way"):
        unpacked([Upload("week.zip", "application/zip", bytes(strange))], most_bytes=MOST)


def table(programs: list[str]) -> Upload:
    """A Parquet file of cycles, one for each program, that says its units beside its columns."""
    pieces = [
        pl.DataFrame({"cycle_id": [f"c{at}"] * 30, "program": [program] * 30}).with_columns(
            t=pl.int_range(30), T1=pl.int_range(30) + 100.0 * at
        )
        for at, program in enumerate(programs)
    ]
    held = io.BytesIO()
    pl.concat(pieces).write_parquet(held, metadata={"units": '{"T1": "°C", "t": "s"}'})
    return Upload("week.parquet", "application/octet-stream", held.getvalue())


def test_the_cycles_of_a_table_become_files_of_their_own() -> None:
    """Each cycle of a Parquet file is a file with its rows and the units that the whole file says."""
    found = unpacked([table(["P1", "P1", "P1"])], most_bytes=MOST)
    assert [one.plain_name for one in found] == [f"week.parquet#c{at}" for at in range(3)]
    trace = trace_from_bytes(found[1].data, name="c1")
    np.testing.assert_allclose(trace.probes[0].values, np.arange(30) + 100.0)
    assert trace.probes[0].unit == "°C"
    assert trace.times_s.size == 30


def test_a_table_of_one_cycle_stays_as_it_is() -> None:
    """A Parquet file of one cycle is kept to the byte."""
    one = table(["P1"])
    assert unpacked([one], most_bytes=MOST) == [one]


def test_cycles_of_several_programs_are_not_judged_by_one() -> None:
    """Who hands a table in names one program; cycles of several are refused by name."""
    with pytest.raises(BadInput, match=r"week\.parquet: its cycles name several programs \(P1, P2\)"):
        unpacked([table(["P1", "P2"])], most_bytes=MOST)


def test_a_damaged_table_is_refused() -> None:
    """A Parquet file that is cut off gets one sentence."""
    cut = Upload("week.parquet", "", table(["P1", "P1"]).data[:300])
    with pytest.raises(UnreadableFile, match="damaged or cut off"):
        unpacked([cut], most_bytes=MOST)

"""Which cycles belong in the archive of traces, by machine and month, and what the recorder wrote of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from sinkside.cycles.samples import SampledCycle, samples_of
from sinkside.desk import machine_rows
from sinkside.desk.cycle_records import KIND, opened_cycle, trace_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.traces.documents import AskedCycle
from sinkside.errors import BadInput, UnreadableFile
from sinkside.journal import moment
from sinkside.records import Row, WantedRows

if TYPE_CHECKING:
    import pyarrow as pa

    from sinkside.cycles import Trace

_AT_ONCE: Final = 500


@dataclass(frozen=True, order=True)
class MachineMonth:
    """One machine of a department in one month, such as 2026-11: what one file of the archive holds."""

    department: str
    machine: str
    month: str

    def path(self, folder: Path, ending: str) -> Path:
        """Where its file is, or what stands beside it."""
        return folder / _as_folder(self.department) / _as_folder(self.machine) / f"{self.month}.{ending}"

    def __str__(self) -> str:
        return f"{self.department}, {self.machine}, {self.month}"


@dataclass
class Asked:
    """What the house would have in an archive of traces.

    Attributes:
        months: the cycles of each machine and month, in the order in which they were handed in.
        heads: the printed head of each department's chain.
        waiting: how many cycles have no verdict yet and are left for the next time.
    """

    months: dict[MachineMonth, list[AskedCycle]]
    heads: dict[str, str]
    waiting: int = 0


def asked_of(archive: Archive, *, until: str = "") -> Asked:
    """Every cycle that counts, as at one moment.

    Args:
        archive: the house.
        until: the last month, such as 2026-10; all unless told.
    """
    asked = Asked({}, {})
    with archive.unit(writes=False) as unit:
        for site in unit.sites.all():
            head = unit.journal.head(site.id)
            asked.heads[site.id] = str(head) if head else ""
            for ran in _counted(unit, site.id):
                _add(unit, asked, ran, until)
    for cycles in asked.months.values():
        cycles.sort(key=lambda one: (one.handed_in, one.cycle))
    return asked


def _counted(unit: Unit, department: str) -> Iterator[Row]:
    """The runs of every machine, each once, however often its file was judged."""
    offset = 0
    while True:
        portion = unit.rows.found(machine_rows.CYCLE, [department], WantedRows(limit=_AT_ONCE, offset=offset))
        yield from (row for row in portion if row.state != machine_rows.COUNTED_OTHERWISE)
        if len(portion) < _AT_ONCE:
            return
        offset += _AT_ONCE


def _add(unit: Unit, asked: Asked, ran: Row, until: str) -> None:
    month = f"{ran.updated.astimezone(UTC):%Y-%m}"
    row = unit.rows.get(KIND, ran.id)
    if row is None or (until and month > until):
        return
    verdict = int(row.fields.get("verdict_revision") or 0)
    if not verdict:
        asked.waiting += 1
        return
    load = unit.bench.loads.of_cycle(row.department, row.id)
    where = MachineMonth(row.department, str(row.fields["machine"]), month)
    asked.months.setdefault(where, []).append(
        AskedCycle.model_validate(
            {
                "cycle": row.id,
                "program": row.fields["program"],
                "load": load.id if load else "",
                "handed_in": ran.updated,
                "file": row.fields["file"],
                "in_file": str(row.fields.get("in_file") or 0),
                "verdict": verdict,
                "outcome": row.fields["verdict"],
            }
        )
    )


@dataclass(frozen=True)
class Sampled:
    """What the recorder wrote of a cycle, or why there is nothing of it; `fault` where evidence is gone."""

    samples: pa.Table | None = None
    first: datetime | None = None
    last: datetime | None = None
    unread: str = ""
    fault: str = ""


def sampled(archive: Archive, where: MachineMonth, asked: AskedCycle) -> Sampled:
    """The samples of a cycle, out of the recorder's file as the house keeps it.

    A file that the judge could not read is not read here either: it was read under bounds of time and memory.
    """
    with archive.unit(writes=False) as unit:
        row, site = unit.rows.get(KIND, asked.cycle), unit.sites.get(where.department)
        if row is None or site is None:
            return Sampled(unread="the cycle is gone", fault=f"{where}: the cycle {asked.cycle} is gone")
        known = opened_cycle(unit, row)
        try:
            unit.files.read(known.record.file)
        except UnreadableFile as error:
            return Sampled(unread=error.message, fault=f"{where}, {asked.cycle}: {error}")
        if known.judged is None or known.judged.verdict is None:
            return Sampled(unread=known.judged.summary if known.judged else "it was not judged")
        try:
            trace = trace_in(unit, known)
        except BadInput as error:
            return Sampled(unread=str(error))
    began = _began(trace, site.zone)
    of = SampledCycle(where.department, where.machine, asked.program, asked.cycle, asked.load)
    samples = samples_of(trace, of, began=began)
    first, last = _first_and_last(samples)
    return Sampled(samples, first, last)


def _began(trace: Trace, zone: str) -> datetime | None:
    """The moment of the first sample; none where the recorder's clock leaves it in doubt."""
    stamp = trace.first_stamp
    if stamp is None or stamp.tzinfo is not None:
        return stamp
    try:
        return moment(stamp, zone)
    except BadInput:
        return None


def _first_and_last(samples: pa.Table) -> tuple[datetime | None, datetime | None]:
    import pyarrow.compute as pc

    told = pc.min_max(samples["time"])
    return told["min"].as_py(), told["max"].as_py()


def _as_folder(name: str) -> str:
    """A name that can be a folder's, whatever signs are in it.

    >>> _as_folder("sterilizer-1"), _as_folder("../a b")
    ('sterilizer-1', '%2E.%2Fa%20b')
    """
    safe = quote(name, safe="")
    return f"%2E{safe[1:]}" if safe.startswith(".") else safe

"""A run over many records: shared out, told in order, and taken up again where a killed run stopped."""

from __future__ import annotations

import os
from collections.abc import Generator, Sequence
from functools import partial
from pathlib import Path
from typing import Final

from sinkside.cycles.many.files import FILES_AT_ONCE, WORTH_A_PROCESS
from sinkside.cycles.many.judging import Asked
from sinkside.cycles.many.record import Record
from sinkside.cycles.many.results import Results
from sinkside.cycles.many.tables import pieces_of
from sinkside.cycles.many.told import Told, tell, told_lost
from sinkside.parallel import Processes, ThisProcess, Workers

#: So many rows are read at once: some two hundred cycles of an hour, and some 30 MB.
_ROWS_AT_ONCE: Final = 500_000

#: A file counts as a cycle of so many rows.
_ROWS_OF_A_FILE: Final = 2_500


def workers_for(records: Sequence[Record], processes: int | None = None) -> Workers[Record, Told]:
    """This process for little work, else as many as there are processors.

    Args:
        records: What is to be judged.
        processes: How many share the work, if somebody said so.
    """
    if processes is None:
        rows = sum(record.size or _ROWS_OF_A_FILE for record in records)
        processes = min(os.cpu_count() or 1, rows // (WORTH_A_PROCESS * _ROWS_OF_A_FILE))
    return ThisProcess() if processes <= 1 else Processes(processes, lost=told_lost)


def judge_records(
    records: Sequence[Record], asked: Asked, *, workers: Workers[Record, Told], out: Path | None = None
) -> Generator[Told, None, None]:
    """What each record proves, or why it could not be judged, in their order.

    Args:
        records: What is to be judged.
        asked: By which programs and limits.
        workers: Who does it; the answers are the same to the last bit.
        out: A Parquet file for all of it, written once the last record was told. What an earlier run with the
            same question and the same files left unfinished is not judged again.

    Raises:
        UnreadableFile: if the results cannot be written.
    """
    shares = list(pieces_of(records, rows=_ROWS_AT_ONCE, files=FILES_AT_ONCE))
    work = partial(tell, asked=asked)
    if out is None:
        for told in workers.each(work, shares):
            yield from told
        return
    results = Results(out, asked)
    places = [results.place(share) for share in shares]
    kept = [results.is_kept(place, len(share)) for place, share in zip(places, shares, strict=True)]
    judged = workers.each(work, (share for share, done in zip(shares, kept, strict=True) if not done))
    for place, done in zip(places, kept, strict=True):
        told = results.kept(place) if done else next(judged)
        if not done:
            results.keep(place, told)
        yield from told
    results.finish(places)

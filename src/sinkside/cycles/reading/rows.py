"""Which rows of a table are samples, what the recorder said between them, and the machine's own labels."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from sinkside.cycles.reading.cells import ABSENT
from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.options import Reading
from sinkside.cycles.reading.spelling import normalised
from sinkside.cycles.reading.stamps import Stamps
from sinkside.cycles.reading.vocabulary import CYCLE_NUMBER, PERSON, PHASE
from sinkside.cycles.spans import Mask
from sinkside.cycles.trace import Label, Remark
from sinkside.errors import BadInput
from sinkside.science.validity import FloatArray

if TYPE_CHECKING:
    import polars as pl

_WORDS: Final = re.compile(r"[^\W\d_]{2,}")

#: Beyond so many, remarks and labels say nothing more.
_MOST_REMARKS: Final = 200
_MOST_LABELS: Final = 100
_MOST_KINDS: Final = 40

#: Pages of one cycle follow each other within this time.
_NEXT_PAGE_S: Final = 300.0
_FEWEST_SAMPLES: Final = 20
_MOST_SUMMARIES: Final = 12
_MOST_CYCLES: Final = 200


def samples_among(
    table: Table, stamps: Stamps, readings: Sequence[FloatArray], words: Sequence[int]
) -> Mask | None:
    """Which rows are samples, shape (n,); None where all are.

    A row without a reading is a remark if it holds words, or has no stamp of its own; else a sample whose
    readings are missing. A row with readings and a word for a stamp is a summary. A few rows without a stamp
    before the first and after the last one are summaries, too.

    Args:
        table: The file's.
        stamps: Of its rows.
        readings: Of each channel, shape (n,), NaN where there is none.
        words: The columns in which words may stand on any row.
    """
    times = stamps.times_s
    read = np.zeros(times.size, dtype=np.bool_)
    for values in readings:
        read |= np.isfinite(values)
    stamped = np.isfinite(times)
    if read.all() and stamped.all():
        return None
    own = np.concatenate(([True], np.diff(times) != 0.0))
    own[:-1] &= np.diff(times) != 0.0
    kept = read | (stamped & own)
    for row in np.flatnonzero(~read & kept).tolist():
        kept[row] = not _holds_words(table, row, words)
    for row in np.flatnonzero(read & ~stamped).tolist():
        kept[row] = not any(_is_word(str(table.columns[at][row] or "")) for at in stamps.taken)
    known = np.flatnonzero(stamped & kept)
    if known.size:
        for end in (slice(0, known[0]), slice(known[-1] + 1, None)):
            if kept[end].sum() <= _MOST_SUMMARIES:
                kept[end] = False
    return kept


def _holds_words(table: Table, row: int, words: Sequence[int]) -> bool:
    cells = [str(column[row] or "").strip() for at, column in enumerate(table.columns) if at not in words]
    return any(_is_word(cell) for cell in cells)


def _is_word(cell: str) -> bool:
    return bool(_WORDS.search(cell)) and not ABSENT.match(cell.strip())


def remarks_among(table: Table, stamps: Stamps, kept: Mask | None) -> tuple[Remark, ...]:
    """What stands in the rows that are no samples, and in which second; of persons nothing is kept."""
    if kept is None:
        return ()
    remarks = []
    for row in np.flatnonzero(~kept)[:_MOST_REMARKS].tolist():
        cells = [str(column[row] or "").strip() for column in table.columns]
        text = " ".join(cell for at, cell in enumerate(cells) if cell and at not in stamps.taken)
        if not np.isfinite(stamps.times_s[row]):
            text = " ".join(cell for cell in cells if cell)
        if _WORDS.search(text) and not PERSON.search(normalised(text)):
            remarks.append(Remark(float(stamps.times_s[row]), text[:200]))
    return tuple(remarks)


def label_column(heads: Sequence[Head], columns: Sequence[pl.Series], taken: Sequence[int]) -> int | None:
    """The column in which the machine names its phases; None if there is none."""
    import polars as pl

    free = [
        index
        for index, head in enumerate(heads)
        if index not in taken and head.kind == "other" and not PERSON.search(normalised(head.name))
    ]
    for index in free:
        if PHASE.search(normalised(heads[index].name)):
            return index
    for index in free:
        column = columns[index]
        if column.dtype == pl.String and 1 < column.n_unique() <= _MOST_KINDS:
            runs = int((column != column.shift()).sum())
            if runs * 10 < len(column) and _is_word(str(column.drop_nulls().first() or "")):
                return index
    return None


def labels_in(column: pl.Series, kept: Mask | None, elapsed_s: FloatArray) -> tuple[Label, ...]:
    """The stretches that the machine names, on the axis of `elapsed_s`, which holds the samples alone.

    >>> import polars as pl
    >>> labels_in(pl.Series(["HEAT", "HEAT", "DRY"]), None, np.array([0.0, 1.0, 2.0]))
    (Label(text='HEAT', start_s=0.0, end_s=2.0), Label(text='DRY', start_s=2.0, end_s=2.0))
    """
    import polars as pl

    texts = column.cast(pl.String).str.strip_chars()
    if kept is not None:
        texts = texts.filter(pl.Series(kept))
    ids = texts.rle_id().to_numpy()
    starts = np.concatenate(([0], np.flatnonzero(np.diff(ids)) + 1))
    if starts.size > _MOST_LABELS or not ids.size:
        return ()
    if starts.size == 1:
        # The same word all through, such as OK, names no part of the record.
        return ()
    ends = np.concatenate((starts[1:], [ids.size - 1]))
    named = zip(texts.gather(starts).to_list(), starts.tolist(), ends.tolist(), strict=True)
    return tuple(
        Label(text, float(elapsed_s[start]), float(elapsed_s[end])) for text, start, end in named if text
    )


def one_cycle_of(table: Table, heads: Sequence[Head], stamps: Stamps, reading: Reading) -> Table:
    """The table of one cycle: the whole, or the part that a person named where a file holds several.

    Raises:
        BadInput: if there are several and nobody said which, or there are not so many; says where they begin.
    """
    starts = _cycle_starts(table, heads, stamps)
    wanted = reading.cycle
    if len(starts) == 1 and wanted in {None, 1}:
        return table
    if wanted is None:
        raise BadInput(
            f"this file holds {len(starts)} cycles, the second from {table.where(starts[1])} on; "
            "judge one at a time with --cycle N"
        )
    if not 1 <= wanted <= len(starts):
        raise BadInput(f"there is no cycle {wanted} in this file, which holds {len(starts)}")
    first = starts[wanted - 1]
    end = starts[wanted] if wanted < len(starts) else None
    return Table(
        table.heads,
        tuple(column.slice(first, None if end is None else end - first) for column in table.columns),
        table.preamble,
        lines=table.lines[first:end],
        inferred=(*table.inferred, f"cycle {wanted} of {len(starts)} in the file"),
    )


def _cycle_starts(table: Table, heads: Sequence[Head], stamps: Stamps) -> list[int]:
    """The rows where cycles begin."""
    times = stamps.times_s
    starts = {0}
    for row, _ in table.sections:
        before, after = times[:row], times[row:]
        ended, begins = before[np.isfinite(before)], after[np.isfinite(after)]
        # A head that stands again on each page of one cycle parts nothing.
        if min(ended.size, begins.size) and not 0.0 <= begins[0] - ended[-1] <= _NEXT_PAGE_S:
            starts.add(row)
    for at, head in enumerate(heads):
        if at not in stamps.taken and CYCLE_NUMBER.fullmatch(normalised(head.name).strip()):
            starts |= _changes(table.columns[at])
    known = np.isfinite(times)
    back = np.flatnonzero((np.diff(times) < 0.0) & (times[1:] == 0.0) & known[1:]) + 1
    starts |= {int(row) for row in back}
    kept = [0]
    for row in sorted(starts)[1:]:
        if row - kept[-1] >= _FEWEST_SAMPLES and times.size - row >= _FEWEST_SAMPLES:
            kept.append(row)
    return kept


def _changes(column: pl.Series) -> set[int]:
    filled = column.fill_null(strategy="forward").fill_null(strategy="backward")
    changed = np.flatnonzero((filled != filled.shift()).fill_null(value=False).to_numpy())
    return {int(row) for row in changed} if changed.size < _MOST_CYCLES else set()

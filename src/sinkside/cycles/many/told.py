"""What is told of each record: one line of JSON, and the same as a row of a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sinkside.cycles.figures_for_trend import TREND_FIGURES
from sinkside.cycles.many.judging import Answered, Asked, answers_to
from sinkside.cycles.many.record import Record
from sinkside.cycles.verdict import Unread, Verdict
from sinkside.documents import to_json

if TYPE_CHECKING:
    import polars as pl

#: Figures with a column of their own, besides those that charts follow; a lethality's unit stands in the
#: line.
_FIGURES: Final = ("f0", "a0", "exposure", *TREND_FIGURES)


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of one record.

    Attributes:
        line: Its verdict, or why there is none, as `judge --json` prints it.
        verdict: `meets`, `unclear`, `fails`, or `unread`.
        figures: In the order of the table's columns; None where the record has none.
    """

    source: str
    trace: str
    cycle: str
    machine: str
    program: str
    profile: str
    verdict: str
    summary: str
    line: str
    figures: tuple[float | None, ...]

    def answer(self) -> Verdict | Unread:
        """The verdict, or why there is none."""
        kind = Unread if self.verdict == "unread" else Verdict
        return kind.model_validate_json(self.line)


def tell(records: Sequence[Record], asked: Asked) -> list[Told]:
    """Judge records and tell what each proves, in their order."""
    return [_told(answered) for answered in answers_to(records, asked)]


def told_lost(record: Record) -> Told:
    """What is told of a record that brought down the process that read it."""
    error = f"{record.name}: reading it took more than the machine could give"
    return _told(Answered(record, Unread(trace=record.name, error=error)))


def _told(answered: Answered) -> Told:
    record, answer = answered.record, answered.answer
    read = answer if isinstance(answer, Verdict) else None
    figures = tuple(_figure(read, name) for name in _FIGURES)
    return Told(
        source=str(record.path),
        trace=record.name,
        cycle=record.said.cycle,
        machine=record.said.machine,
        program=read.program if read else record.said.program,
        profile=read.profile if read else "",
        verdict=read.verdict if read else "unread",
        summary=answer.summary if isinstance(answer, Verdict) else answer.error,
        line=to_json(answer, compact=True),
        figures=figures,
    )


def _figure(verdict: Verdict | None, name: str) -> float | None:
    measured = verdict.values.get(name) if verdict else None
    return measured.value if measured else None


def table_of(told: Sequence[Told]) -> pl.DataFrame:
    """A table with a row for each record: where it is from, its verdict, its figures, and the whole line."""
    import polars as pl

    texts = ("source", "trace", "cycle", "machine", "program", "profile", "verdict", "summary")
    columns = {name: pl.Series(name, [getattr(one, name) for one in told], dtype=pl.String) for name in texts}
    for at, name in enumerate(_FIGURES):
        columns[name] = pl.Series(name, [one.figures[at] for one in told], dtype=pl.Float64)
    columns["line"] = pl.Series("line", [one.line for one in told], dtype=pl.String)
    return pl.DataFrame(columns)


def told_in(table: pl.DataFrame) -> list[Told]:
    """What such a table tells.

    Raises:
        KeyError: if it is another table.
    """
    texts = ("source", "trace", "cycle", "machine", "program", "profile", "verdict", "summary", "line")
    return [
        Told(**{name: row[name] for name in texts}, figures=tuple(row[name] for name in _FIGURES))
        for row in table.iter_rows(named=True)
    ]

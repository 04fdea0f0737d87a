"""A time without screens: what was written on paper meanwhile, copied line by line, entered in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime, Field, field_validator, model_validator

from sinkside.bench.case_number import OptionalCaseNumber
from sinkside.bench.sheets import SheetLine
from sinkside.documents import Value
from sinkside.errors import BadInput

LONGEST_WORDS: Final = 500

#: More lines than this no pack has: some forty full sheets a form (common practice, no source).
MOST_LINES: Final = 3000


class SheetKind(StrEnum):
    """Which form of the paper pack a line stands on."""

    arrival = "arrival"
    wash_load = "wash-load"
    packing = "packing"
    sterilizer_load = "sterilizer-load"
    issue = "issue"


SHEET_WORDS: Final[dict[SheetKind, str]] = {
    SheetKind.arrival: "Arrival",
    SheetKind.wash_load: "Wash load",
    SheetKind.packing: "Packing",
    SheetKind.sterilizer_load: "Sterilizer load",
    SheetKind.issue: "Issue",
}

#: Forms of which each sheet is one load, with a machine, a program and times of its own.
LOADS: Final = frozenset({SheetKind.wash_load, SheetKind.sterilizer_load})


class PaperLine(Value):
    """One line as it was copied from paper.

    Attributes:
        line: the number of the line, such as A1-3.
        kind: of the form.
        at: when it happened, by the paper; of a line of a wash load, when the cleaning of the set began.
        code: of the set.
        case: of an issue, the case.
        words: what else stands there.
        by: who copied it.
        tries: how often it was entered.
        outcome: what came of that; empty before.
        said: the sentence that was said.
    """

    line: str
    kind: SheetKind
    at: AwareDatetime
    code: str = Field(min_length=1, max_length=120)
    case: OptionalCaseNumber = ""
    words: str = Field(default="", max_length=LONGEST_WORDS)
    by: str = ""
    tries: int = Field(default=0, ge=0)
    outcome: Literal["", "done", "refused"] = ""
    said: str = ""

    @field_validator("line")
    @classmethod
    def _is_a_line(cls, line: str) -> str:
        try:
            return SheetLine.read(line).written
        except BadInput as error:
            raise ValueError(error.message) from error

    @property
    def place(self) -> SheetLine:
        """Where it stands in the pack."""
        return SheetLine.read(self.line)

    @property
    def sheet(self) -> str:
        """The sheet that it stands on, such as A1."""
        return self.line.split("-", 1)[0]


class PaperLoad(Value):
    """The head of a sheet that is one load: which machine and program, when it was started and ended.

    `stands` says how far it is entered.
    """

    sheet: str = Field(min_length=2, max_length=4)
    kind: SheetKind
    machine: str = Field(min_length=1, max_length=120)
    program: str = Field(min_length=1, max_length=120)
    at: AwareDatetime
    ended: AwareDatetime
    by: str = ""
    tries: int = Field(default=0, ge=0)
    stands: Literal["", "open", "started", "done"] = ""
    said: str = ""

    @property
    def place(self) -> SheetLine:
        """Where its sheet begins in the pack."""
        return SheetLine.read(f"{self.sheet}-1")

    @model_validator(mode="after")
    def _is_a_load(self) -> PaperLoad:
        if self.kind not in LOADS:
            raise ValueError(f"{SHEET_WORDS[self.kind]} is no load")
        if self.ended <= self.at:
            raise ValueError("the load ends before it is started")
        return self


class PaperTime(Value):
    """A time without screens (`sinkside/outage-1`): since when, until when, why, and its lines."""

    format: Literal["sinkside/outage-1"] = "sinkside/outage-1"
    began: AwareDatetime
    ended: AwareDatetime | None = None
    why: str = Field(min_length=1, max_length=LONGEST_WORDS)
    by: str
    lines: tuple[PaperLine, ...] = ()
    loads: tuple[PaperLoad, ...] = ()

    def in_order(self) -> tuple[PaperLine, ...]:
        """Its lines in the order in which things happened; of one minute, in the order of the pack."""
        return tuple(sorted(self.lines, key=lambda one: (one.at, one.place.turn)))

    def to_enter(self) -> tuple[PaperLine, ...]:
        """The lines that are not in the record yet, in the order in which things happened."""
        return tuple(one for one in self.in_order() if one.outcome != "done")

    def of_sheet(self, sheet: str) -> tuple[PaperLine, ...]:
        """The lines of one sheet, in their order."""
        return tuple(
            sorted((one for one in self.lines if one.sheet == sheet), key=lambda one: one.place.turn)
        )

    def load_of(self, sheet: str) -> PaperLoad | None:
        """The head of a sheet that is one load."""
        return next((one for one in self.loads if one.sheet == sheet), None)

    def with_load(self, load: PaperLoad) -> PaperTime:
        """The same with the head of a sheet; one that was not entered yet is put right.

        Raises:
            BadInput: if the load is entered already and says something else now.
        """
        before = self.load_of(load.sheet)
        if before is not None and before.stands:
            if any(
                getattr(before, name) != getattr(load, name) for name in ("machine", "program", "at", "ended")
            ):
                raise BadInput(
                    f"the load of sheet {load.sheet} is entered already with other words", resource="sheet"
                )
            return self
        tries = before.tries if before else 0
        others = (one for one in self.loads if one.sheet != load.sheet)
        return self.model_copy(update={"loads": (*others, load.model_copy(update={"tries": tries}))})

    def without_line(self, written: str) -> PaperTime:
        """The same without a line that was copied by mistake and is not entered.

        Raises:
            BadInput: if it is entered already, or there is none.
        """
        line = next((one for one in self.lines if one.line == SheetLine.read(written).written), None)
        if line is None or line.outcome == "done":
            raise BadInput("only a line that is copied and not entered yet can be struck", resource="line")
        return self.model_copy(update={"lines": tuple(one for one in self.lines if one is not line)})

    def with_lines(self, lines: Sequence[PaperLine]) -> PaperTime:
        """The same with more lines; one that was copied before and is not entered yet is put right.

        Raises:
            BadInput: if a line is in the record already and says something else now, a form's letter stands
                for two forms, or a set would be at one place twice at the same minute.
        """
        known = {one.line: one for one in self.lines}
        for one in lines:
            before = known.get(one.line)
            if before is not None and before.outcome == "done":
                if not _says_the_same(before, one):
                    raise BadInput(f"line {one.line} is entered already with other words", resource="line")
                continue
            known[one.line] = one if before is None else one.model_copy(update={"tries": before.tries})
        if len(known) > MOST_LINES:
            raise BadInput(f"{len(known)} lines; expected at most {MOST_LINES}", resource="lines")
        after = tuple(known.values())
        _refuse_two_forms(after)
        _refuse_twice(after)
        return self.model_copy(update={"lines": after})

    def gaps(self) -> tuple[str, ...]:
        """Lines that were passed over on a sheet: struck out on paper, or forgotten here."""
        return tuple(_gaps(self.lines))


def _says_the_same(before: PaperLine, now: PaperLine) -> bool:
    mutable = {"by", "tries", "outcome", "said"}
    return before.model_dump(exclude=mutable) == now.model_dump(exclude=mutable)


def _refuse_two_forms(lines: Sequence[PaperLine]) -> None:
    forms: dict[str, SheetKind] = {}
    for one in lines:
        kind = forms.setdefault(one.place.form, one.kind)
        if kind is not one.kind:
            raise BadInput(
                f"the letter {one.place.form} stands for {SHEET_WORDS[kind]} here; line {one.line} was "
                f"copied as {SHEET_WORDS[one.kind]}",
                resource="line",
            )


def _refuse_twice(lines: Sequence[PaperLine]) -> None:
    seen: dict[tuple[SheetKind, str, object], str] = {}
    for one in lines:
        other = seen.setdefault((one.kind, one.code, one.at), one.line)
        if other != one.line:
            raise BadInput(
                f"lines {other} and {one.line} say the same of {one.code} at one minute; enter one of them",
                resource="line",
            )


def _gaps(lines: Sequence[PaperLine]) -> Iterator[str]:
    sheets: dict[str, set[int]] = {}
    for one in lines:
        sheets.setdefault(one.sheet, set()).add(one.place.line)
    for sheet, taken in sorted(sheets.items()):
        for number in range(1, max(taken)):
            if number not in taken:
                yield f"{sheet}-{number}"

"""What a label is made from."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from sinkside.aids.labels.elements import Element
from sinkside.aids.papers.bilingual import Readers
from sinkside.errors import BadInput

#: More labels of one thing are a slip of the pen.
MOST_COPIES: Final = 500


class LabelSize(StrEnum):
    """Sizes of labels on a roll, width by height in mm."""

    small = "50x30"
    middle = "76x51"
    large = "100x50"

    @property
    def mm(self) -> tuple[int, int]:
        """Width and height in mm.

        >>> LabelSize.middle.mm
        (76, 51)
        """
        width, _, height = self.value.partition("x")
        return int(width), int(height)


@dataclass(frozen=True)
class Numbered:
    """What the code says: a GS1 key with what belongs to it, or the department's own number."""

    elements: tuple[Element, ...] = ()
    own: str = ""

    def __post_init__(self) -> None:
        if bool(self.elements) == bool(self.own):
            raise BadInput(
                "a label has one number; expected a GTIN, a GRAI, a GIAI or the department's own",
                resource="number",
            )


@dataclass(frozen=True)
class SetLabel:
    """What stands on the label of a set.

    Attributes:
        name: what the set is called.
        department: whose it is.
        pieces: how many pieces it has.
        kg: what it weighs; none where nobody weighed it.
        cycle: which cycle its devices' instructions allow here, in words; empty where there is none.
        load: the load it goes into; empty leaves a line to write on.
        packed_by: who packed it; empty leaves a line to write on.
        packed_on: the day, ISO 8601; empty leaves a line to write on.
        use_by: the last day of use where the department sets one, ISO 8601.
    """

    name: str
    department: str
    pieces: int
    kg: float | None = None
    cycle: str = ""
    load: str = ""
    packed_by: str = ""
    packed_on: str = ""
    use_by: str = ""


@dataclass(frozen=True)
class LoadLabel:
    """What stands on the label of a load; what is empty leaves a line to write on.

    Attributes:
        machine: which machine.
        load: the number of the load.
        department: whose it is.
        program: which program.
        started: when, in words.
        by: who loaded it.
        sets: what is in it, by name.

    Raises:
        BadInput: if the machine, the load or a set has no word.
    """

    machine: str
    load: str
    department: str
    program: str = ""
    started: str = ""
    by: str = ""
    sets: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        told = (("machine", self.machine), ("load", self.load), *(("set", one) for one in self.sets))
        for what, words in told:
            if not words.strip():
                raise BadInput(f"a {what} without a word; expected what it is called", resource=what)


@dataclass(frozen=True)
class LabelRequest:
    """Labels of one thing, so many alike, for whoever reads them.

    Raises:
        BadInput: if there are to be none, or more than anybody needs.
    """

    label: SetLabel | LoadLabel
    number: Numbered
    size: LabelSize = LabelSize.middle
    copies: int = 1
    readers: Readers = field(default_factory=Readers)

    def __post_init__(self) -> None:
        if not 1 <= self.copies <= MOST_COPIES:
            raise BadInput(f"{self.copies} labels; expected 1 to {MOST_COPIES}", resource="copies")

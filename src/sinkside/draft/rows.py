"""What the cells of a table row are for: by the words at the head of the column, else by their content."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.measures import Unit
from sinkside.draft.passage import Cell, Passage
from sinkside.draft.stages import names_only_a_stage, stages_named

#: What stands under 'What' or 'Where' says itself what it is: a stage, or else a part.
_OPEN = "open"
#: Where a head could mean two things, the earlier wins.
_ORDER = (_OPEN, "number", "part", "stage", "action", "medium", "value", "remark")
#: What stands in a cell that says nothing.
EMPTY = {"", "-", "–", "—", "n/a", "none", "/"}


@dataclass(frozen=True, slots=True)
class RowCells:
    """The cells of a row by their use; empty cells are left out."""

    by_use: dict[str, tuple[Cell, ...]]

    def text(self, use: str) -> str:
        """The words of all cells of a use."""
        return "; ".join(cell.text for cell in self.by_use.get(use, ()))

    def asking(self) -> list[Cell]:
        """The cells that can ask for something, hold figures and states."""
        return self.cells("action", "medium", "value", "remark")

    def naming(self) -> list[Cell]:
        """The cells that name stage and part; their figures count too."""
        return self.cells("stage", "part")

    def cells(self, *uses: str) -> list[Cell]:
        """The cells of some uses, in the order of the uses."""
        return [cell for use in uses for cell in self.by_use.get(use, ())]


def cells_by_use(passage: Passage, language: str) -> RowCells:
    """Sort the cells of a row by what their column is for."""
    sorted_cells: dict[str, tuple[Cell, ...]] = {}
    heads = [cell.head for cell in passage.cells]
    told = {"stage", "part"} <= uses_of(heads, language, counted=passage.number is not None)
    for place, cell in enumerate(passage.cells):
        if cell.text.strip().lower() in EMPTY:
            continue
        use = _use(cell.head, language, first=place == 0)
        if use == _OPEN and told:
            use = "action"  # with columns for stage and part, 'What' says what is done
        elif use == _OPEN:
            use = "stage" if stages_named(cell.text, language) else "part"
        if place == 0 and passage.number:
            use = "number"
        elif _is_unheaded_stage(cell, language, known=sorted_cells):
            use = "stage"
        sorted_cells[use] = (*sorted_cells.get(use, ()), cell)
    return RowCells(sorted_cells)


def _is_unheaded_stage(cell: Cell, language: str, *, known: dict[str, tuple[Cell, ...]]) -> bool:
    """'Control' in front of what is done, under no head that says so, or under 'Step' beside the number."""
    if known.keys() - {"number"}:
        return False
    named = _named(cell.head, language)
    return named == {"number"} or (not named and names_only_a_stage(cell.text, language))


def uses_of(heads: Sequence[str], language: str, *, counted: bool = False) -> frozenset[str]:
    """What the columns of a table are for, by their heads; 'Step' beside the number names the stage.

    Where the rows are `counted`, 'Row | Where | Part | What to do' names no stage by its first column.
    """
    uses = [_use(head, language, first=place == 0) for place, head in enumerate(heads)]
    uses = uses[1:] if counted and "action" in uses[1:] else uses
    return frozenset(uses) | ({"stage"} if _are_steps_numbered(heads, language) else set())


def tells_work(heads: Sequence[str], language: str) -> bool:
    """Whether heads name columns for what is done: work, stages, or what and with what."""
    named = frozenset().union(*(_named(head, language) for head in heads))
    asks = _OPEN in named and not named.isdisjoint({"medium", "value"})
    return asks or not named.isdisjoint({"action", "stage"}) or _are_steps_numbered(heads, language)


def _are_steps_numbered(heads: Sequence[str], language: str) -> bool:
    """Whether 'Step' stands beside the number."""
    return sum(_named(head, language) == {"number"} for head in heads) > 1


def _named(head: str, language: str) -> set[str]:
    return {lexeme.value for lexeme in read_words(head.lower(), language).all("column")}


def _use(head: str, language: str, *, first: bool) -> str:
    reading = read_words(head.lower(), language)
    named = [lexeme.value for lexeme in reading.all("column") if lexeme.value != "number"]
    if not named:
        return "stage" if first else "action"
    starts = reading.at(0, "column")
    if starts and starts.value != "number":
        return starts.value
    return min(named, key=_ORDER.index)


def unit_of_head(head: str, language: str) -> Unit | None:
    """The unit that stands in the head of a column: 'Temperature (°C)'."""
    reading = read_words(head, language)
    if reading.at(0, "ph"):
        return Unit("ph", "pH", None, 0)
    for lexeme in reading.all("unit"):
        in_brackets = lexeme.first > 0 and reading.tokens[lexeme.first - 1].norm in {"(", "[", "/", "in"}
        kind = reading.at(lexeme.last, "pressure_reference")
        last = (kind.last if kind else lexeme.last) == len(reading.tokens)
        comma = lexeme.first > 1 and reading.tokens[lexeme.first - 1].norm == ","
        at_end = last and (lexeme.first == 0 or comma or _measured(reading, lexeme.first))
        # "°C (range)", "min (least)": what stands behind in brackets says how it is meant.
        behind = reading.tokens[lexeme.last].norm if lexeme.first == 0 and not last else ""
        quantity, unit = lexeme.value.split(":")
        if (in_brackets or at_end or behind == "(") and quantity != "foreign":
            return Unit(quantity, unit, None, 0)
    counted = [x for x in reading.all("count") if x.last == len(reading.tokens) and len(x.value) > 1]
    return Unit("count", "1", counted[0].value, 0) if counted and not reading.has("unit") else None


def _measured(reading: Reading, end: int) -> bool:
    """Whether the words before a token name what is measured: 'Temp. °C', 'Time min'."""
    return any(x.value == "value" and x.last in {end, end - 1} for x in reading.all("column", last=end))

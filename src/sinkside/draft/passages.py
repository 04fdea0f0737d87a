"""Lines into passages: titles, headings, items, bullets, table rows, sentences; each with its place."""

from __future__ import annotations

import bisect
import re
from dataclasses import dataclass, field, replace

from sinkside.draft.bands import as_heading
from sinkside.draft.blocks import (
    Block,
    dangles,
    ends_sentence,
    goes_on,
    is_open_row,
    letter_of,
    marker_of,
    stands_in_table,
    usual_width,
)
from sinkside.draft.captions import is_caption, is_of_table
from sinkside.draft.forbidding import asks_alone, forbids_alone, forbids_column, forbids_list
from sinkside.draft.front import PARAMETER, front_matter, is_next_title_line
from sinkside.draft.headings import are_siblings, is_heading, stage_label, undecorated
from sinkside.draft.lexicon import read_words
from sinkside.draft.lines import Line, TableStart
from sinkside.draft.passage import Cell, Passage, PassageKind
from sinkside.draft.prose_rows import told_rows
from sinkside.draft.questions import is_question
from sinkside.draft.remarks import remark_of_row, with_remarks
from sinkside.draft.splitting import split_sentences
from sinkside.draft.stages import names_only_a_stage

#: 'PTFE', 'PEEK' in capitals go on with their cell.
_LONGEST_CODE = 4
_MOST_LINES_OF_A_QUESTION = 3
_ITEM_CELL = re.compile(r"[\[<(]\d{1,3}[a-z]?[\]>)]\s+\w")
#: A cell of a second row of heads that holds nothing but a unit.
_UNIT_CELL = re.compile(
    r"[(\[]?(?:°\s?[CFK]|K|mL|ml|L|l|min|s|sec|h|bar|mbar|kPa|MPa|psi|%|mm|cm|m|kHz|Hz|kV|V|g|kg|lb|mL/L|ml/l|g/L|pH|A0"
    r"|min:s|mm:ss|hh:mm|h:min)[)\]]?"
)
_RULE = re.compile(r"^[\s|+:=_~*-]+$")


def passages(lines: tuple[Line, ...], language: str = "en") -> list[Passage]:
    """The passages of a document in reading order."""
    return _Reader(lines, language).read()


@dataclass(slots=True)
class _Reader:
    """Walks over the lines once, keeping the table head and the number of the item."""

    lines: tuple[Line, ...]
    language: str
    found: list[Passage] = field(default_factory=list)
    item: int = 0
    heads: tuple[str, ...] = ()
    table_open: bool = False
    heads_only: bool = False
    letter: str = ""

    def read(self) -> list[Passage]:
        blocks = self._blocks()
        for place, block in enumerate(blocks):
            if isinstance(block, Line):
                self._row(block, following=blocks[place + 1] if place + 1 < len(blocks) else None)
            else:
                self.table_open = False
                block.following = self._number_behind(blocks, place)
                self._passages_of(block)
        return with_remarks(self._with_leads(front_matter(self.found, self.language)))

    @staticmethod
    def _number_behind(blocks: list[Block | Line], place: int) -> str | None:
        behind = blocks[place + 1] if place + 1 < len(blocks) else None
        return behind.number if isinstance(behind, Block) else None

    # Lines to blocks.

    def _blocks(self) -> list[Block | Line]:
        width = usual_width(self.lines)
        blocks: list[Block | Line] = []
        for place, line in enumerate(self.lines):
            if (
                blocks
                and isinstance(blocks[-1], Line)
                and is_open_row(blocks[-1].text)
                and not line.gap_before
            ):
                blocks[-1] = replace(blocks[-1], text=f"{blocks[-1].text} {line.text.strip()}")
                continue
            if stands_in_table(self.lines, place) or (_RULE.match(line.text) and "|" in line.text):
                blocks.append(line)
                continue
            if _RULE.match(line.text):
                continue
            previous = blocks[-1] if blocks and isinstance(blocks[-1], Block) else None
            marker = None if previous and dangles(previous, line) else self._marker(place)
            if marker is None and previous and self._takes(previous, line, width):
                previous.lines.append(line)
                previous.texts.append(line.text)
                continue
            if previous:
                previous.gap_after = line.gap_before
            number, bullet, rest = marker or (None, False, line.text)
            ended = previous is None or line.gap_before or ends_sentence(previous)
            blocks.append(
                Block([line], [rest], number, bullet=bullet, gap_before=line.gap_before, ends_before=ended)
            )
        if blocks and isinstance(blocks[-1], Block):
            blocks[-1].gap_after = True
        return blocks

    def _marker(self, place: int) -> tuple[str | None, bool, str] | None:
        """What begins an item on a line, be it only the next letter."""
        lettered = letter_of(self.lines, place, self.letter)
        self.letter = lettered[0] if lettered else self.letter
        return lettered or marker_of(self.lines[place].text, self.language)

    def _takes(self, block: Block, line: Line, width: int) -> bool:
        """Whether a line goes on with the block; behind a numbered stage name a new one begins."""
        if dangles(block, line):
            return True
        asked = len(block.texts) <= _MOST_LINES_OF_A_QUESTION and is_question(block, block.text)
        if asked and not line.text.lstrip()[:1].islower():
            return False
        titled = block.number is not None and names_only_a_stage(block.texts[0], self.language)
        title = is_next_title_line(block, line.text, number=line.number, page=line.page)
        listed = PARAMETER.match(line.text) and PARAMETER.match(block.texts[0])
        # 'SOILED SIDE' among the short lines of a card heads what follows, with no gap before it.
        loud = line.text.isupper() and not block.text.isupper()
        headed = loud and names_only_a_stage(line.text, self.language)
        return not (titled or title or listed or headed) and goes_on(block, line, width)

    # Blocks to passages.

    def _passages_of(self, block: Block) -> None:
        self.item += 1
        text = undecorated(block.text, self.language)
        if not text:
            return
        if self._is_caption(block, text):
            self._add(PassageKind.caption, text, block, 0, len(text))
            return
        if not self._forbids_column(block) and is_heading(block, text, self.language):
            self._add(PassageKind.heading, text.rstrip(".: "), block, 0, len(text))
            return
        labelled = stage_label(block, text, self.language)
        if labelled:
            self._add(PassageKind.heading, text[:labelled].rstrip(": "), block, 0, labelled)
        pieces = [
            (start + labelled, end + labelled, lead)
            for start, end, lead in split_sentences(text[labelled:], self.language)
        ]
        for place, (start, end, lead) in enumerate(pieces):
            runs_in = place == 0 and len(pieces) > 1 and not block.bullet
            if runs_in and names_only_a_stage(text[start:end], self.language):
                self._add(PassageKind.heading, text[start:end].rstrip(".:"), block, start, end)
            else:
                self._add(PassageKind.sentence, text[start:end], block, start, end, lead=lead)

    def _is_caption(self, block: Block, text: str) -> bool:
        """A caption; that of a table which names a stage heads the table instead."""
        if block.number or block.bullet or not is_caption(text):
            return False
        reading = read_words(text.lower(), self.language)
        return not (is_of_table(text) and (reading.has("stage") or reading.has("section")))

    def _forbids_column(self, block: Block) -> bool:
        """Whether a block stands in a column whose head forbids all of it, as 'Do not' beside 'Do'."""
        return bool(block.column_head) and forbids_column(block.column_head, self.language)

    def _add(
        self, kind: PassageKind, text: str, block: Block, start: int, end: int, *, lead: str = ""
    ) -> None:
        first, last = _lines_between(block, start, end)
        governed = self._forbids_column(block)
        lead = lead or (block.column_head if governed else "")
        self.found.append(
            Passage(
                kind, " ".join(text.split()), first.page, first.number, last.number, self.item,
                number=block.number, lead=lead, bullet=block.bullet,
            forbidden=governed or (bool(lead) and forbids_list(lead, self.language)),
            )
        )  # fmt: skip

    # Tables.

    def _row(self, line: Line, following: Block | Line | None) -> None:
        if _RULE.match(line.text):
            return
        texts = _cells_of(line.text.strip(), len(self.heads) if self.table_open else 0)
        ruled_next = isinstance(following, Line) and bool(_RULE.match(following.text))
        self.table_open = self.table_open and line.opens is None
        if self.table_open and (texts == self.heads or self._continues(texts)):
            return
        if self.heads_only and _is_second_head(self.heads, texts):
            self.heads, self.heads_only = _joined_heads(self.heads, texts), False
            return
        self.heads_only = False
        heads_next = ruled_next or self._heads_by_contrast(texts, following)
        if not self.table_open or (ruled_next and self._looks_like_heads(texts)):
            self.table_open = True
            if self._begins_with_heads(line, texts, heads_next=heads_next):
                self.heads, self.heads_only = texts, True
                self.item += 1
                return
            self.heads = ()
        self.item += 1
        heads = self.heads if len(self.heads) == len(texts) else ("",) * len(texts)
        cells = tuple(Cell(head, text) for head, text in zip(heads, texts, strict=True))
        number = next(
            (
                c.text.rstrip(".°º")
                for c in cells[:1]
                if re.fullmatch(r"\d{1,3}[a-z]?[.°º]?|[A-Za-z]\.?|\d+(\.\d+)+", c.text)
            ),
            None,
        )
        row = Passage(
            PassageKind.row, " ".join(line.text.split()), line.page, line.number, line.number, self.item,
            number=number, cells=cells,
        )  # fmt: skip
        band = as_heading(row, self.language)
        remark = remark_of_row(row, self.language)
        self.found.extend([band] if band else remark or told_rows(row, self.language) or [row])

    def _continues(self, texts: tuple[str, ...]) -> bool:
        """A row cut by the end of a page goes on without its number: its words belong to the row above."""
        above = self.found[-1] if self.found else None
        if above is None or not above.number or not above.cells or texts[0] or len(texts) != len(above.cells):
            return False
        if self._is_band(texts):
            return False
        cells = tuple(
            Cell(cell.head, f"{cell.text} {text}".strip())
            for cell, text in zip(above.cells, texts, strict=True)
        )
        self.found[-1] = replace(above, cells=cells, text=f"| {' | '.join(cell.text for cell in cells)} |")
        return True

    def _is_band(self, texts: tuple[str, ...]) -> bool:
        """'PACKING' without a number across a table heads the rows below it, and goes on with none."""
        filled = [text for text in texts if text]
        loud = all(text.isupper() and len(text) > _LONGEST_CODE for text in filled)
        return bool(filled) and (loud or all(names_only_a_stage(text, self.language) for text in filled))

    def _begins_with_heads(self, line: Line, texts: tuple[str, ...], *, heads_next: bool) -> bool:
        """Whether a first row holds heads: the way it is set says so, else what stands in it.

        What carries the number of an item, as '[7] DRY', heads nothing.
        """
        if _ITEM_CELL.match(texts[0]):
            return False
        if line.opens is not None:
            return line.opens is TableStart.heads
        return heads_next or self._looks_like_heads(texts)

    def _looks_like_heads(self, texts: tuple[str, ...]) -> bool:
        known = sum(1 for text in texts if text and read_words(text, self.language).has("column"))
        digits = sum(1 for text in texts if re.search(r"\d", text))
        return known >= len([text for text in texts if text]) / 2 and digits <= 1

    @staticmethod
    def _heads_by_contrast(texts: tuple[str, ...], following: Block | Line | None) -> bool:
        """A first row without figures over a row that holds some in most cells."""
        if not isinstance(following, Line) or any(re.match(r"\d", text) for text in texts):
            return False
        cells = following.text.strip().removeprefix("|").removesuffix("|").split("|")[1:]
        return sum(1 for cell in cells if re.search(r"\d", cell)) * 2 >= len(cells) > 0

    def _with_leads(self, found: list[Passage]) -> list[Passage]:
        """Bullets behind a sentence that ends in a colon are led in by it; some leads forbid their list."""
        lead, led = "", []
        forbidding: Passage | None = None
        for passage in found:
            if passage.kind is PassageKind.heading:
                lead = ""
            elif passage.kind is PassageKind.sentence and passage.text.endswith(":"):
                lead = passage.text
            led_in = lead and not passage.lead and passage.text != lead
            forbidding = self._still_forbidding(forbidding, passage)
            if forbidding and forbidding is not passage and not passage.forbidden:
                led.append(replace(passage, lead=forbidding.text, forbidden=True))
            else:
                led.append(replace(passage, lead=lead) if led_in and not passage.forbidden else passage)
        return led

    def _still_forbidding(self, before: Passage | None, passage: Passage) -> Passage | None:
        """The passage whose prohibition governs this one: a list ends with its marks."""
        language = self.language
        opens = passage.kind is not PassageKind.row and forbids_alone(passage.text, language)
        opens = opens or (passage.text.endswith(":") and forbids_list(passage.text, language))
        if opens:
            return passage
        ends = passage.kind in {PassageKind.heading, PassageKind.row} or asks_alone(passage.text, language)
        if before is None or ends or passage.text.endswith(":") or passage.lead:
            return None
        if before.kind is PassageKind.heading or passage.item == before.item:
            return before
        nested = passage.number is not None and not are_siblings(passage.number, before.number)
        return before if passage.bullet or nested else None


def _cells_of(text: str, heads: int) -> tuple[str, ...]:
    """The cells between strokes; without outer strokes the first and last may be empty, or left out."""
    if heads and text.count("|") == heads - 1:
        return tuple(cell.strip() for cell in text.split("|"))
    outer = text.startswith("|")
    cells = [cell.strip() for cell in (text[1:].removesuffix("|") if outer else text).split("|")]
    if not outer and len(cells) == heads + 1 and not cells[-1]:
        cells.pop()
    return (*cells, *("" for _ in range(heads - len(cells)))) if not outer else tuple(cells)


def _is_second_head(heads: tuple[str, ...], texts: tuple[str, ...]) -> bool:
    """A second row of heads: it says again, or leaves empty, what the first says for both, or only units."""
    if len(texts) != len(heads) or texts == heads:
        return False
    units = [below for below in texts if below]
    if units and len(units) < len(texts) and all(_UNIT_CELL.fullmatch(below) for below in units):
        return all(above for above, below in zip(heads, texts, strict=True) if below)
    pairs = list(zip(heads, texts, strict=True))
    again = sum(1 for above, below in pairs if above and above == below)
    wide = [below for above, below in pairs if not above]
    return again * 2 >= len(pairs) and bool(wide) and not any(re.match(r"\d", below) for below in wide)


def _joined_heads(heads: tuple[str, ...], texts: tuple[str, ...]) -> tuple[str, ...]:
    """Both rows of heads in one: 'Values' over 'Temp. °C' and 'Time min'."""
    joined, wide = [], ""
    for above, below in zip(heads, texts, strict=True):
        wide = above or wide
        joined.append(above if above == below or not below else f"{wide} {below}".strip())
    return tuple(joined)


def _lines_between(block: Block, start: int, end: int) -> tuple[Line, Line]:
    """The first and last line of the characters from `start` to `end` of a block's text."""
    last_line = len(block.lines) - 1
    first = bisect.bisect_right(block.ends, start)
    last = bisect.bisect_left(block.ends, end)
    return block.lines[min(first, last_line)], block.lines[min(last, last_line)]

"""Lines into passages: titles, headings, numbered items, bullets, table rows, sentences; each with its place."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from enum import StrEnum

from sinkside.draft.lexicon import read_words
from sinkside.draft.pages import Line
from sinkside.draft.splitting import split_sentences


class PassageKind(StrEnum):
    """What a passage is."""

    title = "title"
    heading = "heading"
    sentence = "sentence"
    row = "row"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table row, under the words at the head of its column."""

    head: str
    text: str


@dataclass(frozen=True, slots=True)
class Passage:
    """A heading, a sentence, a bullet or a table row as it stands, white space folded."""

    kind: PassageKind
    text: str
    page: int
    line: int
    line_end: int
    item: int
    number: str | None = None
    lead: str = ""
    cells: tuple[Cell, ...] = ()


_MARKER = re.compile(
    r"^\s*(?:(?P<bullet>[-•*–●▪◦‣·→►o])\s+"
    r"|(?P<number>\(?(?:\d{1,2}(?:\.\d{1,2}){0,3}|[a-z]|[ivx]{1,4})\)|\d{1,2}(?:\.\d{1,2}){1,3}\.?|\d{1,2}\.|[A-Z]{1,2}\d{1,2}[.:]?"
    r"|(?:step|Step|STEP)\s+\d{1,2}(?:\.\d+)*[.:)]?)\s+)(?P<rest>\S.*)$"
)
_PLAIN_NUMBER = re.compile(r"^\s*(?P<number>\d{1,2})\s{1,4}(?P<rest>[A-Z].*)$")
_RULE = re.compile(r"^[\s|+:=_~*-]+$")
_NOTICE = re.compile(r"^\[.*\]$")
_ENDS_SENTENCE = re.compile(r"[.!?;:][\"')\]]?$")
_MOST_WORDS_IN_A_HEADING = 9
_FULL_LINE = 0.72


@dataclass(slots=True)
class _Block:
    """Lines that belong together: a paragraph, an item, a bullet."""

    lines: list[Line]
    texts: list[str]
    number: str | None = None
    bullet: bool = False
    gap_before: bool = True
    gap_after: bool = False
    following: str | None = None

    @property
    def text(self) -> str:
        return _joined(self.texts)


def _joined(texts: list[str]) -> str:
    whole = ""
    for text in texts:
        folded = " ".join(text.split())
        if whole.endswith("-") and re.search(r"[a-z]-$", whole) and folded[:1].islower():
            whole = whole[:-1] + folded
        else:
            whole = f"{whole} {folded}" if whole else folded
    return whole


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

    def read(self) -> list[Passage]:
        blocks = self._blocks()
        for place, block in enumerate(blocks):
            if isinstance(block, Line):
                self._row(block, following=blocks[place + 1] if place + 1 < len(blocks) else None)
            else:
                self.table_open = False
                block.following = self._number_behind(blocks, place)
                self._passages_of(block)
        return self._with_leads(_front_matter(self.found))

    @staticmethod
    def _number_behind(blocks: list[_Block | Line], place: int) -> str | None:
        behind = blocks[place + 1] if place + 1 < len(blocks) else None
        return behind.number if isinstance(behind, _Block) else None

    # Lines to blocks.

    def _blocks(self) -> list[_Block | Line]:
        width = _usual_width(self.lines)
        blocks: list[_Block | Line] = []
        for line in self.lines:
            if _is_row(line.text) or (_RULE.match(line.text) and "|" in line.text):
                blocks.append(line)
                continue
            if _RULE.match(line.text):
                continue
            previous = blocks[-1] if blocks and isinstance(blocks[-1], _Block) else None
            marker = _marker(line.text)
            if marker is None and previous and _goes_on(previous, line, width):
                previous.lines.append(line)
                previous.texts.append(line.text)
                continue
            if previous:
                previous.gap_after = line.gap_before
            number, bullet, rest = marker or (None, False, line.text)
            blocks.append(_Block([line], [rest], number, bullet=bullet, gap_before=line.gap_before))
        if blocks and isinstance(blocks[-1], _Block):
            blocks[-1].gap_after = True
        return blocks

    # Blocks to passages.

    def _passages_of(self, block: _Block) -> None:
        self.item += 1
        text = block.text.lstrip("#").strip() if block.text.startswith("#") else block.text
        if not text:
            return
        if self._is_heading(block, text):
            self._add(PassageKind.heading, text.rstrip(":"), block, 0, len(text))
            return
        for start, end, lead in split_sentences(text, self.language):
            self._add(PassageKind.sentence, text[start:end], block, start, end, lead=lead)

    def _is_heading(self, block: _Block, text: str) -> bool:
        words = text.split()
        if block.bullet or len(words) > _MOST_WORDS_IN_A_HEADING or _NOTICE.match(text):
            return False
        if not re.search(r"[^\W\d_]{2}", text) or text[-1] in ".!?;,":
            return False
        if block.text.startswith("#") or (text.isupper() and len(text) > len("WD")):
            return True
        capitals = text.split("(")[0].strip()
        if capitals.isupper() and len(capitals) > len("WD"):
            return True
        if self._holds_figures(text):
            return False
        if all(line.prominent for line in block.lines):
            return True
        if block.number:
            return bool(block.following and block.following.startswith(block.number.rstrip(".") + ".")) or (
                block.gap_before and not self._begins_with_verb(text) and text[-1] != ":"
            )
        alone = block.gap_before and (block.gap_after or block.following is not None)
        return alone and (text[0].isupper() or text[-1] == ":") and not self._begins_with_verb(text)

    def _holds_figures(self, text: str) -> bool:
        reading = read_words(text, self.language)
        return any(reading.at(place + 1, "unit") for place, token in enumerate(reading.tokens) if token.value)

    def _begins_with_verb(self, text: str) -> bool:
        """'Rinse the device' is a step; 'Rinse' and 'Clean by hand' are headings only if they name a stage."""
        reading = read_words(text, self.language)
        verb = reading.at(0, "action")
        return bool(verb) and len(reading.tokens) > (verb.last if verb else 0) and not reading.has("stage")

    def _add(
        self, kind: PassageKind, text: str, block: _Block, start: int, end: int, *, lead: str = ""
    ) -> None:
        first, last = _lines_between(block, start, end)
        self.found.append(
            Passage(
                kind, " ".join(text.split()), first.page, first.number, last.number, self.item,
                number=block.number, lead=lead,
            )
        )  # fmt: skip

    # Tables.

    def _row(self, line: Line, following: _Block | Line | None) -> None:
        if _RULE.match(line.text):
            return
        texts = tuple(cell.strip() for cell in line.text.strip().strip("|").split("|"))
        ruled_next = isinstance(following, Line) and bool(_RULE.match(following.text))
        if not self.table_open or (ruled_next and self._looks_like_heads(texts)):
            self.table_open = True
            if ruled_next or self._looks_like_heads(texts):
                self.heads = texts
                self.item += 1
                return
            self.heads = ()
        self.item += 1
        heads = self.heads if len(self.heads) == len(texts) else ("",) * len(texts)
        cells = tuple(Cell(head, text) for head, text in zip(heads, texts, strict=True))
        number = next((c.text.rstrip(".") for c in cells[:1] if re.fullmatch(r"\w{1,3}\.?|\d+(\.\d+)+", c.text)), None)
        self.found.append(
            Passage(
                PassageKind.row, " ".join(line.text.split()), line.page, line.number, line.number, self.item,
                number=number, cells=cells,
            )
        )  # fmt: skip

    def _looks_like_heads(self, texts: tuple[str, ...]) -> bool:
        known = sum(1 for text in texts if text and read_words(text, self.language).has("column"))
        digits = sum(1 for text in texts if re.search(r"\d", text))
        return known >= len([text for text in texts if text]) / 2 and digits <= 1

    def _with_leads(self, found: list[Passage]) -> list[Passage]:
        """Bullets behind a sentence that ends in a colon are led in by it."""
        lead, led = "", []
        for passage in found:
            if passage.kind is PassageKind.heading:
                lead = ""
            elif passage.kind is PassageKind.sentence and passage.text.endswith(":"):
                lead = passage.text
            led.append(passage if passage.lead or not lead or passage.text == lead else _led(passage, lead))
        return led


def _led(passage: Passage, lead: str) -> Passage:
    return Passage(
        passage.kind, passage.text, passage.page, passage.line, passage.line_end, passage.item,
        passage.number, lead, passage.cells,
    )  # fmt: skip


def _is_row(text: str) -> bool:
    return text.count("|") >= len("||")


def _marker(text: str) -> tuple[str | None, bool, str] | None:
    match = _MARKER.match(text)
    if match:
        number = match["number"]
        return (number.strip("().:") if number else None), bool(match["bullet"]), match["rest"]
    plain = _PLAIN_NUMBER.match(text)
    if plain and not re.match(r"\d+\s+[A-Z]\b", text.strip()):
        return plain["number"], False, plain["rest"]
    return None


def _usual_width(lines: tuple[Line, ...]) -> int:
    widths = sorted(len(line.text) for line in lines if not _is_row(line.text))
    return widths[int(len(widths) * 0.9)] if widths else 0


def _goes_on(block: _Block, line: Line, width: int) -> bool:
    """Whether a line without a marker belongs to the block before it."""
    last = block.texts[-1].rstrip()
    begins_small = line.text.lstrip()[:1].islower()
    new_page = line.page != block.lines[-1].page
    if line.gap_before and not (new_page and (begins_small or not _ENDS_SENTENCE.search(last))):
        return False
    if line.prominent != block.lines[-1].prominent:
        return False
    if begins_small or last.endswith((",", "-", "(")):
        return True
    if line.text.startswith(" ") and (block.number or block.bullet):
        return True
    return len(block.lines[-1].text) >= _FULL_LINE * width


def _lines_between(block: _Block, start: int, end: int) -> tuple[Line, Line]:
    """The first and last line of the characters from `start` to `end` of a block's text."""
    first = last = block.lines[-1]
    for count in range(len(block.texts), 0, -1):
        length = len(_joined(block.texts[:count]))
        if length >= end:
            last = block.lines[count - 1]
        if length > start:
            first = block.lines[count - 1]
    return first, last


def _front_matter(found: list[Passage]) -> list[Passage]:
    """What stands before the first real heading, item or long sentence is the title of the document."""
    titled: list[Passage] = []
    for place, passage in enumerate(found):
        if passage.kind is PassageKind.row or passage.number or not _could_be_title(passage, found[place:]):
            return titled + found[place:]
        titled.append(
            Passage(
                PassageKind.title, passage.text, passage.page, passage.line, passage.line_end, passage.item
            )
        )
    return titled


def _could_be_title(passage: Passage, rest: list[Passage]) -> bool:
    if _NOTICE.match(passage.text):
        return True
    if passage.kind is PassageKind.heading:
        reading = read_words(passage.text)
        return not (reading.has("stage") or reading.has("section")) or reading.has("title_word")
    return len(passage.text.split()) < len("fourteen words") and not passage.text.endswith(".") and len(rest) > 1

"""A word-processor file as lines: paragraphs with their numbers, headings, tables, notes and text boxes."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from sinkside.draft.gutters import TEXT_SCALE
from sinkside.draft.lines import Line, Pages, TableStart, clean
from sinkside.draft.plain_text import set_tabbed
from sinkside.draft.setting import Setter, column_by_column
from sinkside.draft.sidebyside import govern_columns, names_language
from sinkside.draft.word_markup import ParagraphText, attribute, children, find, is_named, is_on
from sinkside.draft.word_numbers import ListNumbers
from sinkside.draft.word_package import opened_word_file
from sinkside.errors import UnreadableFile

_ENDS_SENTENCE = re.compile(r"[.!?:;,]$")
_CONTENTS = re.compile(r"toc\s?\d|table of figures", re.IGNORECASE)
_HEADING = re.compile(r"heading|title|überschrift|titel|titre|título|encabezado", re.IGNORECASE)
_DEEPEST_TABLE = 6
_MOST_PARAGRAPHS = 60_000


def word_pages(data: bytes, *, resource: str) -> Pages:
    """The lines of a word-processor file, numbered from 1; it has no pages of its own.

    Raises:
        UnreadableFile: if it is old, locked, broken, or made to swell.
    """
    reader = _Reader.of(opened_word_file(data, resource=resource), resource)
    setter = Setter(TEXT_SCALE)
    lines: list[Line] = []
    for tabbed, group in itertools.groupby(reader.read(), key=lambda line: "\t" in line.text):
        block = list(group)
        lines.extend(set_tabbed(setter, block) if tabbed else block)
    return Pages(tuple(replace(line, number=place) for place, line in enumerate(lines, start=1)), 1)


@dataclass(frozen=True, slots=True)
class _Style:
    """What a style of paragraphs says: its name, its list and level, its level as a heading."""

    name: str = ""
    based_on: str = ""
    numbers: Any = None
    outlined: bool = False


@dataclass(slots=True)
class _Reader:
    """Walks over the body of a file once, counting its lists."""

    body: Any
    styles: dict[str, _Style]
    numbers: ListNumbers
    notes: dict[str, Any]
    resource: str
    read_paragraphs: int = field(default=0)

    @classmethod
    def of(cls, document: Any, resource: str) -> _Reader:
        """A reader of an opened file."""
        parts = {rel.reltype.rsplit("/", 1)[-1]: rel.target_part for rel in _inner(document)}
        notes = {
            f"{kind}:{attribute(note, 'id')}": note
            for kind in ("footnote", "endnote")
            for note in children(_markup(parts.get(f"{kind}s")), kind)
        }
        styles = {attribute(x, "styleId"): _style(x) for x in children(_markup(parts.get("styles")), "style")}
        numbers = ListNumbers.of(_markup(parts.get("numbering")))
        return cls(document.element.body, styles, numbers, notes, resource)

    def read(self) -> Iterator[Line]:
        """The lines of the file; a line with tabs between its words is not set yet."""
        yield from self._blocks(self.body, depth=0)

    def _blocks(self, parent: Any, depth: int) -> Iterator[Line]:
        for element in parent:
            if is_named(element, "p"):
                yield from self._paragraph(element, depth)
            elif is_named(element, "tbl") and depth < _DEEPEST_TABLE:
                yield from self._table(element, depth + 1)
            elif not is_named(element, "sectPr") and isinstance(element.tag, str):
                yield from self._blocks(element, depth)

    # Paragraphs.

    def _paragraph(self, paragraph: Any, depth: int) -> Iterator[Line]:
        self.read_paragraphs += 1
        if self.read_paragraphs > _MOST_PARAGRAPHS:
            raise UnreadableFile(
                f"it holds more than {_MOST_PARAGRAPHS:,} paragraphs", resource=self.resource
            )
        said = ParagraphText.of(paragraph)
        style = self._style_of(paragraph)
        if not _CONTENTS.match(style.name):
            yield from self._said(said, style, self._label(paragraph, style))
        for box in said.boxes if depth < _DEEPEST_TABLE else ():
            yield from self._blocks(box, depth + 1)
        for note in said.notes:
            if note in self.notes:
                yield from self._blocks(self.notes[note], depth + 1)

    @staticmethod
    def _said(said: ParagraphText, style: _Style, label: str) -> Iterator[Line]:
        texts = [clean(text.replace("\t", "\0")).replace("\0", "\t").strip() for text in said.lines]
        written = [text for text in texts if text]
        prominent = style.outlined or _HEADING.search(style.name) is not None or said.bold
        for place, text in enumerate(written):
            labelled = f"{label} {text}" if label and place == 0 else text
            yield Line(1, 0, labelled, gap_before=place == 0, prominent=prominent)

    def _style_of(self, paragraph: Any) -> _Style:
        """The style of a paragraph with what it takes over from the styles below it."""
        properties = find(paragraph, "pPr")
        name = attribute(find(properties, "pStyle"), "val")
        style = self.styles.get(name, _Style())
        below, seen = style, {name}
        while below.based_on in self.styles and below.based_on not in seen:
            seen.add(below.based_on)
            below = self.styles[below.based_on]
            numbers = style.numbers if style.numbers is not None else below.numbers
            style = replace(style, numbers=numbers, outlined=style.outlined or below.outlined)
        outlined = find(properties, "outlineLvl") is not None
        return replace(style, outlined=True) if outlined else style

    def _label(self, paragraph: Any, style: _Style) -> str:
        own = find(paragraph, "pPr", "numPr")
        named = [x for x in (own, style.numbers) if find(x, "numId") is not None]
        if not named:
            return ""
        levels = [attribute(find(x, "ilvl"), "val") for x in (own, style.numbers)]
        level = next((int(x) for x in levels if x.isdigit()), 0)
        return self.numbers.label(attribute(find(named[0], "numId"), "val"), level)

    # Tables.

    def _table(self, table: Any, depth: int) -> Iterator[Line]:
        rows = [[self._cell(cell, depth) for cell in _cells(row)] for row in children(table, "tr")]
        grid = _as_grid(rows)
        if not grid:
            return
        if len(grid[0]) == 1:
            yield from (line for row in rows for cell in row for line in cell.lines)
            return
        count = _head_rows(table, rows)
        heads = [
            " ".join(dict.fromkeys(cell.text for cell in column))
            for column in zip(*grid[:count], strict=True)
        ]
        if govern_columns([head for head in heads if not names_language(head)]):
            body = [[cell.lines for cell in row] for row in grid[count:]]
            yield from column_by_column(heads, body)
            return
        titled = count > 1 or is_on(find(children(table, "tr")[0], "trPr"), "tblHeader")
        for place, texts in enumerate([heads, *([cell.shown for cell in row] for row in grid[count:])]):
            opens = TableStart.heads if titled and place == 0 else None
            if any(texts):
                yield Line(1, 0, f"| {' | '.join(texts)} |", gap_before=place == 0, opens=opens)

    def _cell(self, cell: Any, depth: int) -> _Cell:
        span = attribute(find(cell, "tcPr", "gridSpan"), "val")
        merge = find(cell, "tcPr", "vMerge")
        goes_on = merge is not None and attribute(merge, "val") != "restart"
        lines = tuple(self._blocks(cell, depth))
        return _Cell(lines, int(span) if span.isdigit() else 1, goes_on=goes_on, merged=merge is not None)


@dataclass(frozen=True, slots=True)
class _Cell:
    """A cell of a table: its lines, how many columns it spans, whether it goes on with the cell above."""

    lines: tuple[Line, ...]
    span: int = 1
    goes_on: bool = False
    merged: bool = False
    empty: bool = False

    @property
    def text(self) -> str:
        """Its lines as one text; items without a full stop are parted."""
        text = ""
        for line in self.lines:
            glue = " " if not text or _ENDS_SENTENCE.search(text) or not line.gap_before else "; "
            text += glue + " ".join(line.text.split())
        return text.strip().replace("|", "/")

    @property
    def shown(self) -> str:
        """Its text in its first column; nothing in the others that it spans."""
        return "" if self.empty else self.text


def _as_grid(rows: list[list[_Cell]]) -> list[list[_Cell]]:
    """The cells by row and column: spanned ones again, those merged downward as the one above says."""
    width = max((sum(cell.span for cell in row) for row in rows), default=0)
    grid: list[list[_Cell]] = []
    for row in rows:
        spread = [replace(cell, empty=place > 0) for cell in row for place in range(min(cell.span, width))][
            :width
        ]
        spread += [_Cell(())] * (width - len(spread))
        above = grid[-1] if grid else spread
        grid.append([above[x] if cell.goes_on else cell for x, cell in enumerate(spread)])
    return grid


def _head_rows(table: Any, rows: list[list[_Cell]]) -> int:
    """How many rows hold heads: those that say so, or as far as a first cell is merged downward."""
    said = 0
    for row in children(table, "tr"):
        if not is_on(find(row, "trPr"), "tblHeader"):
            break
        said += 1
    merged = 1
    first_merged = any(cell.merged for cell in rows[0])
    spanning = any(cell.span > 1 for cell in rows[0])
    while spanning and first_merged and merged < len(rows) and any(cell.goes_on for cell in rows[merged]):
        merged += 1
    return min(max(said, merged), max(len(rows) - 1, 1))


def _cells(row: Any) -> list[Any]:
    """The cells of a row, also those in a content control."""
    found = []
    for element in row:
        if is_named(element, "tc"):
            found.append(element)
        elif is_named(element, "sdt"):
            found.extend(
                _cells(find(element, "sdtContent")) if find(element, "sdtContent") is not None else []
            )
    return found


def _style(style: Any) -> _Style:
    properties = find(style, "pPr")
    return _Style(
        name=attribute(find(style, "name"), "val"),
        based_on=attribute(find(style, "basedOn"), "val"),
        numbers=find(properties, "numPr"),
        outlined=find(properties, "outlineLvl") is not None,
    )


def _inner(document: Any) -> list[Any]:
    return [relation for relation in document.part.rels.values() if not relation.is_external]


def _markup(part: Any | None) -> Any | None:
    """The markup of a part of the file; some parts are kept as bytes."""
    if part is None:
        return None
    element = getattr(part, "element", None)
    if element is not None:
        return element
    from docx.oxml.parser import parse_xml

    return parse_xml(part.blob)

"""Plain text as pages of lines: columns set by white space, leader dots and tables drawn with strokes."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import replace

from sinkside.draft.blocks import is_row
from sinkside.draft.gutters import TEXT_SCALE, LaidLine, Piece
from sinkside.draft.lines import Line, Pages, clean
from sinkside.draft.running import without_running_matter
from sinkside.draft.setting import Pitch, Setter, with_markers
from sinkside.draft.strokes import with_whole_rows

_PIECE = re.compile(r"\S+(?: \S+)*")
_UNDERLINE = re.compile(r"[\s|+:=_~─━—–-]+")
#: "**20 uses**", "*unsterile*", "`5 min`": marks around words that stress them; a lone star is a footnote.
_EMPHASIS = re.compile(
    r"(?<![\w*_])(?P<mark>\*{1,3}|_{1,2}|`)(?=\S)(?P<words>[^*_`|\n]{1,200}?)(?<=\S)(?P=mark)(?![\w*_])"
)
_LANGUAGE_SIGN = re.compile(r"^\s*(DE|EN|ES|FR|IT|NL|PT|PL)\s{2,}(?=\S)")
_TABBED = re.compile(r"\S\t+\s*\S")
_BETWEEN_TABBED = 3
#: Fewer are no heads of a table.
_FEWEST_HEADS = 4
#: In lines.
_PITCH = Pitch(usual=1.0, widest=1.0)


def text_pages(text: str) -> Pages:
    """The lines of a plain text; a form feed begins a page."""
    pages: list[list[Line]] = []
    setter = Setter(TEXT_SCALE)
    number = 0
    for page, page_text in enumerate(re.split(r"\f\n?", text), start=1):
        lines: list[Line] = []
        gap = True
        raw_lines = _with_tags(page_text.splitlines())
        for raw in _without_tabs(raw_lines):
            number += 1
            written = clean(_EMPHASIS.sub(_bare, raw))
            if written.strip():
                lines.append(Line(page, number, written, gap_before=gap))
            gap = not written.strip()
        pages.append(lines)
    told = [_set(setter, with_whole_rows(lines)) for lines in without_running_matter(pages)]
    return Pages(tuple(line for lines in told for line in lines), len(pages))


def _with_tags(lines: list[str]) -> list[str]:
    """Lines that begin with the sign of their language, "DE  Alle Teile …", with a colon behind it."""
    signs = {match[1] for line in lines if (match := _LANGUAGE_SIGN.match(line))}
    if len(signs) <= 1:
        return lines
    return [_LANGUAGE_SIGN.sub(r"\1: ", line) for line in lines]


def _bare(stressed: re.Match[str]) -> str:
    """Stressed words without the marks around them, as wide as before where a table may stand on it."""
    return stressed["words"]


def _without_tabs(lines: list[str]) -> Iterator[str]:
    """Neighbouring lines with tabs between words, set so that what stands behind the same tab lines up."""
    for tabbed, group in itertools.groupby(lines, key=lambda raw: bool(_TABBED.search(raw))):
        block = list(group)
        if not tabbed:
            yield from block
            continue
        cells = [[cell.strip() for cell in raw.split("\t")] for raw in block]
        count = max(map(len, cells))
        widths = [max((len(row[x]) for row in cells if x < len(row)), default=0) for x in range(count)]
        for row in cells:
            padded = (cell.ljust(width + _BETWEEN_TABBED) for cell, width in zip(row, widths, strict=False))
            yield "".join(padded).rstrip()


def set_tabbed(setter: Setter, lines: list[Line]) -> list[Line]:
    """Lines with tabs between their words, each a paragraph by itself, in reading order."""
    texts = list(_without_tabs([line.text for line in lines]))
    # White space between the lines, so that none goes on with the one above.
    apart = [
        replace(line, number=2 * place, text=text)
        for place, (line, text) in enumerate(zip(lines, texts, strict=True))
    ]
    return setter.lines(_laid(apart), page=1, pitch=_PITCH)


def _set(setter: Setter, lines: list[Line]) -> Iterator[Line]:
    """A page in reading order; rows drawn with strokes are set already."""
    for strokes, group in itertools.groupby(lines, key=lambda line: is_row(line.text)):
        block = list(group)
        yield from block if strokes else setter.lines(_laid(block), page=block[0].page, pitch=_PITCH)


def _laid(lines: list[Line]) -> list[LaidLine]:
    """Lines in pieces; a rule below a line underlines it."""
    laid: list[LaidLine] = []
    starts: set[int] = set()
    for place, line in enumerate(lines):
        behind = lines[place + 1].text if place + 1 < len(lines) else ""
        pieces = [Piece(m[0], m.start(), m.end()) for m in _PIECE.finditer(line.text)]
        starts = starts if not line.gap_before else set()
        merged = with_markers(pieces, starts)
        starts |= {round(piece.x0) for piece in merged[1:]}
        underlined = bool(behind) and _UNDERLINE.fullmatch(behind) is not None
        laid.append(
            LaidLine(
                tuple(merged),
                line.text,
                number=line.number,
                top=line.number,
                gap_before=line.gap_before,
                underlined=underlined,
            )
        )
    return _with_stacked_heads(laid)


def _with_stacked_heads(laid: list[LaidLine]) -> list[LaidLine]:
    """Heads whose upper words, such as the unit, stand on a line of their own above the rule of the table."""
    kept: list[LaidLine] = []
    for line in laid:
        above = kept[-1] if kept else None
        if above is not None and line.underlined and _stands_on(above, line):
            kept[-1] = _stacked(above, line)
        else:
            kept.append(line)
    return kept


def _stands_on(above: LaidLine, line: LaidLine) -> bool:
    """Whether all words of a line stand right above words of the next one, of which there are more."""
    # What stands above the first head is the heading of the table.
    starts = {piece.x0 for piece in line.pieces[1:]}
    fewer = len(above.pieces) < len(line.pieces) and not line.gap_before
    return fewer and len(line.pieces) >= _FEWEST_HEADS and {piece.x0 for piece in above.pieces} <= starts


def _stacked(above: LaidLine, line: LaidLine) -> LaidLine:
    upper = {piece.x0: piece for piece in above.pieces}
    pieces = tuple(
        replace(one, text=f"{upper[one.x0].text} {one.text}", x1=max(one.x1, upper[one.x0].x1))
        if one.x0 in upper
        else one
        for one in line.pieces
    )
    return replace(line, pieces=pieces, gap_before=above.gap_before)

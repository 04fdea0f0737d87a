"""Lines into blocks: what begins an item, what goes on with the line above, what stands in a table."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from sinkside.draft.hyphens import ends_of_lines, joined
from sinkside.draft.lexicon import read_words
from sinkside.draft.lines import Line

_MARKER = re.compile(
    r"^\s*(?:(?P<bullet>[-•*–—●▪◦‣·→►▶o☐☑□■◆◇✓✔❖➢»]|>>|>(?=\s+[^\W\d])|\+(?=\s+[A-Z][a-z])"
    r"|\[[ xX]?\]|\( \))\s+"
    r"|(?P<number>\(?(?:\d{1,2}(?:\.\d{1,2}){0,3}|[a-z]{1,2}|[ivx]{1,4})\)|§\s?\d{1,2}(?:\.\d{1,2}){0,3}\.?|\d{1,2}(?:\.\d{1,2}){1,3}\.?|\d{1,2}\.|\d{1,2}[°º](?=\s+[A-ZÀ-Ý][a-zà-ÿ])|[A-Za-z]\.(?:\d{1,2}\.?)*|[A-Z]{1,2}\d{1,2}[.:]?"
    r"|(?:step|Step|STEP)\s+\d{1,2}(?:\.\d+)*[.:)]?)\s+)(?P<rest>\S.*)$"
)
#: "[ ] A1  Wipe it", "☐ 3. Rinse it": a box to tick, with the number of its item behind it.
_TICK_BOX = re.compile(r"\[[ xX]?\]|\( \)|[☐☑□✓✔]")
_PLAIN_NUMBER = re.compile(r"^\s*(?P<number>\d{1,2})\s{1,4}(?P<rest>[A-Z].*)$")
#: "iii Fit the tip": a small Roman number with nothing behind it.
_ROMAN = re.compile(r"^\s*(?P<number>i{1,3}|iv|vi{0,3}|ix|xi{0,2})\s{1,4}(?P<rest>[A-Z].*)$")
#: "  A   T must be off": a label in a column of its own.
_LABEL_COLUMN = re.compile(r"^\s{1,8}(?P<number>[A-Za-z]\d?|[ivx]{1,5})\s{2,8}(?P<rest>\S.*)$")
#: "a  Rinse the sleeve", "4-2  Rinse it": a letter or a pair of numbers from which a paragraph hangs.
_HANGING = re.compile(r"^(?P<number>[A-Za-z]\d{0,2}|\d{1,2}-\d{1,2})\s{2,8}(?P<rest>\S.*)$")
#: "[4] Rinse it", "<4> Rinse it"; "[X]" is a box that was ticked.
_BRACKETED = re.compile(r"^\s*[\[<](?P<number>\d{1,2}[a-z]?|[A-WYZ]|[IVX]{1,4})[\]>]\s+(?P<rest>\S.*)$")
#: "a Rinse the sleeve": a letter before a capital.
_LETTERED = re.compile(r"^\s*(?P<number>[A-Za-z])\s(?P<rest>[A-Z][a-z].*)$")
#: "K  blade, steel", "O  O-ring, silicone": the letter of a part and its name.
_LEGEND = re.compile(r"^\s{0,8}(?P<letter>[A-Z]\d?)\s{2,8}(?:[a-z]|O-ring)")
_LONGEST_ITEM = 12
_PLAIN_AMOUNT = re.compile(r"\d{1,2}(?:\.\d{1,2})?")
_LONGEST_UNIT = 24
_LONGEST_SIGN = 2
_ENDS_SENTENCE = re.compile(r"[.!?;:][\"')\]]?$")
_FULL_LINE = 0.72
_LONGEST_ROW = 3000
_SHORT_LINE = 5
#: No paragraph ends so.
_LEADS_ON = {
    "the",
    "a",
    "an",
    "of",
    "with",
    "and",
    "or",
    "for",
    "from",
    "der",
    "die",
    "das",
    "und",
    "le",
    "el",
}


@dataclass(slots=True)
class Block:
    """Lines that belong together: a paragraph, an item, a bullet."""

    lines: list[Line]
    texts: list[str]
    number: str | None = None
    bullet: bool = False
    gap_before: bool = True
    gap_after: bool = False
    following: str | None = None
    ends_before: bool = True
    _ends: list[int] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The lines as one text."""
        return joined(self.texts)

    @property
    def column_head(self) -> str:
        """The words at the head of the column that the block stands in; empty if it runs across."""
        column = self.lines[0].column
        return column.head if column else ""

    @property
    def ends(self) -> list[int]:
        """How long the text is after each line, worked out once the block is whole."""
        if len(self._ends) != len(self.texts):
            self._ends = ends_of_lines(self.texts)
        return self._ends


def is_row(text: str) -> bool:
    """Whether strokes part a line into cells."""
    return text.count("|") > 1


def stands_in_table(lines: tuple[Line, ...], place: int) -> bool:
    """A row: by its outer stroke, or because a neighbour is a row too."""
    if not is_row(lines[place].text):
        return False
    around = (lines[x].text for x in (place - 1, place + 1) if 0 <= x < len(lines))
    return lines[place].text.lstrip().startswith("|") or any("|" in text for text in around)


def is_open_row(text: str) -> bool:
    """A row that begins with a stroke and has not come to its last: the line was too narrow for it."""
    opened = text.lstrip().startswith("|") and not text.rstrip().endswith("|")
    return opened and len(text) < _LONGEST_ROW


def dangles(block: Block, line: Line) -> bool:
    """A number or dash at the start of a line that only goes on: '(0.5' / '- 1 %', 'steps' / '3 and 4'."""
    before, text = block.texts[-1].rstrip(), line.text.strip()
    if line.gap_before or _ENDS_SENTENCE.search(before):
        return False
    if re.match(r"[-–]\s*\d", text):
        return before[-1:].isdigit() or before.count("(") > before.count(")")
    numeral = re.match(r"(\d+(?:\.\d+)*)\s+[a-z]", text)
    return numeral is not None and not _counts_on(block.number, numeral[1])


def _counts_on(before: str | None, number: str) -> bool:
    """Whether a number with points is the next one: '1.1' behind '1', '3.5' behind '3.4'."""
    *over, last = number.split(".")
    if before is None or not over:
        return False
    first_inside = last == "1" and before == ".".join(over)
    *beside, one = before.split(".")
    return first_inside or (beside == over and one.isdigit() and int(last) == int(one) + 1)


def ends_sentence(block: Block) -> bool:
    """Whether a block ends as a sentence or a short line does, so that what follows can be a heading."""
    last = block.texts[-1].rstrip()
    return _ENDS_SENTENCE.search(last) is not None or len(last.split()) <= _SHORT_LINE


def marker_of(text: str, language: str = "en") -> tuple[str | None, bool, str] | None:
    """The number or bullet that begins an item, and the rest of the line."""
    match = _MARKER.match(text)
    if match and not (match["number"] and _is_amount(match["number"], match["rest"], language)):
        number = match["number"]
        if match["bullet"] and _TICK_BOX.fullmatch(match["bullet"]):
            inside = marker_of(match["rest"], language)
            return (inside[0], True, inside[2]) if inside and inside[0] else (None, True, match["rest"])
        return (number.strip("().:§°º ") if number else None), bool(match["bullet"]), match["rest"]
    plain = _PLAIN_NUMBER.match(text)
    amount = plain is not None and _is_amount(plain["number"], plain["rest"], language)
    if plain and not amount and not re.match(r"\d+\s+[A-Z]\b", text.strip()):
        return plain["number"], False, plain["rest"]
    labels = (pattern.match(text) for pattern in (_LABEL_COLUMN, _ROMAN, _HANGING, _BRACKETED))
    label = next((found for found in labels if found), None)
    return (label["number"], False, label["rest"]) if label else None


def letter_of(lines: tuple[Line, ...], place: int, before: str) -> tuple[str, bool, str] | None:
    """The letter of an item that only a space parts from its words: 'a Rinse it', 'b Brush it'.

    Such letters follow each other: the one of the item before is `before`, and the first has a next.
    """
    match = _LETTERED.match(lines[place].text)
    if match is None:
        return None
    letter = match["number"]
    if letter in {"a", "A"}:
        behind = (_LETTERED.match(line.text) for line in lines[place + 1 : place + 1 + _LONGEST_ITEM])
        follows = any(one is not None and one["number"] == chr(ord(letter) + 1) for one in behind)
    else:
        follows = bool(before) and letter == chr(ord(before) + 1)
    return (letter, False, match["rest"]) if follows else None


def _is_amount(number: str, rest: str, language: str) -> bool:
    """'2.5 mm brush' begins with a size, '2.5 Brush it' with the number of an item."""
    if not _PLAIN_AMOUNT.fullmatch(number):
        return False
    reading = read_words(rest[:_LONGEST_UNIT], language)
    unit = reading.at(0, "unit") or reading.at(0, "count")
    if unit is None or reading.at(0, "unit_or_word"):
        return False
    written = reading.words(unit.first, unit.last)
    if unit.value.startswith("foreign"):
        return True
    quantity, _, canonical = unit.value.rpartition(":")
    if quantity == "time" and len(written) > _LONGEST_SIGN:
        return True  # "3 Minuten vorspülen": no item is called "Minuten"
    return not written[:1].isupper() or written == canonical or written == canonical.replace("·", "")


def usual_width(lines: tuple[Line, ...]) -> int:
    """How long a full line is."""
    widths = sorted(len(line.text) for line in lines if not is_row(line.text))
    return widths[int(len(widths) * 0.9)] if widths else 0


def _turns_over(block: Block, line: Line) -> bool:
    """Whether a line begins the next column of running text."""
    before, column = block.lines[-1].column, line.column
    if before is None or column is None or before.head or column.head:
        return False
    return before.place != column.place


def _ends_legend(block: Block, line: Line) -> bool:
    """'K  blade, steel' / 'All is supplied unsterile.': a sentence at the margin is no more of the part."""
    letter = _LEGEND.match(block.lines[0].text) if len(block.lines) == 1 else None
    indent = len(line.text) - len(line.text.lstrip())
    return letter is not None and indent <= letter.start("letter") and line.text.lstrip()[:1].isupper()


def goes_on(block: Block, line: Line, width: int) -> bool:
    """Whether a line without a marker belongs to the block before it."""
    last = block.texts[-1].rstrip()
    begins_small = line.text.lstrip()[:1].islower()
    if _turns_over(block, line):
        return begins_small and not _ENDS_SENTENCE.search(last)
    new_page = line.page != block.lines[-1].page
    if line.gap_before and not (new_page and (begins_small or not _ENDS_SENTENCE.search(last))):
        return False
    is_other = line.prominent != block.lines[-1].prominent or line.column != block.lines[-1].column
    if is_other or _ends_legend(block, line):
        return False
    if begins_small or last.endswith((",", "-", "(")) or last.rpartition(" ")[2].lower() in _LEADS_ON:
        return True
    if line.text.startswith(" ") and (block.number or block.bullet):
        return True
    room = line.column.width if line.column else width
    return len(block.lines[-1].text) >= _FULL_LINE * room

"""The markup of a word-processor file: names of elements, and the text of a paragraph.

Source: ISO/IEC 29500-1, 17.3 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

_WORD = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_MATHS_TEXT = "{http://schemas.openxmlformats.org/officeDocument/2006/math}t"
_ALTERNATIVES = "{http://schemas.openxmlformats.org/markup-compatibility/2006}AlternateContent"
_CHOICE = "{http://schemas.openxmlformats.org/markup-compatibility/2006}Choice"
#: Deleted text, the other rendering of a drawing, and what describes instead of saying.
_UNREAD = {f"{_WORD}{name}" for name in ("del", "moveFrom", "instrText", "delText", "rPr", "pPr", "pict")}
#: Signs of the symbol fonts that stand in figures (their private places and their plain ones).
_SYMBOLS = {0xB0: "°", 0xB1: "±", 0xA3: "≤", 0xB3: "≥", 0xB4: "×", 0x6D: "µ", 0xB7: "•", 0xB2: '"', 0xA2: "'"}
_PRIVATE = 0xF000
_SUPERSCRIPTS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_BEFORE_A_POWER = re.compile(r"(?:\d|\b[cmd]?m)$")
_DEGREE_BEHIND = re.compile(r"\d\s*$")
_SCALE_AHEAD = re.compile(r"\s*[CFK]\b")


def children(element: Any, name: str) -> list[Any]:
    """The elements of a name right below another."""
    return [] if element is None else list(element.findall(f"{_WORD}{name}"))


def find(element: Any, *names: str) -> Any | None:
    """The first element down a path of names, or none."""
    for name in names:
        element = None if element is None else element.find(f"{_WORD}{name}")
    return element


def attribute(element: Any | None, name: str) -> str:
    """An attribute of an element; empty if there is none."""
    return "" if element is None else str(element.get(f"{_WORD}{name}", ""))


def is_named(element: Any, name: str) -> bool:
    """Whether an element has a name."""
    return bool(element.tag == f"{_WORD}{name}")


def is_on(properties: Any | None, name: str) -> bool:
    """Whether a property that is on or off is on."""
    found = find(properties, name)
    return found is not None and attribute(found, "val") not in {"0", "false", "off"}


@dataclass(slots=True)
class ParagraphText:
    """What a paragraph says: its lines, and what hangs on it."""

    lines: list[str] = field(default_factory=lambda: [""])
    bold: bool = True
    notes: list[str] = field(default_factory=list)
    boxes: list[Any] = field(default_factory=list)
    _raised: str = ""

    @classmethod
    def of(cls, paragraph: Any) -> ParagraphText:
        """The text of a paragraph as it is shown: without what was deleted or hidden."""
        said = cls()
        for element in paragraph:
            said._take(element)
        said._set_raised("")
        return said

    @property
    def text(self) -> str:
        """The whole of it as one line."""
        return " ".join(" ".join(self.lines).split())

    def _take(self, element: Any) -> None:
        if element.tag in _UNREAD or not isinstance(element.tag, str):
            return
        if is_named(element, "r"):
            self._run(element)
        elif element.tag == _MATHS_TEXT:
            self._add(element.text or "")
        else:
            for inner in element:
                self._take(inner)

    def _run(self, run: Any) -> None:
        properties = find(run, "rPr")
        if is_on(properties, "vanish"):
            return
        raised = attribute(find(properties, "vertAlign"), "val") == "superscript"
        written = "".join(self._pieces(run))
        if written.strip() and not is_on(properties, "b"):
            self.bold = False
        if raised:
            self._set_raised("")
            self._raised = written
        else:
            self._set_raised(written)
            self._add(written)

    def _pieces(self, run: Any) -> Iterator[str]:
        for element in run:
            match str(element.tag).removeprefix(_WORD):
                case "t":
                    yield element.text or ""
                case "tab" | "ptab":
                    yield "\t"
                case "br" | "cr":
                    yield "\n" if attribute(element, "type") in {"", "textWrapping"} else ""
                case "noBreakHyphen":
                    yield "-"
                case "sym":
                    yield _symbol(attribute(element, "char"))
                case "footnoteReference" | "endnoteReference":
                    kind = str(element.tag).removeprefix(_WORD).removesuffix("Reference")
                    self.notes.append(f"{kind}:{attribute(element, 'id')}")
                case _:
                    self.boxes.extend(_boxes(element))

    def _set_raised(self, following: str) -> None:
        """A raised 'o' before C is the degree sign, a raised figure behind figure or length a power."""
        raised, self._raised = self._raised.strip(), ""
        before = self.lines[-1]
        if raised in {"o", "O", "0", "º"} and _DEGREE_BEHIND.search(before) and _SCALE_AHEAD.match(following):
            self._add("°")
        elif raised.isdigit() and _BEFORE_A_POWER.search(before):
            self._add(raised.translate(_SUPERSCRIPTS))
        elif not (raised.isdigit() or raised in {"*", "†", "‡"}):
            self._add(raised)

    def _add(self, written: str) -> None:
        first, *further = written.split("\n")
        self.lines[-1] += first
        self.lines.extend(further)


def _symbol(code: str) -> str:
    try:
        number = int(code, 16)
    except ValueError:
        return ""
    return _SYMBOLS.get(number - _PRIVATE if number >= _PRIVATE else number, "")


def _boxes(element: Any) -> list[Any]:
    """The text boxes in a drawing, each once although it is stored in two renderings."""
    if element.tag == _ALTERNATIVES:
        choice = element.find(_CHOICE)
        element = choice if choice is not None else element
    return list(element.iter(f"{_WORD}txbxContent"))

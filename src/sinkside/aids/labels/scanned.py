"""What a scanner types, read back: element strings of the GS1 system, or a plain number of the house."""

from __future__ import annotations

import re
from typing import Final

from sinkside.aids.labels.elements import Element, assembled, read_brackets
from sinkside.errors import BadInput

#: How scanners announce a GS1 symbol, where they are set to: DataMatrix, QR, GS1-128, DataBar (ISO/IEC 15424
#: symbology identifiers; from memory).
_ANNOUNCED: Final = re.compile(r"^\](?:d2|Q3|C1|e0)")

#: Function 1 between elements, as scanners send it, or as people write it.
_SEPARATORS: Final = re.compile("[\x1d^]")

#: Identifiers whose length alone ends them (GS1 General Specifications, predefined lengths; read), and the
#: rest that labels here carry.
_FIXED: Final = {"01": 14, "11": 6, "13": 6, "17": 6}
_OPEN: Final = ("8003", "8004", "10", "21", "91")


def read_scanned(text: str) -> tuple[Element, ...]:
    """The element strings that a scanner typed, with or without its announcement and separators.

    Raises:
        BadInput: if these are none.

    >>> read_scanned("]d2800495212341A" + chr(29) + "91L7")[0]
    Element(identifier='8004', value='95212341A')
    """
    plain = _ANNOUNCED.sub("", text.strip())
    if plain.startswith("("):
        return read_brackets(plain)
    found: list[Element] = []
    rest = _SEPARATORS.sub("\x1d", plain).strip("\x1d")
    while rest:
        element, rest = _first(rest)
        found.append(element)
    return assembled(found)


def code_of(text: str) -> str:
    """What stands for one thing in what was scanned: its own GS1 key, or the text as it is.

    A trade item is one thing with its serial number only.

    >>> code_of("(01)12345678901231(21)7"), code_of("]d2" + "80049521234SET-2"), code_of(" 4711 ")
    ('(01)12345678901231(21)7', '(8004)9521234SET-2', '4711')
    """
    try:
        known = {one.identifier: one.value for one in read_scanned(text)}
    except BadInput:
        return text.strip()
    for key in ("8004", "8003"):
        if key in known:
            return f"({key}){known[key]}"
    if "01" in known and "21" in known:
        return f"(01){known['01']}(21){known['21']}"
    return text.strip()


def _first(text: str) -> tuple[Element, str]:
    for name, length in _FIXED.items():
        if text.startswith(name):
            end = len(name) + length
            return Element(name, text[len(name) : end]), text[end:].lstrip("\x1d")
    for name in _OPEN:
        if text.startswith(name):
            value, _, rest = text[len(name) :].partition("\x1d")
            return Element(name, value), rest
    raise BadInput(f"'{text}' begins with no identifier that labels here carry", resource=text)

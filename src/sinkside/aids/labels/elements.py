"""Element strings of the GS1 system: what a label's code says, piece by piece, checked before it is drawn.

The writer of the symbol believes what it is given, so check digits, lengths, dates and which identifiers need
which others are checked here. Identifiers, lengths and associations: the GS1 Barcode Syntax Dictionary
(published beside section 3 of the GS1 General Specifications; read).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from sinkside.errors import BadInput

__all__ = ["Element", "assembled", "check_digit", "dated", "fnc1_form", "in_brackets", "read_brackets"]

#: Character set 82 of the GS1 General Specifications, without the brackets that people read identifiers in.
_SIGNS: Final = r"[!\"%&'*+,\-./0-9:;<=>?A-Z_a-z]"
_BRACKETED: Final = re.compile(r"\((\d{2,4})\)([^()]*)")
_WHOLE: Final = re.compile(r"(?:\(\d{2,4}\)[^()]*)+")
_NEEDS_A_TRADE_ITEM: Final = ("01",)


@dataclass(frozen=True)
class _Identifier:
    """One application identifier: its title, what it holds, and with what it may stand.

    `checked` is where the number with a check digit lies; `ended` whether its length alone ends it.
    """

    title: str
    pattern: str
    expected: str
    checked: slice | None = None
    is_date: bool = False
    ended: bool = False
    needs: tuple[str, ...] = ()


_KNOWN: Final[Mapping[str, _Identifier]] = {
    "01": _Identifier("GTIN", r"\d{14}", "14 digits", checked=slice(0, 14), ended=True),
    "11": _Identifier(
        "production date", r"\d{6}", "YYMMDD", is_date=True, ended=True, needs=_NEEDS_A_TRADE_ITEM
    ),
    "13": _Identifier(
        "packing date", r"\d{6}", "YYMMDD", is_date=True, ended=True, needs=_NEEDS_A_TRADE_ITEM
    ),
    "17": _Identifier("use-by date", r"\d{6}", "YYMMDD", is_date=True, ended=True, needs=_NEEDS_A_TRADE_ITEM),
    "10": _Identifier(
        "lot", f"{_SIGNS}{{1,20}}", "1 to 20 letters, digits or signs", needs=_NEEDS_A_TRADE_ITEM
    ),
    "21": _Identifier(
        "serial number", f"{_SIGNS}{{1,20}}", "1 to 20 letters, digits or signs", needs=_NEEDS_A_TRADE_ITEM
    ),
    "8003": _Identifier(
        "GRAI",
        rf"0\d{{13}}{_SIGNS}{{0,16}}",
        "0, 13 digits, and up to 16 of a serial number",
        checked=slice(1, 14),
    ),
    "8004": _Identifier(
        "GIAI", rf"\d{{4}}{_SIGNS}{{1,26}}", "a GS1 company prefix and a reference, up to 30 in all"
    ),
    "91": _Identifier("own use", f"{_SIGNS}{{1,90}}", "1 to 90 letters, digits or signs"),
}

#: The identifiers that say what a thing is; a label has one.
_KEYS: Final = ("01", "8003", "8004")


@dataclass(frozen=True)
class Element:
    """One application identifier with its value."""

    identifier: str
    value: str


def check_digit(payload: str) -> int:
    """The digit that makes a GS1 number whole.

    Weights 3 and 1 in turn from the right, and what is missing to the next ten (GS1 General Specifications,
    section 7.9, check digit calculations; clause from memory, examples read).

    Args:
        payload: the digits before it.

    Raises:
        BadInput: if there is something else than digits.

    >>> check_digit("629104150021")
    3
    """
    if not payload.isdecimal() or not payload.isascii():
        raise BadInput(f"'{payload}' has no check digit; expected digits alone", resource=payload)
    weighed = (int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(payload)))
    return -sum(weighed) % 10


def dated(day: date) -> str:
    """A day as element strings have it.

    >>> dated(date(2026, 11, 30))
    '261130'
    """
    return f"{day:%y%m%d}"


def read_brackets(text: str) -> tuple[Element, ...]:
    """Element strings as people write them, each identifier in brackets.

    Raises:
        BadInput: if it is written otherwise, or some element does not hold what it must.

    >>> read_brackets("(8004)9521234SET-2")
    (Element(identifier='8004', value='9521234SET-2'),)
    """
    if not _WHOLE.fullmatch(text):
        raise BadInput(
            f"'{text}' is no element string; expected identifiers in brackets, such as (8004)9521234SET-2",
            resource=text,
        )
    return assembled(Element(*found) for found in _BRACKETED.findall(text))


def assembled(elements: Iterable[Element]) -> tuple[Element, ...]:
    """Checked elements in the order in which they need the fewest separators.

    Raises:
        BadInput: if an element does not hold what it must, stands twice, or lacks one that it needs.
    """
    given = tuple(elements)
    for element in given:
        _check(element)
    names = [element.identifier for element in given]
    for name in names:
        known = _KNOWN[name]
        if names.count(name) > 1:
            raise BadInput(f"({name}) {known.title} stands twice; expected it once", resource=f"({name})")
        if known.needs and not set(known.needs) & set(names):
            others = " or ".join(f"({one}) {_KNOWN[one].title}" for one in known.needs)
            raise BadInput(
                f"({name}) {known.title} stands alone; expected {others} beside it", resource=f"({name})"
            )
    keys = [f"({name}) {_KNOWN[name].title}" for name in names if name in _KEYS]
    if len(keys) > 1:
        raise BadInput(
            f"{' and '.join(keys)} name the same thing twice; expected one of them", resource=keys[1]
        )
    return tuple(sorted(given, key=lambda element: not _KNOWN[element.identifier].ended))


def in_brackets(elements: Iterable[Element]) -> str:
    """The elements as people read them, and as the writer of the symbol takes them."""
    return "".join(f"({element.identifier}){element.value}" for element in elements)


def fnc1_form(elements: Iterable[Element]) -> str:
    """The elements as they lie in the symbol, with ^ for each function 1.

    >>> fnc1_form(read_brackets("(01)12345678901231(10)12345(21)7"))
    '^01123456789012311012345^217'
    """
    given = list(elements)
    said = ""
    for element in given:
        separator = "" if _KNOWN[element.identifier].ended or element is given[-1] else "^"
        said += f"{element.identifier}{element.value}{separator}"
    return f"^{said}"


def _check(element: Element) -> None:
    known = _KNOWN.get(element.identifier)
    where = f"({element.identifier})"
    if known is None:
        names = ", ".join(f"({name}) {one.title}" for name, one in _KNOWN.items())
        raise BadInput(f"labels here do not carry {where}; expected one of {names}", resource=where)
    if not re.fullmatch(known.pattern, element.value):
        raise BadInput(f"'{element.value}' is no {known.title}; expected {known.expected}", resource=where)
    if known.checked is not None:
        number = element.value[known.checked]
        right = check_digit(number[:-1])
        if int(number[-1]) != right:
            raise BadInput(
                f"the check digit of {known.title} {number} is {number[-1]}; expected {right}", resource=where
            )
    if known.is_date and not _is_day(element.value):
        raise BadInput(
            f"'{element.value}' is no day; expected YYMMDD, with 00 for a whole month", resource=where
        )


def _is_day(value: str) -> bool:
    """Whether six digits are a day; day 00 is the whole month (GS1 Barcode Syntax Dictionary, read)."""
    year, month, day = 2000 + int(value[:2]), int(value[2:4]), int(value[4:])
    try:
        date(year, month, day or 1)
    except ValueError:
        return False
    return True

"""What a label's code says, from what people type: one GS1 key with what belongs to it, or an own number."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sinkside.aids.labels import Numbered
from sinkside.aids.labels.elements import Element, assembled, dated
from sinkside.errors import BadInput

#: A GTIN lies in the code with 14 digits (GS1 Barcode Syntax Dictionary, read).
_GTIN_DIGITS = 14

#: So many digits a GTIN has as it is written (GS1 General Specifications, from memory).
_GTIN_LENGTHS = frozenset({8, 12, 13, 14})


@dataclass(frozen=True)
class SaidNumber:
    """The number of a thing as people type it; one of the first four is said, the rest where it is known.

    Attributes:
        gtin: the trade item, where the set has such a number.
        grai: a returnable asset: 13 digits.
        giai: an individual asset: the company prefix with the department's own reference.
        own: the department's own number, where there is no GS1 key.
        serial: which of several alike.
        lot: the lot; with a GTIN only.
        use_by: the last day of use; with a GTIN only.
        load: the load it goes into, for the department's own use.
    """

    gtin: str = ""
    grai: str = ""
    giai: str = ""
    own: str = ""
    serial: str = ""
    lot: str = ""
    use_by: date | None = None
    load: str = ""


def numbered(said: SaidNumber) -> Numbered:
    """The number as a label's code has it.

    Raises:
        BadInput: if none or several are said, a check digit is wrong, or something does not belong to it.

    >>> numbered(SaidNumber(gtin="9501101530003", lot="7")).elements[0].value
    '09501101530003'
    """
    keys = [name for name in ("gtin", "grai", "giai", "own") if getattr(said, name)]
    if len(keys) != 1:
        told = f"{' and '.join(keys)} are said at once" if keys else "no number is said"
        raise BadInput(
            f"{told}; expected one of gtin, grai, giai or the department's own number", resource="number"
        )
    if said.own:
        _refuse_beside_own(said)
        return Numbered(own=said.own)
    return Numbered(assembled(_elements(said)))


def _elements(said: SaidNumber) -> Iterator[Element]:
    if said.gtin:
        yield Element("01", _trade_item(said.gtin))
    if said.grai:
        yield Element("8003", f"0{said.grai}{said.serial}")
    elif said.serial and said.giai:
        raise BadInput(
            "a GIAI names one thing already; expected no serial number beside it", resource="serial"
        )
    elif said.serial:
        yield Element("21", said.serial)
    if said.giai:
        yield Element("8004", said.giai)
    if said.lot:
        yield Element("10", said.lot)
    if said.use_by:
        yield Element("17", dated(said.use_by))
    if said.load:
        yield Element("91", said.load)


def _trade_item(gtin: str) -> str:
    """A GTIN with the zeros before it that the code wants; zeros make no GTIN of what is none."""
    if not (gtin.isascii() and gtin.isdecimal()):
        raise BadInput(f"'{gtin}' is no GTIN; expected 8, 12, 13 or 14 digits", resource="number")
    if len(gtin) not in _GTIN_LENGTHS:
        digits = "1 digit" if len(gtin) == 1 else f"{len(gtin)} digits"
        raise BadInput(f"{digits} are no GTIN ('{gtin}'); expected 8, 12, 13 or 14", resource="number")
    return gtin.rjust(_GTIN_DIGITS, "0")


def _refuse_beside_own(said: SaidNumber) -> None:
    beside = [name for name in ("serial", "lot") if getattr(said, name)]
    if beside:
        raise BadInput(
            f"the department's own number carries no {' and no '.join(beside)}; expected it in the number",
            resource=beside[0],
        )

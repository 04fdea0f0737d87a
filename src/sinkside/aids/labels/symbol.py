"""The square of dark and light modules on a label."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.aids.labels.elements import Element, in_brackets
from sinkside.errors import BadInput

#: Printers of labels and of paper that people have set this many dots, or more (common practice, no source).
DOTS_PER_INCH: Final = 300

#: Fewer dots a module and a worn head tears the square (common practice, no source); at 300 an inch it is
#: also the least of the GS1 General Specifications, 0.254 mm (symbol specification table 7, from memory).
FEWEST_DOTS: Final = 3

#: No reader needs larger modules on a label that is held in the hand.
_MOST_DOTS: Final = 8

#: Light all round, in modules; one is the least (ISO/IEC 16022, clause from memory).
QUIET: Final = 2

_LONGEST_OWN_NUMBER: Final = 60


@dataclass(frozen=True)
class Symbol:
    """A code as rows of modules, dark where true, and what people read of it."""

    rows: tuple[tuple[bool, ...], ...]
    read: str

    @property
    def modules(self) -> int:
        """How many modules a side has, with the light round it."""
        return len(self.rows) + 2 * QUIET

    def dots(self, room_mm: float) -> int:
        """How many dots a module may have in a square of so many mm.

        Raises:
            BadInput: if it would have fewer than print reliably.
        """
        most = int(room_mm / 25.4 * DOTS_PER_INCH / self.modules)
        if most < FEWEST_DOTS:
            raise BadInput(
                f"a code of {len(self.rows)} × {len(self.rows)} modules needs more room than {room_mm:g} mm; "
                "expected a larger label or a shorter number",
                resource=self.read,
            )
        return min(most, _MOST_DOTS)

    def side_mm(self, room_mm: float) -> float:
        """How wide it is printed in a square of so many mm: a whole number of dots a module."""
        return self.dots(room_mm) * self.modules * 25.4 / DOTS_PER_INCH

    def svg(self) -> str:
        """The drawing, a unit a module, the light round it included."""
        runs = []
        for y, row in enumerate(self.rows, start=QUIET):
            x = 0
            while x < len(row):
                if row[x]:
                    end = next((at for at in range(x, len(row)) if not row[at]), len(row))
                    runs.append(f"M{x + QUIET} {y}h{end - x}v1h-{end - x}z")
                    x = end
                x += 1
        side = self.modules
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}" height="{side}" '
            f'viewBox="0 0 {side} {side}"><path fill="#fff" d="M0 0h{side}v{side}H0z"/>'
            f'<path d="{"".join(runs)}"/></svg>'
        )


def gs1_symbol(elements: tuple[Element, ...]) -> Symbol:
    """A square GS1 DataMatrix of checked elements.

    >>> from sinkside.aids.labels.elements import read_brackets
    >>> gs1_symbol(read_brackets("(8004)9521234SET-2")).modules
    20
    """
    said = in_brackets(elements)
    return _drawn(said, said, is_gs1=True)


def plain_symbol(number: str) -> Symbol:
    """A square DataMatrix of the department's own number, for what has no GS1 key.

    Raises:
        BadInput: if it is empty, too long, or has signs that scanners type differently.
    """
    if not 0 < len(number) <= _LONGEST_OWN_NUMBER or not number.isascii() or not number.isprintable():
        raise BadInput(
            f"'{number}' is no own number; expected up to {_LONGEST_OWN_NUMBER} plain letters or digits",
            resource="own number",
        )
    return _drawn(number, number, is_gs1=False)


def _drawn(text: str, read: str, *, is_gs1: bool) -> Symbol:
    """The modules of a text; a rectangle, which many scanners cannot read, is never made."""
    import numpy as np
    import zxingcpp

    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.DataMatrix, gs1=is_gs1, force_square=True)
    pixels = np.array(made.to_image(scale=1, add_quiet_zones=False))
    return Symbol(tuple(tuple(bool(dark) for dark in row) for row in pixels < 128), read)  # noqa: PLR2004 # mid grey

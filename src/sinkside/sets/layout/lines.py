"""The list of a tray: one line a letter, in the order in which it is read."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.sets.layout.document import HolderKind, LaidPiece, Layout


@dataclass(frozen=True)
class TrayLine:
    """One line of the list.

    Attributes:
        letter: as the drawing has it.
        name: what people call it.
        count: how many lie in the tray.
        lies: in which position, in words; empty where nothing of it moves.
        holder: what it lies in, in words; empty for none.
        turn: in degrees, those of several alike with commas; empty for what lies in a basket.
        order: its turn in the order of use; none where nobody said it.
        mass_kg: of one; none where nobody said it.
        delicate: why it is; empty where nothing says so.
        ids: of the single pieces.
    """

    letter: str
    name: str
    count: int
    lies: str
    holder: str
    turn: str
    order: int | None
    mass_kg: float | None
    delicate: str
    ids: tuple[str, ...]


def tray_lines(layout: Layout) -> tuple[TrayLine, ...]:
    """The list of what lies in a tray, by letter; the same letters as on its drawing."""
    groups: dict[str, list[LaidPiece]] = {}
    for piece in layout.pieces:
        groups.setdefault(piece.letter, []).append(piece)
    return tuple(_line(layout, letter, pieces) for letter, pieces in groups.items())


def position_words(positions: dict[str, str]) -> str:
    """Positions in words.

    >>> position_words({"jaw": "open", "ratchet": "released"})
    'jaw open, ratchet released'
    """
    return ", ".join(f"{feature} {position}" for feature, position in positions.items() if feature != "part")


def _line(layout: Layout, letter: str, pieces: list[LaidPiece]) -> TrayLine:
    first = pieces[0]
    holder = layout.holder(first.holder)
    loose = [piece for piece in pieces if not layout.in_basket(piece)]
    return TrayLine(
        letter=letter,
        name=first.name,
        count=len(pieces),
        lies=position_words(first.lies),
        holder=holder.name if holder else "",
        turn=", ".join(dict.fromkeys(f"{piece.turn:g}°" for piece in loose)),
        order=first.order,
        mass_kg=first.mass_kg,
        delicate=first.delicate,
        ids=tuple(piece.id for piece in pieces),
    )


def basket_contents(layout: Layout, holder_id: str) -> tuple[LaidPiece, ...]:
    """What lies in a closed basket."""
    holder = layout.holder(holder_id)
    if holder is None or holder.kind is not HolderKind.basket:
        return ()
    return tuple(piece for piece in layout.pieces if piece.holder == holder_id)

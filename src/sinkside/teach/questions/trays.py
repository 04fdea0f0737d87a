"""Questions for a drawn tray with one fault: on another, at the wall, not there, or nothing wrong."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from sinkside.instruction import Action, Instruction
from sinkside.plain.names import calm_name
from sinkside.plain.wording import thing_name
from sinkside.sets import NEVER_IN_THE_TRAY, Member, Piece, SetDocument
from sinkside.sets.layout import Layout, Tray, TrayRequest, tray_map_svg
from sinkside.sets.layout.document import LaidPiece
from sinkside.sets.layout.gathering import gather
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.teach.questions import templates
from sinkside.teach.questions.asking import Asked, question_from, sentences
from sinkside.teach.questions.case import Case, ToldStep

_GAP_MM: Final = 16.0
_MARGIN_MM: Final = 24.0
#: A piece at the wall stands so near that it is seen to touch.
_AT_THE_WALL_MM: Final = 0.2
#: A piece on another lies a little aside, so that both outlines are seen.
_ASIDE_MM: Final = 8.0
_FEWEST: Final = 2
_MOST: Final = 14
_LONGEST_MM: Final = 900.0
_PACKED_AT: Final = (Action.pack, Action.load)


def tray_questions(case: Case) -> Iterator[Question]:
    """The device's pieces in a tray, once with each fault and once with none."""
    told = _packed_at(case)
    laid = laid_in_rows(case.instruction) if told else None
    if told is None or laid is None:
        return
    names = ", ".join(_called(piece, case) for piece in laid.pieces)
    for fault, (pieces, layout) in fault_layouts(laid).items():
        asked = Asked(
            kind=QuestionKind.tray_fault,
            told=told,
            mark=(fault, *(piece.name for piece in laid.pieces)),
            prompt=sentences(
                case.voice.say(templates.TRAY, parts=names),
                case.voice.say(templates.TRAY_FAULT),
            ),
            right=Choice(text=_said(fault, pieces, case)),
            drawing=tray_map_svg(layout),
        )
        why = case.voice.say(templates.NOT_SO)
        wrong = [Choice(text=text, why=why) for text in _otherwise(fault, laid, case)]
        question = question_from(asked, wrong, case)
        if question is not None:
            yield question


def laid_in_rows(instruction: Instruction) -> Layout | None:
    """The device's pieces in a tray, one row each, none near another; none where their outline is unknown.

    A device of one piece lies there twice.
    """
    name = instruction.device.name
    parts = tuple(
        Piece(part=part.id) for part in instruction.device.parts if part.use not in NEVER_IN_THE_TRAY
    )
    several = len(parts) >= _FEWEST
    member = Member(instruction=name, count=1 if several else 2, parts=parts if several else ())
    floor = Tray(name="tray", length_mm=100.0, width_mm=100.0)
    document = SetDocument(name=name, members=(member,))
    pieces = gather(TrayRequest(document, {name: instruction}, floor)).pieces
    if not _FEWEST <= len(pieces) <= _MOST or any(not piece.outline for piece in pieces):
        return None
    tray, placed = _rows(pieces)
    if max(tray.length_mm, tray.width_mm) > _LONGEST_MM:
        return None
    return Layout(set=name, tray=tray, pieces=placed)


def fault_layouts(laid: Layout) -> dict[str, tuple[tuple[LaidPiece, ...], Layout]]:
    """The tray with each fault, by its template: which pieces it concerns, and how they lie then."""
    pieces = laid.pieces
    first, second, last = pieces[0], pieces[1], pieces[-1]
    wall = last.model_copy(update={"x": last.length_mm / 2 + _AT_THE_WALL_MM})
    down = max(first.y + first.width_mm / 4, _MARGIN_MM + second.width_mm / 2)
    over = second.model_copy(update={"x": first.x + _ASIDE_MM, "y": down})
    gone = pieces[len(pieces) // 2]
    return {
        templates.ON_ANOTHER: ((first, second), _with(laid, over)),
        templates.AT_THE_WALL: ((last,), _with(laid, wall)),
        templates.NOT_THERE: ((gone,), _without(laid, gone)),
        templates.NOTHING_WRONG: ((), laid),
    }


def _packed_at(case: Case) -> ToldStep | None:
    for action in _PACKED_AT:
        found = next((one for one in reversed(case.told) if one.step.action is action), None)
        if found is not None:
            return found
    return None


def _rows(pieces: Sequence[LaidPiece]) -> tuple[Tray, tuple[LaidPiece, ...]]:
    """A tray that holds all pieces, one below the other."""
    long = max(piece.length_mm for piece in pieces) + 2 * _MARGIN_MM
    placed, y = [], _MARGIN_MM
    for piece in pieces:
        middle = y + piece.width_mm / 2
        placed.append(piece.model_copy(update={"x": long / 2, "y": middle, "holder": ""}))
        y += piece.width_mm + _GAP_MM
    wide = y - _GAP_MM + _MARGIN_MM
    return Tray(name="tray", length_mm=round(long, 1), width_mm=round(wide, 1)), tuple(placed)


def _with(laid: Layout, moved: LaidPiece) -> Layout:
    pieces = tuple(moved if piece.id == moved.id else piece for piece in laid.pieces)
    return laid.model_copy(update={"pieces": pieces})


def _without(laid: Layout, gone: LaidPiece) -> Layout:
    return laid.model_copy(update={"pieces": tuple(piece for piece in laid.pieces if piece.id != gone.id)})


def _said(fault: str, pieces: Sequence[LaidPiece], case: Case) -> str:
    named = [_called(piece, case) for piece in pieces]
    if fault == templates.NOTHING_WRONG:
        return case.voice.say(fault)
    if fault == templates.ON_ANOTHER:
        return case.voice.say(fault, parts=named)
    return case.voice.say(fault, part=named[0])


def _otherwise(fault: str, laid: Layout, case: Case) -> Iterator[str]:
    """What is not so: every other fault, each of pieces that lie there as they should."""
    for other, (pieces, _) in fault_layouts(laid).items():
        if other != fault:
            yield _said(other, pieces, case)


def _called(piece: LaidPiece, case: Case) -> str:
    """A piece by its letter and its name."""
    part = thing_name(_part_id(piece, case), case.instruction, case.voice) if piece.part else ""
    return f"{piece.id} ({part or calm_name(case.instruction.device.name)})"


def _part_id(piece: LaidPiece, case: Case) -> str:
    return next((part.id for part in case.instruction.device.parts if part.name == piece.part), piece.part)

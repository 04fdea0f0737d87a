"""The pieces of a set as things with an outline, as far as its list and its members' texts tell."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from sinkside.errors import BadInput
from sinkside.instruction import Action, Device, FeatureKind, Instruction, Part, PartUse, Stage
from sinkside.instruction.positions import simulate
from sinkside.sets.contents import NEVER_IN_THE_TRAY, part_of
from sinkside.sets.document import Member, Piece, SetDocument
from sinkside.sets.layout.document import (
    MOST_PIECES,
    Clearances,
    Holder,
    HolderKind,
    Hollow,
    KeptApart,
    LaidPiece,
    Mates,
    Outline,
    Tray,
)
from sinkside.sets.layout.geometry import box, centred
from sinkside.shapes import outlines
from sinkside.shapes.letters import letter_of

#: What a device is called that has a fine end, though no feature says it.
_FINE: Final = re.compile(r"\b(micro|fine|delicate)", re.IGNORECASE)
_CUP: Final = re.compile(r"\b(bowl|cup|basin|beaker|dish)\b", re.IGNORECASE)
_HARMED: Final = {
    FeatureKind.tip: "a tip",
    FeatureKind.cutting_edge: "a cutting edge",
}
#: Positions that a set's own list may state of how a thing lies.
_SAID: Final = re.compile(
    r"\b(jaw|ratchet|sleeve|port|knob)s?\s+(open|closed|engaged|released|forward|back|capped|"
    r"connected|straight|deflected)\b",
    re.IGNORECASE,
)
_SAYS_BASKET: Final = re.compile(r"\bbasket\b", re.IGNORECASE)
#: Features whose position must be told before steam can be said to reach everything.
_MUST_BE_TOLD: Final = {FeatureKind.jaw: "jaw", FeatureKind.ratchet: "ratchet"}

#: A closed basket for small parts whose size nobody said (common practice, no source).
ASSUMED_BASKET: Final = Holder(
    id="basket", kind=HolderKind.basket, name="closed basket", length_mm=100.0, width_mm=60.0, is_assumed=True
)


@dataclass(frozen=True)
class TrayRequest:
    """What is to be laid out.

    Attributes:
        document: the set.
        instructions: the members' texts by what the set calls them.
        tray: what it is to lie in.
        holders: what the department has to hold things.
        clearances: what the layout is judged by.
        measured: length and width in mm of pieces that somebody measured, by name.
        revision: of the set.
    """

    document: SetDocument
    instructions: Mapping[str, Instruction]
    tray: Tray
    holders: tuple[Holder, ...] = ()
    clearances: Clearances = field(default_factory=Clearances)
    measured: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    revision: int = 0


@dataclass(frozen=True)
class Gathered:
    """The pieces of a set, not yet placed: by letter; what never lies in the tray; whose size is assumed."""

    pieces: tuple[LaidPiece, ...]
    never: tuple[str, ...]
    assumed: tuple[str, ...]
    apart: tuple[KeptApart, ...]
    mates: tuple[Mates, ...]
    holders: tuple[Holder, ...]


def gather(request: TrayRequest) -> Gathered:
    """Every piece of a set with its outline in the position in which steam must reach it.

    Raises:
        BadInput: if the set has more pieces than are laid out at once, or a measured piece is none of it.
    """
    document = request.document
    lines = [line for member in _in_turn(document) for line in _lines(member, request)]
    if sum(line.count for line in lines) > MOST_PIECES:
        raise BadInput(
            f"it has {document.counted} pieces; at most {MOST_PIECES} are laid out in one tray",
            resource=document.name,
        )
    unknown = sorted(set(request.measured) - {line.piece.name for line in lines})
    if unknown:
        raise BadInput(f"no piece of this set is called {', '.join(unknown)}", resource=document.name)
    pieces = [piece for index, line in enumerate(lines) for piece in _copies(line, letter_of(index))]
    held, holders = _held(pieces, request)
    return Gathered(
        pieces=tuple(held),
        never=tuple(dict.fromkeys(_never(document, request.instructions))),
        assumed=tuple(dict.fromkeys(line.piece.name for line in lines if line.is_assumed)),
        apart=tuple(_apart(document)),
        mates=tuple(_mates(document)),
        holders=holders,
    )


@dataclass(frozen=True)
class _Line:
    """A line of the list: the piece without letter and place, how many, whether a size of it is assumed."""

    piece: LaidPiece
    count: int
    is_assumed: bool
    said: str


def _in_turn(document: SetDocument) -> Sequence[Member]:
    last = max((member.order or 0 for member in document.members), default=0) + 1
    return sorted(document.members, key=lambda one: one.order or last)


def _lines(member: Member, request: TrayRequest) -> Iterator[_Line]:
    text = request.instructions.get(member.called)
    if not member.parts:
        yield _line(member, None, text, request)
    for piece in member.parts:
        part = part_of(piece, text) if text else None
        if part is None or part.use not in NEVER_IN_THE_TRAY:
            yield _line(member, piece, text, request)


def _line(member: Member, listed: Piece | None, text: Instruction | None, request: TrayRequest) -> _Line:
    part = part_of(listed, text) if listed and text else None
    name = part.name if part else listed.part if listed else ""
    said = (listed.lies if listed else None) or member.lies or ""
    device = text.device if text else None
    needed = _needed(text) if text else {}
    stated = {found[1].lower(): found[2].lower() for found in _SAID.finditer(said)}
    lies = {**needed, **stated}
    full = f"{member.called}, {name}" if name else member.called
    measured = request.measured.get(full)
    outline = box(*measured) if measured else _outline(device, part, listed, lies)
    mass = (
        listed.mass or (part.mass if part else None)
        if listed
        else member.mass or (device.mass if device else None)
    )
    piece = LaidPiece(
        id="?",
        letter="?",
        member=member.called,
        part=name,
        outline=outline,
        is_measured=measured is not None,
        lies=lies,
        needed=needed,
        untold=tuple(_untold(device, part, lies)),
        mass_kg=mass.to("kg") if mass else None,
        delicate=_delicate(device, part, member.called, alone=listed is None),
        order=member.order,
        use=part.use if part else PartUse.reusable,
        hollow=_hollow(device, part, full, alone=listed is None),
        holder=member.holder or "",
    )
    assumed = bool(outline) and measured is None and device is not None and not _tells_a_length(device)
    return _Line(piece, member.count * (listed.count if listed else 1), assumed, said)


def _copies(line: _Line, letter: str) -> Iterator[LaidPiece]:
    for number in range(1, line.count + 1):
        own = letter if line.count == 1 else f"{letter}{number}"
        holder = ASSUMED_BASKET.id if _SAYS_BASKET.search(line.said) else line.piece.holder
        yield line.piece.model_copy(update={"id": own, "letter": letter, "holder": holder})


def _needed(text: Instruction) -> dict[str, str]:
    """The positions that a text asks for when it is sterilized, as far as they are known then."""
    for moment in simulate(text):
        if moment.step.stage is Stage.sterilization and moment.step.action is Action.sterilize:
            return {feature: held.position for feature, held in moment.during.items()}
    return {}


def _outline(
    device: Device | None, part: Part | None, listed: Piece | None, lies: Mapping[str, str]
) -> Outline:
    """The outline of a device, or of one part of it taken apart; empty where nobody knows it."""
    if device is None:
        return ()
    known = outlines(device, {**lies, "part": "apart" if listed else lies.get("part", "assembled")})
    if listed is None:
        whole = known.get("") if len(known) == 1 else None
        return centred(whole or (_together(device, lies) if known else ()))
    return centred(known[part.id]) if part is not None and part.id in known else ()


def _together(device: Device, lies: Mapping[str, str]) -> Sequence[tuple[float, float]]:
    """A device that its text wants apart, listed as one piece: the parts are not counted, so it is one."""
    return outlines(device, {**lies, "part": "assembled"}).get("", ())


def _untold(device: Device | None, part: Part | None, lies: Mapping[str, str]) -> Iterator[str]:
    """Moving features of a piece whose position the text does not tell."""
    for feature in device.features if device else ():
        word = _MUST_BE_TOLD.get(feature.kind, "")
        is_here = part is None or feature.part in {None, part.id}
        if word and is_here and word not in lies:
            yield word


def _delicate(device: Device | None, part: Part | None, called: str, *, alone: bool) -> str:
    """Why a piece is delicate, in words; empty where nothing says so."""
    here = (one for one in (device.features if device else ()) if alone or (part and one.part == part.id))
    found = next((_HARMED[one.kind] for one in here if one.kind in _HARMED), "")
    if found or not alone:
        return found
    name = f"{called} {device.name if device else ''}"
    return "its name says so" if _FINE.search(name) else ""


def _hollow(device: Device | None, part: Part | None, name: str, *, alone: bool) -> Hollow:
    for feature in device.features if device else ():
        if feature.kind is FeatureKind.lumen and (alone or (part and feature.part == part.id)):
            return Hollow.lumen
    return Hollow.cup if _CUP.search(name) else Hollow.none


def _tells_a_length(device: Device) -> bool:
    return any(feature.kind is FeatureKind.lumen and feature.length for feature in device.features)


def _held(pieces: Iterable[LaidPiece], request: TrayRequest) -> tuple[list[LaidPiece], tuple[Holder, ...]]:
    """Pieces with what they lie in: as the set says, else as size and delicacy ask and the department has."""
    by_kind: dict[HolderKind, Holder] = {}
    for one in request.holders:
        by_kind.setdefault(one.kind, one)
    known = {one.id: one for one in request.holders}
    basket = by_kind.get(HolderKind.basket)
    held = [_in_a_holder(piece, known, by_kind, request.clearances) for piece in pieces]
    if basket is None and any(piece.holder == ASSUMED_BASKET.id for piece in held):
        known[ASSUMED_BASKET.id] = basket = ASSUMED_BASKET
    used = {piece.holder for piece in held if piece.holder}
    return held, tuple(one for one in known.values() if one.id in used)


def _in_a_holder(
    piece: LaidPiece,
    known: Mapping[str, Holder],
    by_kind: Mapping[HolderKind, Holder],
    clearances: Clearances,
) -> LaidPiece:
    basket = by_kind.get(HolderKind.basket)
    if piece.holder == ASSUMED_BASKET.id and ASSUMED_BASKET.id not in known:
        return piece.model_copy(update={"holder": basket.id if basket else ASSUMED_BASKET.id})
    if piece.holder in known:
        return piece
    if is_small(piece, clearances) and basket is not None:
        return piece.model_copy(update={"holder": basket.id})
    wanted = _wanted(piece, by_kind)
    return piece.model_copy(update={"holder": wanted.id if wanted else ""})


def _wanted(piece: LaidPiece, by_kind: Mapping[HolderKind, Holder]) -> Holder | None:
    """What holds a delicate piece, or raises one with a lumen; a bar does both."""
    kinds: tuple[HolderKind, ...] = ()
    if piece.hollow is Hollow.lumen:
        kinds = (HolderKind.bar, HolderKind.comb)
    if piece.delicate:
        kinds = (
            *kinds,
            HolderKind.mat,
            HolderKind.comb,
            HolderKind.bar,
            HolderKind.pin,
            HolderKind.tip_protector,
        )
    return next((by_kind[kind] for kind in kinds if kind in by_kind), None)


def is_small(piece: LaidPiece, clearances: Clearances) -> bool:
    """Whether a piece is so small that it belongs in a closed basket; never where its size is not known."""
    return 0.0 < max(piece.length_mm, piece.width_mm) < clearances.small_mm


def _never(document: SetDocument, instructions: Mapping[str, Instruction]) -> Iterator[str]:
    for member in document.members:
        text = instructions.get(member.called)
        for part in text.device.parts if text else ():
            if part.use in NEVER_IN_THE_TRAY:
                yield f"{part.name} of {member.called}"


def _apart(document: SetDocument) -> Iterator[KeptApart]:
    told: set[frozenset[str]] = set()
    for member in document.members:
        for one in member.apart:
            pair = frozenset({member.called, one.of})
            if pair not in told and document.member(one.of):
                told.add(pair)
                yield KeptApart(one=member.called, other=one.of, why=one.why.strip().rstrip("."))


def _mates(document: SetDocument) -> Iterator[Mates]:
    told: set[frozenset[str]] = set()
    for member in document.members:
        for mate in member.mates:
            pair = frozenset({member.called, mate})
            if pair not in told and document.member(mate):
                told.add(pair)
                yield Mates(one=member.called, other=mate)

"""Trays, pieces and sets for tests of layouts; everything invented."""

from __future__ import annotations

import random
from typing import Any

from sinkside.instruction import Instruction
from sinkside.sets import SetDocument
from sinkside.sets.layout import Clearances, Holder, HolderKind, Layout, Tray, TrayRequest
from sinkside.sets.layout.document import LaidPiece
from sinkside.sets.layout.geometry import box
from support.drawn_devices import DEVICES
from support.set_house import a_device

TRAY = Tray(id="tray", name="fine-mesh tray", length_mm=480, width_mm=250, height_mm=50)
HOLDERS = (
    Holder(id="mat", kind=HolderKind.mat, name="silicone mat"),
    Holder(id="bar", kind=HolderKind.bar, name="bar"),
    Holder(id="small", kind=HolderKind.basket, name="closed basket", length_mm=100, width_mm=60),
)

#: How many of each drawn device, and what one weighs.
_TWELVE = {
    "forceps": (3, "40 g"), "scissors": (2, "35 g"), "spring": (2, "12 g"), "one piece": (2, "85 g"),
    "punch": (1, "210 g"), "needle": (1, "8 g"), "tube": (1, "30 g"),
}  # fmt: skip


def a_piece(name: str = "A", **fields: Any) -> LaidPiece:
    """A box-shaped piece that goes by its letter; `size` is its length and width in mm."""
    size = fields.pop("size", (100.0, 20.0))
    known = {"id": name, "letter": name, "member": f"hook {name}", "outline": box(*size), "mass_kg": 0.05}
    return LaidPiece.model_validate({**known, **fields})


def a_layout(*pieces: LaidPiece, **fields: object) -> Layout:
    """A layout with some pieces as they lie, in the usual tray."""
    return Layout.model_validate(
        {"set": "Knee set", "tray": TRAY, "holders": HOLDERS, "pieces": pieces, **fields}
    )


def text_of(kind: str) -> Instruction:
    """The text of a device that can be drawn."""
    return a_device("device").model_copy(update={"device": DEVICES[kind]})


def a_set_of_twelve(tray: Tray = TRAY, **fields: object) -> TrayRequest:
    """Twelve devices of seven kinds, in the order of use."""
    members = [
        {"instruction": kind, "count": count, "mass": mass, "order": turn}
        for turn, (kind, (count, mass)) in enumerate(_TWELVE.items(), start=1)
    ]
    document = SetDocument.model_validate({"name": "Knee set of twelve", "members": members})
    texts = {kind: text_of(kind) for kind in _TWELVE}
    request = TrayRequest(document, texts, tray, HOLDERS)
    return TrayRequest(**{**vars(request), **fields})


def a_random_tray(seed: int) -> TrayRequest:
    """A tray of any size with a set of any devices, sensible or not; the same for the same seed."""
    chance = random.Random(seed)  # noqa: S311 # repeatable, nothing secret
    tray = Tray(
        name="a tray",
        length_mm=chance.choice([240.0, 300.0, 405.0, 480.0, 540.0]),
        width_mm=chance.choice([120.0, 180.0, 250.0, 253.5]),
        slope_deg=chance.choice([0.0, 0.0, 2.0]),
        layers=chance.choice([1, 1, 1, 2]),
    )
    kinds = chance.sample(sorted(DEVICES), chance.randint(1, 6))
    members: list[dict[str, object]] = []
    for kind in kinds:
        member: dict[str, object] = {"instruction": kind, "count": chance.choice([1, 1, 1, 2, 3])}
        member["mass"] = f"{chance.choice([8, 40, 90, 210, 600])} g"
        if chance.random() < 0.7:
            member["order"] = chance.randint(1, 6)
        if members and chance.random() < 0.2:
            member["apart"] = [{"of": members[-1]["instruction"], "why": "an edge harms tips"}]
        elif members and chance.random() < 0.2:
            member["mates"] = [members[-1]["instruction"]]
        members.append(member)
    document = SetDocument.model_validate({"name": f"Random set {seed}", "members": members})
    return TrayRequest(
        document,
        {kind: text_of(kind) for kind in kinds},
        tray,
        HOLDERS if chance.random() < 0.6 else (),
        clearances=Clearances(pieces_mm=chance.choice([3.0, 5.0, 8.0])),
        measured={"unknown": (140.0, 40.0)} if "unknown" in kinds and chance.random() < 0.5 else {},
    )

"""What a department has for laying out trays: trays of known inner size, and holders."""

from __future__ import annotations

from collections import Counter
from typing import Final

from sinkside.department import Department, Packaging
from sinkside.errors import BadInput
from sinkside.quantities import Quantity
from sinkside.sets import SetDocument
from sinkside.sets.layout import Holder, HolderKind, Tray

#: Taken where nobody said how large a tray is inside (common practice, no source); every layout says so.
COMMON_TRAY: Final = Tray(name="a tray of a common size", length_mm=480.0, width_mm=250.0, is_assumed=True)

_HOLDERS: Final = {kind.value for kind in HolderKind}


def trays_of(site: Department | None) -> tuple[Tray, ...]:
    """The trays and containers whose length and width inside are known, trays first."""
    known = [one for one in (site.packaging if site else ()) if one.inner_length and one.inner_width]
    trays = [one for one in known if one.kind == "tray"]
    return tuple(_tray(one) for one in (*trays, *(one for one in known if one.kind == "container")))


def holders_of(site: Department | None) -> tuple[Holder, ...]:
    """What the department has to hold pieces in a tray."""
    return tuple(
        Holder(
            id=one.id,
            kind=HolderKind(one.kind),
            name=one.name,
            length_mm=_mm(one.inner_length),
            width_mm=_mm(one.inner_width),
        )
        for one in (site.packaging if site else ())
        if one.kind in _HOLDERS
    )


def tray_for(document: SetDocument, site: Department | None, chosen: str = "") -> Tray:
    """The tray that a set lies in: the chosen one, else the one that its list names, else the first known.

    Where none is known a common size is taken, and the layout says so.

    Args:
        document: the set.
        site: what the department has.
        chosen: the id of a tray; empty for none.

    Raises:
        BadInput: if the chosen one is none of those whose size inside is known.
    """
    known = {tray.id: tray for tray in trays_of(site)}
    if chosen:
        if chosen not in known:
            told = ", ".join(known) or "none is known yet"
            raise BadInput(
                f"no tray '{chosen}' of known inside length and width; expected one of: {told}",
                resource="tray",
            )
        return known[chosen]
    named = Counter(member.holder for member in document.members if member.holder in known)
    ids = [*(name for name, _ in named.most_common(1)), *known]
    return known[str(ids[0])] if ids else COMMON_TRAY


def _tray(one: Packaging) -> Tray:
    return Tray(
        id=one.id,
        name=one.name,
        length_mm=_mm(one.inner_length) or COMMON_TRAY.length_mm,
        width_mm=_mm(one.inner_width) or COMMON_TRAY.width_mm,
        height_mm=_mm(one.inner_height),
    )


def _mm(stated: Quantity | None) -> float | None:
    return stated.to("mm") if stated else None

"""What stands on a count sheet: plain values for the template, each word of ours in both languages."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import groupby
from typing import Final

from sinkside.aids.codes import qr_svg
from sinkside.aids.count_sheet.request import CountSheetRequest, MadeFrom, TrayMap
from sinkside.aids.papers.bilingual import Bilingual, Tell, figure_told
from sinkside.aids.papers.setting import Values
from sinkside.instruction import PartUse
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.limits import Limit
from sinkside.plain.counted import PIECES
from sinkside.plain.names import calm_name
from sinkside.quantities import FigureQuantity, Quantity
from sinkside.quantities.figure import FigureValue
from sinkside.sets import NEVER_IN_THE_TRAY, Content, Member, SetMass

_OUTSIDE: Final = "This sheet stays outside the pack."
_INSIDE: Final = (
    "This sheet goes into the pack: only where the department has tested its paper and ink in its cycle."
)
_MISSING: Final = (
    "Something is missing or broken off: stop, and tell theatre at once. It may be in the patient."
)
_GOVERNS: Final = (
    "The makers’ current instructions and local policy govern. "
    "Counting releases nothing: a qualified person does."
)
_WHY_NOT_HERE: Final = {
    PartUse.discard_after_use: "discarded where it was used; must not come back",
    PartUse.sterile_at_field: "opened sterile at the field; never in the tray",
    PartUse.new_at_assembly: "new at each assembly; not on this set’s list, so settle who puts it in",
}
_NEW: Final = "new at each assembly: throw the old one away and put in a new one"
_WORDS: Final = {
    "what": "What",
    "count": "Count",
    "all": "In all",
    "not_here": "Never in this tray",
    "made_from": "Made from",
}
_FIELDS: Final = ("Name", "Day, time", "Signature", "Missing, damaged")
_TIMES: Final = ("Before use", "After use", "At return")

_FROM_ABOVE: Final = "The tray from above. The letters are those of the list."

#: Scales of packing tables show so many decimals of a kilogram.
_DECIMALS: Final = 2
_TO_SCALE: Final = 10**_DECIMALS


def count_sheet_content(request: CountSheetRequest) -> Values:
    """Everything that the template needs, in words.

    Raises:
        NotForTheFloor: as `count_sheet_pdf`.
    """
    document, told = request.document, Bilingual(request.readers)
    lines = [line for line in request.contents if line.listed and line.use not in NEVER_IN_THE_TRAY]
    counted = sum(line.count for line in lines)
    content = {
        "paper": request.size.of_typst,
        "title": document.name,
        "about": list(_about(request, told)),
        "kind": told.both("Count sheet"),
        "pieces": str(counted),
        "pieces_word": told.both_told(lambda voice: voice.counted(PIECES, counted)),
        "mass": _mass(request.mass, told),
        "limit": _limit(request.mass.limit, told),
        "where": told.both(_INSIDE if request.inside else _OUTSIDE),
        "times": [told.both(time) for time in _TIMES],
        "groups": list(_groups(request, lines, told)),
        "not_here": [_not_here(line, told) for line in request.contents if line not in lines],
        "missing": told.both(_MISSING),
        "map": _map(request.tray_map, told),
        "made_from": [_made_from(one, told) for one in request.made_from],
        "words": {name: told.both(english) for name, english in _WORDS.items()},
        "fields": [*(told.both(field) for field in _FIELDS), {"text": "", "beside": ""}],
        "foot": told.both(_GOVERNS),
        "code": _code(request, told),
    }
    return told.settled(content, stops=request.stops, where=" in the set or its tray", resource=document.name)


def _about(request: CountSheetRequest, told: Bilingual) -> Iterator[Values]:
    """Whose it is, of which revision, and when it was printed."""
    if request.department:
        yield {"text": told.name(request.department), "beside": ""}
    if request.revision:
        yield told.both("set revision {revision}", revision=request.revision)
    yield told.both("printed {printed}", printed=request.printed)


def _mass(mass: SetMass, told: Bilingual) -> Values | None:
    """What the set weighs; at least so much where the mass of something is not known."""
    if mass.kg is not None:
        return told.both_told(_kilograms(value=round(mass.kg, _DECIMALS)))
    if not mass.summed_kg:
        return None
    # Rounded down, because what is said to be the least must not be more.
    hundredths = math.floor(round(mass.summed_kg * _TO_SCALE, 6))
    return told.both_told(_kilograms(min=hundredths / _TO_SCALE))


def _limit(limit: Limit | None, told: Bilingual) -> Values | None:
    if limit is None:
        return None
    most = Quantity(limit.value[0], limit.unit)
    return told.both("limit {figure}", figure=_weighs(most))


def _kilograms(**ends: float) -> Tell:
    return figure_told(FigureValue(quantity=FigureQuantity.mass, unit="kg", **ends))


def _weighs(mass: Quantity) -> Tell:
    return figure_told(FigureValue(quantity=FigureQuantity.mass, value=mass.value, unit=mass.unit))


def _groups(request: CountSheetRequest, lines: list[Content], told: Bilingual) -> Iterator[Values]:
    """The members in the order of the contents, each with its lines."""
    at = 0
    for called, of_member in groupby(lines, key=lambda line: line.member):
        rows = []
        for line in of_member:
            at += 1
            rows.append(_row(request, line, at, told))
        member = request.document.member(called)
        yield {
            "name": told.name(called),
            "order": told.both("order {n}", n=member.order) if member and member.order else None,
            "notes": list(_notes(request, member, told)) if member else [],
            "has_parts": bool(member and member.parts),
            "rows": rows,
        }


def _row(request: CountSheetRequest, line: Content, at: int, told: Bilingual) -> Values:
    letters = request.tray_map.letters if request.tray_map else {}
    details = [{"text": told.name(line.lies), "beside": ""}] if line.lies else []
    if line.mass is not None:
        each = _weighs(line.mass)
        details.append(told.both("{figure} each", figure=each) if line.count > 1 else told.both_told(each))
    return {
        "letter": letters.get((line.member, line.name), "–") if request.tray_map else str(at),
        "name": told.name(line.name or line.member),
        "count": str(line.count),
        "details": details,
        "new": told.both(_NEW) if line.use is PartUse.new_at_assembly else None,
    }


def _notes(request: CountSheetRequest, member: Member, told: Bilingual) -> Iterator[Values]:
    """What belongs to a device, what must lie apart from it, and what may stand in for it."""
    if member.holder:
        yield told.both("in: {holder}", holder=request.holders.get(member.holder, member.holder))
    if member.mates:
        yield told.both("belongs with: {names}", names=", ".join(member.mates))
    for one in member.apart:
        yield told.both("not beside {name}: {why}", name=one.of, why=one.why)
    for stand_in in member.substitutes:
        name = calm_name(request.names.get(stand_in.instruction, stand_in.instruction))
        if stand_in.why:
            template = "may stand in: {name} (allowed by {by}, {why})"
            yield told.both(template, name=name, by=stand_in.allowed_by, why=stand_in.why)
        else:
            template = "may stand in: {name} (allowed by {by})"
            yield told.both(template, name=name, by=stand_in.allowed_by)


def _not_here(line: Content, told: Bilingual) -> Values:
    name = f"{line.member}, {line.name}" if line.name else line.member
    return {"name": told.name(name), "count": str(line.count), "why": told.both(_WHY_NOT_HERE[line.use])}


def _map(tray: TrayMap | None, told: Bilingual) -> Values | None:
    """The drawing; in another language than English its description says that the list has the letters."""
    if tray is None:
        return None
    is_english = told.voice.language == REFERENCE_LANGUAGE
    alt = tray.described if is_english else told.say(_FROM_ABOVE)
    return {"svg": tray.svg, "alt": alt, "front": told.both("front")}


def _made_from(one: MadeFrom, told: Bilingual) -> Values:
    revision = (
        told.both("revision {revision}", revision=one.revision)
        if one.revision
        else told.both("revision unknown")
    )
    return {
        "device": told.name(calm_name(one.device)),
        "document": told.name(one.document),
        "revision": revision,
        "digest": one.digest[:12],
    }


def _code(request: CountSheetRequest, told: Bilingual) -> Values:
    """The code that leads to the living page; without a server it says which set this is."""
    said = request.live_url or f"sinkside set {request.document.name} printed {request.printed}"
    return {"svg": qr_svg(said), "alt": told.say("QR code: {text}", text=said)}

"""What stands on a count sheet: plain values for the template."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any, Final

from sinkside.aids.codes import qr_svg
from sinkside.aids.count_sheet.request import CountSheetRequest, MadeFrom
from sinkside.findings import Finding
from sinkside.instruction import PartUse
from sinkside.language import REFERENCE_LANGUAGE
from sinkside.plain.names import calm_name
from sinkside.sets import NEVER_IN_THE_TRAY, Content, Member

Values = dict[str, Any]

_OUTSIDE: Final = "This sheet stays outside the pack."
_INSIDE: Final = (
    "This sheet goes into the pack: only where the department has tested its paper and ink in its cycle."
)
_NOT_FOR_THE_FLOOR: Final = "NOT FOR THE FLOOR"
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
    "order": "order",
    "not_here": "Never in this tray",
    "made_from": "Made from",
    "fields": ["Name", "Day, time", "Signature", "Missing, damaged", ""],
}
_TIMES: Final = ("Before use", "After use", "At return")


def count_sheet_content(request: CountSheetRequest) -> Values:
    """Everything that the template needs, in words."""
    document, mass = request.document, request.mass
    lines = [line for line in request.contents if line.listed and line.use not in NEVER_IN_THE_TRAY]
    counted = sum(line.count for line in lines)
    about = [request.department, f"set revision {request.revision}" if request.revision else ""]
    return {
        "language": REFERENCE_LANGUAGE,
        "paper": request.size.of_typst,
        "title": document.name,
        "about": [*filter(None, about), f"printed {request.printed}"],
        "kind": "Count sheet",
        "band": _band(request.stops),
        "pieces": str(counted),
        "pieces_word": "piece" if counted == 1 else "pieces",
        "mass": _mass(mass.kg, mass.summed_kg),
        "limit": f"limit {mass.limit.value[0]:g} {mass.limit.unit}" if mass.limit else "",
        "where": _INSIDE if request.inside else _OUTSIDE,
        "times": list(_TIMES),
        "groups": list(_groups(request, lines)),
        "not_here": [_not_here(line) for line in request.contents if line not in lines],
        "missing": _MISSING,
        "map": {"svg": request.tray_map.svg, "alt": request.tray_map.described} if request.tray_map else None,
        "made_from": [_made_from(one) for one in request.made_from],
        "words": _WORDS,
        "foot": _GOVERNS,
        "code": _code(request),
    }


def _band(stops: Sequence[Finding]) -> Values:
    """What the sheet is not while a stop is open: a list without a mark looks as if it counted."""
    if not stops:
        return {"kind": "", "text": "", "note": ""}
    note = "1 stop open" if len(stops) == 1 else f"{len(stops)} stops open"
    return {"kind": "stop", "text": _NOT_FOR_THE_FLOOR, "note": note}


def _mass(weighed: float | None, summed: float) -> str:
    if weighed is not None:
        return f"{weighed:.2f} kg"
    return f"at least {summed:.2f} kg" if summed else ""


def _groups(request: CountSheetRequest, lines: list[Content]) -> Iterator[Values]:
    """The members in the order of the contents, each with its lines."""
    number = 0
    for called, of_member in groupby(lines, key=lambda line: line.member):
        rows = []
        for line in of_member:
            number += 1
            rows.append(_row(request, line, number))
        member = request.document.member(called)
        yield {
            "name": called,
            "order": str(member.order) if member and member.order else "",
            "notes": list(_notes(request, member)) if member else [],
            "has_parts": bool(member and member.parts),
            "rows": rows,
        }


def _row(request: CountSheetRequest, line: Content, number: int) -> Values:
    letters = request.tray_map.letters if request.tray_map else {}
    details = [line.lies, f"{line.mass} each" if line.mass and line.count > 1 else str(line.mass or "")]
    return {
        "letter": letters.get((line.member, line.name), "–") if request.tray_map else str(number),
        "name": line.name or line.member,
        "count": str(line.count),
        "details": " · ".join(filter(None, details)),
        "new": _NEW if line.use is PartUse.new_at_assembly else "",
    }


def _notes(request: CountSheetRequest, member: Member) -> Iterator[str]:
    """What belongs to a device, what must lie apart from it, and what may stand in for it."""
    if member.holder:
        yield f"in: {request.holders.get(member.holder, member.holder)}"
    if member.mates:
        yield f"belongs with: {', '.join(member.mates)}"
    for one in member.apart:
        yield f"not beside {one.of}: {one.why}"
    for stand_in in member.substitutes:
        name = calm_name(request.names.get(stand_in.instruction, stand_in.instruction))
        why = f", {stand_in.why}" if stand_in.why else ""
        yield f"may stand in: {name} (allowed by {stand_in.allowed_by}{why})"


def _not_here(line: Content) -> Values:
    name = f"{line.member}, {line.name}" if line.name else line.member
    return {"name": name, "count": str(line.count), "why": _WHY_NOT_HERE[line.use]}


def _made_from(one: MadeFrom) -> str:
    parts = [
        one.document,
        f"revision {one.revision}" if one.revision else "revision unknown",
        one.digest[:12],
    ]
    return f"{calm_name(one.device)}: {', '.join(filter(None, parts))}"


def _code(request: CountSheetRequest) -> Values:
    """The code that leads to the living page; without a server it says which set this is."""
    said = request.live_url or f"sinkside set {request.document.name} printed {request.printed}"
    told = f"Opens {said}" if request.live_url else said
    return {"svg": qr_svg(said), "alt": f"QR code: {told}"}

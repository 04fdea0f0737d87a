"""What every paper carries: name, edition, code, route line, what is never done, who decides."""

from __future__ import annotations

import bisect
import itertools
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from sinkside.aids.codes import DIGEST_SHOWN, paper_code, qr_svg
from sinkside.aids.names import calm_maker, calm_name
from sinkside.aids.papers.kinds import NAMES, Kind
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values
from sinkside.aids.places import place_words
from sinkside.aids.prohibitions import kept_limits, never
from sinkside.aids.route_line import MARKS, Stop, route_line
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.language import render
from sinkside.route import Operation, Station

Labelled = list[tuple[str, list[str]]]

_LONGEST_RUNNING_NAME = 60

#: Prohibitions, and figures never to be passed, stand under these words.
_NEVER = "Never"
_LIMITS = "Limits"


def head(request: PaperRequest, operations: Sequence[Operation], *, station: Station | None = None) -> Values:
    """The values that every template asks for.

    Args:
        request: the paper.
        operations: those that it shows, for the sources at its foot.
        station: the stop of the route line that it belongs to.

    Raises:
        BadInput: if the language is unknown.
    """
    instruction, language = request.instruction, request.language
    line = route_line(instruction, request.route, request.findings, language=language)
    sheet = request.sheet
    return {
        "language": language,
        "sheet": {"width": sheet.width_mm, "height": sheet.height_mm, "scale": sheet.type_scale},
        "kind": "" if request.kind is Kind.poster else render(NAMES[request.kind], {}, language),
        "title": calm_name(instruction.device.name),
        "about": list(_about(request)),
        "running": _running_head(request),
        "code": _code(request),
        "band": _band(request),
        "line": [_line_stop(stop, language, is_here=stop.station is station) for stop in line.stops],
        "line_alt": line.sentence,
        "footer": list(_footer(request, operations)),
        "words": {
            "sheet": render("Sheet {n} of {all}", {"n": "{n}", "all": "{all}"}, language),
            "continued": render("continued", {}, language),
        },
    }


def open_stops(request: PaperRequest) -> list[Values]:
    """What keeps the paper off the floor, like findings said once with all their places."""
    places: dict[tuple[str, str], dict[str, None]] = {}
    for finding in request.open_stops:
        said = places.setdefault((finding.level.value, finding.message), {})
        said.update(dict.fromkeys(filter(None, _places_of(finding, request.language))))
    return [
        _open_stop(level, message, tuple(where), request.language)
        for (level, message), where in places.items()
    ]


def never_and_limits(instruction: Instruction, *, signs: int) -> tuple[Labelled, Labelled]:
    """What is never to be done or passed: what a box of so many signs has room for, and what it has not."""
    return _in_the_box({_NEVER: never(instruction), _LIMITS: kept_limits(instruction)}, signs)


def _digest(request: PaperRequest) -> str:
    return request.digest or (request.route.device.digest if request.route else "")


def _about(request: PaperRequest) -> Iterator[str]:
    """Maker, document and edition, department."""
    device = request.instruction.device
    if device.maker:
        yield calm_maker(device.maker)
    if device.document.title:
        yield device.document.title
    yield _edition(request)
    if request.route and request.route.department:
        yield request.route.department


def _running_head(request: PaperRequest) -> str:
    """The device and edition on one line, for the second sheet on."""
    name = textwrap.shorten(
        calm_name(request.instruction.device.name), _LONGEST_RUNNING_NAME, placeholder=" …"
    )
    return f"{name} · {_edition(request)}"


def _edition(request: PaperRequest) -> str:
    edition = request.instruction.device.document.revision
    template = "edition {edition}" if edition else "edition not stated"
    return render(template, {"edition": edition}, request.language)


def _code(request: PaperRequest) -> Values:
    text = paper_code(request.instruction, digest=_digest(request), live_url=request.live_url)
    return {"svg": qr_svg(text), "alt": render("QR code: {text}", {"text": text}, request.language)}


def _band(request: PaperRequest) -> Values:
    """What the paper is not: loud where stops are open, calm where only the approval is missing."""
    language, count = request.language, len(request.open_stops)
    if request.proof and count:
        template = "{n} stop open" if count == 1 else "{n} stops open"
        return {
            "kind": "stop",
            "text": render("NOT FOR THE FLOOR", {}, language),
            "note": render(template, {"n": count}, language),
        }
    if request.proof and not request.is_resolved:
        return {
            "kind": "stop",
            "text": render("NOT FOR THE FLOOR", {}, language),
            "note": render("no route in this department", {}, language),
        }
    if request.approval is None:
        return {"kind": "draft", "text": render("Draft, not approved", {}, language), "note": ""}
    return {"kind": "", "text": "", "note": ""}


def _places_of(finding: Finding, language: str) -> Iterator[str]:
    return (place_words(place, language) for place in (finding.place, *finding.more_places))


def _open_stop(level: str, message: str, places: Sequence[str], language: str) -> Values:
    mark, word = next(marked for one, marked in MARKS.items() if one.value == level)
    return {
        "mark": f"{mark} {render(word, {}, language)}",
        "message": message,
        "place": " · ".join(places),
    }


def _line_stop(stop: Stop, language: str, *, is_here: bool) -> Values:
    mark, word = MARKS[stop.mark] if stop.mark else ("", "")
    return {
        "label": stop.label,
        "figures": list(stop.figures),
        "level": stop.mark.value if stop.mark else "",
        "here": is_here,
        "mark": f"{mark} {render(word, {}, language)}" if stop.mark and stop.mark.value != "note" else "",
    }


def _in_the_box(said: Mapping[str, Sequence[str]], room: int) -> tuple[Labelled, Labelled]:
    """Sentences by label that the box at the head has room for, and those that follow below it."""
    boxed: Labelled = []
    later: Labelled = []
    for label, sentences in said.items():
        count = bisect.bisect_right(list(itertools.accumulate(map(len, sentences))), room)
        room -= sum(map(len, sentences[:count]))
        boxed += [(label, list(sentences[:count]))] if count else []
        later += [(label, list(sentences[count:]))] if count < len(sentences) else []
    return boxed, later


def _footer(request: PaperRequest, operations: Iterable[Operation]) -> Iterator[str]:
    """Who decides, where the figures come from, when it was printed, how to see whether it still holds."""
    language = request.language
    yield render(
        "The maker’s current instruction and local policy govern. Release by a qualified person.",
        {},
        language,
    )
    yield _sources(request, operations)
    approved = (
        render("approved by {by}, {on}", {"by": request.approval.by, "on": request.approval.on}, language)
        if request.approval
        else render("not approved", {}, language)
    )
    scan = (
        "Scan to see whether this paper is current."
        if request.live_url
        else "The code names the text that this paper was made from."
    )
    printed = render(
        "Printed {printed}, {approved}.", {"printed": request.printed, "approved": approved}, language
    )
    yield f"{printed} {render(scan, {}, language)}"


def _sources(request: PaperRequest, operations: Iterable[Operation]) -> str:
    """The maker's text with the pages that figures were read from, its digest, and the limits in force."""
    language, document = request.language, request.instruction.device.document
    pages = _ranges({operation.origin.page for operation in operations if operation.figures})
    parts = [
        render(
            "Source: {title}, {edition}",
            {
                "title": document.title or calm_name(request.instruction.device.name),
                "edition": _edition(request),
            },
            language,
        )
    ]
    if pages:
        template = "page {pages}" if pages.isdecimal() else "pages {pages}"
        parts.append(render(template, {"pages": pages}, language))
    if digest := _digest(request):
        parts.append(render("digest {digest}", {"digest": digest[:DIGEST_SHOWN]}, language))
    if request.route:
        parts.append(render("limits profile {profile}", {"profile": request.route.profile}, language))
    return ", ".join(parts) + "."


def _ranges(pages: set[int]) -> str:
    """Page numbers with neighbours joined: 1–3, 5."""
    ordered = sorted(pages)
    runs: list[list[int]] = []
    for page in ordered:
        if runs and page == runs[-1][-1] + 1:
            runs[-1].append(page)
        else:
            runs.append([page])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)

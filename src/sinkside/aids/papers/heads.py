"""What every paper carries: name, edition, code, route line, what is never done, who decides."""

from __future__ import annotations

import bisect
import itertools
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from sinkside.aids.codes import DIGEST_SHOWN, paper_code, qr_svg
from sinkside.aids.papers.kinds import NAMES, Kind
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.prohibitions import kept_limits, never
from sinkside.aids.route_line import MARKS, Stop, route_line
from sinkside.findings import Level
from sinkside.instruction import Instruction
from sinkside.plain.names import calm_maker, calm_name
from sinkside.route import Operation, Station

Labelled = list[tuple[str, list[str]]]

_LONGEST_RUNNING_NAME = 60

_WHO_DECIDES = "The maker’s current instruction and local policy govern. Release by a qualified person."

#: Prohibitions, and figures never to be passed, stand under these words.
_NEVER = "Never"
_LIMITS = "Limits"


def head(
    request: PaperRequest,
    speaker: Speaker,
    operations: Sequence[Operation],
    *,
    station: Station | None = None,
) -> Values:
    """The values that every template asks for.

    Args:
        request: the paper.
        speaker: says it.
        operations: those that it shows, for the sources at its foot.
        station: the stop of the route line that it belongs to.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    line = route_line(instruction, request.route, request.findings, voice=speaker.voice)
    sheet = request.sheet
    return {
        "language": speaker.language,
        "direction": speaker.direction,
        "sheet": {"width": sheet.width_mm, "height": sheet.height_mm, "scale": sheet.type_scale},
        "kind": "" if request.kind is Kind.poster else speaker.say(NAMES[request.kind]),
        "title": calm_name(instruction.device.name),
        "about": [speaker.voice.isolated(one) for one in _about(request, speaker)],
        "running": _running_head(request, speaker),
        "code": _code(request, speaker),
        "band": _band(request, speaker),
        "line": [_line_stop(stop, speaker, is_here=stop.station is station) for stop in line.stops],
        "line_alt": line.sentence,
        "footer": list(_footer(request, speaker, operations)),
        "words": {
            "sheet": speaker.say("Sheet {n} of {all}", n="{n}", all="{all}"),
            "continued": speaker.say("continued"),
        },
    }


def loud_band(speaker: Speaker, why: str, **values: object) -> Values:
    """What every sheet of a paper says that must not hang, and why it must not."""
    return {"kind": "stop", "text": speaker.say("NOT FOR THE FLOOR"), "note": speaker.say(why, **values)}


def open_stops(request: PaperRequest, speaker: Speaker) -> list[Values]:
    """What keeps the paper off the floor, like findings said once with all their places."""
    places: dict[tuple[Level, str], dict[str, None]] = {}
    for finding in request.open_stops:
        said = places.setdefault((finding.level, finding.message), {})
        for place in (finding.place, *finding.more_places):
            if place.page is not None and place.line is not None:
                said[speaker.place(place.page, place.line)] = None
    return [
        {"mark": _mark(level, speaker), "message": message, "place": " · ".join(where)}
        for (level, message), where in places.items()
    ]


def never_and_limits(instruction: Instruction, *, signs: int) -> tuple[Labelled, Labelled]:
    """What is never to be done or passed: what a box of so many signs has room for, and what it has not."""
    return _in_the_box({_NEVER: never(instruction), _LIMITS: kept_limits(instruction)}, signs)


def _digest(request: PaperRequest) -> str:
    return request.digest or (request.route.device.digest if request.route else "")


def _about(request: PaperRequest, speaker: Speaker) -> Iterator[str]:
    """Maker, document and edition, department."""
    device = request.instruction.device
    if device.maker:
        yield calm_maker(device.maker)
    if device.document.title:
        yield device.document.title
    yield _edition(request, speaker)
    if request.route and request.route.department:
        yield request.route.department


def _running_head(request: PaperRequest, speaker: Speaker) -> str:
    """The device and edition on one line, for the second sheet on."""
    name = textwrap.shorten(
        calm_name(request.instruction.device.name), _LONGEST_RUNNING_NAME, placeholder=" …"
    )
    return f"{name} · {_edition(request, speaker)}"


def _edition(request: PaperRequest, speaker: Speaker) -> str:
    edition = request.instruction.device.document.revision
    if not edition:
        return speaker.say("edition not stated")
    return speaker.say("edition {edition}", edition=edition)


def _code(request: PaperRequest, speaker: Speaker) -> Values:
    text = paper_code(request.instruction, digest=_digest(request), live_url=request.live_url)
    return {"svg": qr_svg(text), "alt": speaker.say("QR code: {text}", text=text)}


def _band(request: PaperRequest, speaker: Speaker) -> Values:
    """What a paper is not that must not hang: a proof, and any paper of a text that nobody approved."""
    count = len(request.open_stops)
    if request.proof and count:
        return loud_band(speaker, "{n} stop open" if count == 1 else "{n} stops open", n=count)
    if request.proof and not request.is_resolved:
        return loud_band(speaker, "no route in this department")
    if request.approval is None:
        return loud_band(speaker, "not approved")
    return loud_band(speaker, "proof") if request.proof else {"kind": "", "text": "", "note": ""}


def _mark(level: Level, speaker: Speaker) -> str:
    mark, word = MARKS[level]
    return f"{mark} {speaker.say(word)}"


def _line_stop(stop: Stop, speaker: Speaker, *, is_here: bool) -> Values:
    is_loud = stop.mark is not None and stop.mark is not Level.note
    return {
        "label": stop.label,
        "figures": list(stop.figures),
        "level": stop.mark.value if stop.mark else "",
        "here": is_here,
        "mark": _mark(stop.mark, speaker) if stop.mark and is_loud else "",
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


def _footer(request: PaperRequest, speaker: Speaker, operations: Iterable[Operation]) -> Iterator[str]:
    """Who decides, where the figures come from, when it was printed, how to see whether it still holds."""
    yield speaker.say(
        "The maker’s current instruction and local policy govern. Release by a qualified person."
    )
    yield _sources(request, speaker, operations)
    approved = (
        speaker.say("approved by {by}, {on}", by=request.approval.by, on=request.approval.on)
        if request.approval
        else speaker.say("not approved")
    )
    scan = (
        "Scan to see whether this paper is current."
        if request.live_url
        else "The code names the text that this paper was made from."
    )
    printed = speaker.say("Printed {printed}, {approved}.", printed=request.printed, approved=approved)
    yield f"{printed} {speaker.say(scan)}"


def _sources(request: PaperRequest, speaker: Speaker, operations: Iterable[Operation]) -> str:
    """The maker's text with the pages that figures were read from, its digest, and the limits in force."""
    document = request.instruction.device.document
    title = document.title or calm_name(request.instruction.device.name)
    pages = _ranges({operation.origin.page for operation in operations if operation.figures})
    parts = [speaker.say("Source: {title}, {edition}", title=title, edition=_edition(request, speaker))]
    if pages:
        parts.append(speaker.say("page {pages}" if pages.isdecimal() else "pages {pages}", pages=pages))
    if digest := _digest(request):
        parts.append(speaker.say("digest {digest}", digest=digest[:DIGEST_SHOWN]))
    if request.route:
        parts.append(speaker.say("limits profile {profile}", profile=request.route.profile))
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

"""A poster's content as plain values, ready to be set: every word and figure, no markup."""

from __future__ import annotations

import bisect
import itertools
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from sinkside.aids.codes import DIGEST_SHOWN, paper_code, qr_svg
from sinkside.aids.figures import ShownFigure, shown_figures, shown_phases
from sinkside.aids.names import calm_maker, calm_name
from sinkside.aids.operations import StationGroup, by_station, rows_of, shown_operations, station_label
from sinkside.aids.places import place_words
from sinkside.aids.poster.request import PosterRequest
from sinkside.aids.prohibitions import kept_limits, never
from sinkside.aids.route_line import MARKS, Stop, route_line
from sinkside.aids.words import phase_name, plain_words, program_of, steps_of
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.language import render
from sinkside.route import Operation

Values = dict[str, Any]
_Labelled = list[tuple[str, list[str]]]

_LONGEST_RUNNING_NAME = 60

#: Prohibitions, and figures never to be passed, stand under these words: so many signs in a box at the head.
_NEVER = "Never"
_LIMITS = "Limits"
_SIGNS_IN_THE_BOX = 1200


def poster_content(request: PosterRequest) -> Values:
    """Everything that the poster's template sets.

    Raises:
        BadInput: if the language is unknown.
    """
    instruction, language = request.instruction, request.language
    operations = shown_operations(request.route, instruction)
    line = route_line(instruction, request.route, request.findings, language=language)
    boxed, later = _in_the_box({_NEVER: never(instruction), _LIMITS: kept_limits(instruction)})
    return {
        "language": language,
        "title": calm_name(instruction.device.name),
        "about": list(_about(request)),
        "running": _running_head(request),
        "code": _code(request),
        "band": _band(request),
        "stops": [_open_stop(finding, language) for finding in request.open_stops],
        "never": [{"label": render(label, {}, language), "sentences": said} for label, said in boxed],
        "line": [_line_stop(stop, language) for stop in line.stops],
        "line_alt": line.sentence,
        "groups": [
            *(_said_group(label, said, language) for label, said in later),
            *(_group(group, instruction, language) for group in by_station(operations)),
        ],
        "footer": list(_footer(request, operations)),
        "words": {
            "sheet": render("Sheet {n} of {all}", {"n": "{n}", "all": "{all}"}, language),
            "continued": render("continued", {}, language),
        },
    }


def texts_of(values: Any) -> Iterator[str]:
    """Every text in some plain values."""
    if isinstance(values, str):
        yield values
    elif isinstance(values, dict):
        for value in values.values():
            yield from texts_of(value)
    elif isinstance(values, list):
        for value in values:
            yield from texts_of(value)


def _digest(request: PosterRequest) -> str:
    return request.digest or (request.route.device.digest if request.route else "")


def _about(request: PosterRequest) -> Iterator[str]:
    """Maker, document and edition, department."""
    device = request.instruction.device
    if device.maker:
        yield calm_maker(device.maker)
    if device.document.title:
        yield device.document.title
    yield _edition(request)
    if request.route and request.route.department:
        yield request.route.department


def _running_head(request: PosterRequest) -> str:
    """The device and edition on one line, for the second sheet on."""
    name = textwrap.shorten(
        calm_name(request.instruction.device.name), _LONGEST_RUNNING_NAME, placeholder=" …"
    )
    return f"{name} · {_edition(request)}"


def _edition(request: PosterRequest) -> str:
    edition = request.instruction.device.document.revision
    template = "edition {edition}" if edition else "edition not stated"
    return render(template, {"edition": edition}, request.language)


def _code(request: PosterRequest) -> Values:
    text = paper_code(request.instruction, digest=_digest(request), live_url=request.live_url)
    return {"svg": qr_svg(text), "alt": render("QR code: {text}", {"text": text}, request.language)}


def _band(request: PosterRequest) -> Values:
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


def _open_stop(finding: Finding, language: str) -> Values:
    mark, word = MARKS[finding.level]
    return {
        "mark": f"{mark} {render(word, {}, language)}",
        "message": finding.message,
        "place": place_words(finding.place, language),
    }


def _line_stop(stop: Stop, language: str) -> Values:
    mark, word = MARKS[stop.mark] if stop.mark else ("", "")
    return {
        "label": stop.label,
        "figures": list(stop.figures),
        "level": stop.mark.value if stop.mark else "",
        "mark": f"{mark} {render(word, {}, language)}" if stop.mark and stop.mark.value != "note" else "",
    }


def _in_the_box(said: Mapping[str, Sequence[str]]) -> tuple[_Labelled, _Labelled]:
    """Sentences by label that the box at the head has room for, and those that follow below it."""
    boxed: _Labelled = []
    later: _Labelled = []
    room = _SIGNS_IN_THE_BOX
    for label, sentences in said.items():
        count = bisect.bisect_right(list(itertools.accumulate(map(len, sentences))), room)
        room -= sum(map(len, sentences[:count]))
        boxed += [(label, list(sentences[:count]))] if count else []
        later += [(label, list(sentences[count:]))] if count < len(sentences) else []
    return boxed, later


def _said_group(label: str, sentences: Iterable[str], language: str) -> Values:
    """Sentences that the box has no room for, as the first rows of the paper; none is left out."""
    nothing: Values = {"details": [], "cautions": [], "figures": [], "phases": [], "attached": []}
    rows = [{"letter": "!", "headline": sentence, **nothing} for sentence in sentences]
    return {"station": render(label, {}, language), "rows": rows}


def _group(group: StationGroup, instruction: Instruction, language: str) -> Values:
    """One station's operations; phases of one machine program name it once."""
    rows = []
    running = ""
    for row in rows_of(group.operations):
        program = program_of(row.operation)
        name = program.id + (program.program or "") if program else ""
        shown = _row(row.operation, instruction, language, is_next_phase=bool(name) and name == running)
        rows.append({**shown, "attached": [_attached(one, instruction, language) for one in row.attached]})
        running = name
    return {"station": station_label(group.station, language), "rows": rows}


def _attached(operation: Operation, instruction: Instruction, language: str) -> Values:
    words = plain_words(operation, instruction, language)
    return {
        "letter": operation.letter,
        "headline": words.headline,
        "details": list(words.details),
        "cautions": list(words.cautions),
    }


def _row(operation: Operation, instruction: Instruction, language: str, *, is_next_phase: bool) -> Values:
    words = plain_words(operation, instruction, language)
    steps = steps_of(operation, instruction)
    is_block = len(steps) > 1 and any(step.figures for step in steps)
    program = program_of(operation)
    named = f"{program.name}, “{program.program}”" if program and program.program else ""
    details = [detail for detail in words.details if not (is_next_phase and detail == named)]
    return {
        "letter": operation.letter,
        "headline": words.headline,
        "details": details,
        "cautions": list(words.cautions),
        "figures": [] if is_block else _figures(shown_figures(operation, language), language),
        "phases": [
            {
                "name": phase_name(step, language) if step else "",
                "figures": _figures(figures, language),
            }
            for step, figures in shown_phases(operation, steps, language)
        ]
        if is_block
        else [],
    }


def _figures(figures: Iterable[ShownFigure], language: str) -> list[Values]:
    return [
        {
            "number": figure.number,
            "unit": figure.unit,
            "label": figure.label,
            "must": render("must be {range}", {"range": figure.must}, language) if figure.must else "",
            "range": figure.must,
        }
        for figure in figures
    ]


def _footer(request: PosterRequest, operations: Iterable[Operation]) -> Iterator[str]:
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


def _sources(request: PosterRequest, operations: Iterable[Operation]) -> str:
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

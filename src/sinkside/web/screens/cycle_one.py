"""One cycle: what its record proves, the record itself, and what a named person decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from fastapi import Query
from pydantic import Field

from sinkside.bench.recall import CauseKind
from sinkside.desk import cycle_deciding, cycle_drawing, cycle_records
from sinkside.desk.bench.load_list import READ as BENCH
from sinkside.desk.bench.load_list import load_of_cycle, load_words
from sinkside.desk.cycle_deciding import reasons_needed
from sinkside.desk.cycle_documents import CycleRecord, Decision
from sinkside.desk.cycle_drawing import CycleView, DrawnWindow
from sinkside.desk.cycle_records import OpenCycle, is_of_program
from sinkside.desk.indicator_list import load_before_release
from sinkside.desk.indicators_before_release import NeededThing, still_missing
from sinkside.desk.people import names_of
from sinkside.web.asked import Asked
from sinkside.web.needed_shown import BeforeRelease, before_release_shown
from sinkside.web.recall_links import recall_link
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Form, Option, Screen, Sending
from sinkside.web.screens.cycle_list import DECIDED, HAND_IN, READ, Said

screen = Screen("cycle")

DECIDE: Final = "cycle-decide"
_LONGEST_S: Final = 1e8
_DOING: Final = {"released": "Releasing", "held": "Holding"}
_CLOSER: Final = 2.0
_ALONG: Final = 0.5

#: What a refusal of the reader asks for, told by a word of its sentence.
_ASKED: Final = {
    "--vacuum-unit": "vacuum_unit",
    "--date-order": "date_order",
    "--cycle": "cycle",
    "--pressure-unit": "pressure_unit",
    "--temperature-unit": "temperature_unit",
    "--time-unit": "time_unit",
    "--pressure": "pressure",
}


@dataclass(frozen=True)
class DecisionShown:
    """One decision: what, by whom, when, on which verdict, whether against it, without what, and why."""

    decided: str
    by: str
    at: str
    outcome: str
    against: bool
    without: str
    reason: str


@dataclass(frozen=True)
class SameFile:
    """Another cycle that the same recorder file was handed in as.

    Attributes:
        address: where it is.
        machine: the machine that was named,
        program: and its program.
        is_other_program: whether that is another program than here.
        outcome: its verdict; empty while it is judged.
        decided: released or held; empty while nobody has decided.
        decided_by: by whom.
        again: why the file was judged by it although another program was said before.
        counts: whether the run counts at its machine by this verdict.
    """

    address: str
    machine: str
    program: str
    is_other_program: bool
    counts: bool
    outcome: str
    decided: str
    decided_by: str
    again: str


@dataclass(frozen=True)
class CyclePage:
    """One cycle.

    Attributes:
        title: the file's name.
        address: of the page.
        cycles: where the list is.
        file_address: the recorder's file as it was handed in.
        csv_address: every sample as text.
        trace_address: the record's own page, and under /api what the plot reads.
        machine: the machine's name.
        program: the program's name.
        chosen: by whose word it was that program, in a sentence; empty where nobody kept that.
        again: why the file is judged by it although another program was said before.
        same_file: the other cycles of the same recorder file, those of another program first.
        counts: whether the run counts at its machine by this verdict, or by one of those.
        profile: the limits in force.
        out_of_use: why the machine was out of use when the file was handed in; empty where it was in use.
        handed_in: when.
        handed_in_by: by whom.
        load: the load that the record belongs to, its address and what lies in it; none while nobody said so.
        outcome: meets, unclear, fails, unread; empty while it is judged.
        summary: the verdict in one sentence, or why there is none.
        asks_for: the field that settles what could not be told.
        job: where one sees how far judging is.
        verdict_revision: which verdict this is.
        view: the verdict in words with its drawing; none where there is none.
        not_evidenced: what the record does not show.
        decided: what holds now: released, held, or empty.
        decisions: every decision, the last one first.
        release: what must be there before the load may be released, and what of it is.
        reasons_needed: the decisions that take a reason, each with what asks for it;
        reason_hint: the same in words.
        table: some samples, evenly spaced.
        recall: where one looks at what it reaches, unless it meets its program.
    """

    title: str
    address: str
    cycles: str
    file_address: str
    csv_address: str
    trace_address: str
    machine: str
    program: str
    chosen: str
    again: str
    same_file: tuple[SameFile, ...]
    counts: bool
    profile: str
    out_of_use: str
    handed_in: str
    handed_in_by: str
    load: Option | None
    outcome: str
    summary: str
    asks_for: str
    job: str
    verdict_revision: int
    view: CycleView | None
    not_evidenced: tuple[str, ...]
    decided: str
    decisions: tuple[DecisionShown, ...]
    release: BeforeRelease
    reasons_needed: dict[str, str]
    reason_hint: str
    table: cycle_drawing.SampleTable | None
    recall: str


@dataclass(frozen=True)
class TracePage:
    """A stretch of a record, drawn, with the samples behind it, and where one looks next."""

    title: str
    cycle: str
    csv_address: str
    drawn: DrawnWindow
    closer: str
    wider: str
    earlier: str
    later: str
    whole: str


class Decide(Form):
    """A decision on the verdict and after the decisions that the person saw; against them with a reason."""

    decided: Literal["released", "held"]
    verdict_revision: int = Field(ge=1, le=1_000_000)
    seen: int = Field(0, ge=0, le=1_000_000)
    reason: str = Field("", max_length=4000)


@screen.page(f"{DEPARTMENT}/cycles/{{cycle}}", right=READ, template="cycle.html")
def cycle(asked: Asked, cycle: str) -> CyclePage:
    """What a record proves, and who decided what."""
    known, view = cycle_drawing.shown_cycle(asked.archive, asked.visitor, cycle)
    window = cycle_drawing.drawn_window(asked.archive, asked.visitor, cycle) if view else None
    address = asked.at(f"/cycles/{cycle}")
    record, job = known.record, known.row.fields.get("job")
    handed_in_by, names = str(known.row.fields["handed_in_by"]), _names(asked, known)
    things = load_before_release(asked.archive, asked.visitor, cycle, now=asked.now).needed
    needed = _reasons(known, things)
    return CyclePage(
        title=record.file_name,
        address=address,
        cycles=asked.at("/cycles"),
        file_address=f"{address}/file",
        csv_address=f"{address}/samples",
        trace_address=f"{address}/trace",
        machine=record.machine_name,
        program=record.program.name,
        chosen=_chosen(record, names[handed_in_by]),
        again=record.again,
        same_file=_same_file(asked, known, names),
        counts=known.counted == known.row.id,
        profile=record.profile,
        out_of_use=record.out_of_use,
        handed_in=shown_moment(known.handed_in, asked.visitor.zone),
        handed_in_by=names[handed_in_by],
        load=_load(asked, cycle),
        outcome=known.judged.outcome if known.judged else "",
        summary=known.judged.summary if known.judged else "",
        asks_for=_asks_for(known),
        job=asked.at(f"/jobs/{job}") if job else "",
        verdict_revision=known.verdict_revision,
        view=view,
        not_evidenced=tuple(name for name, word in view.evidence if word == "not evidenced") if view else (),
        decided=known.decision.decided if known.decision else "",
        decisions=tuple(_decision(one, asked, names) for one in reversed(known.decisions)),
        release=before_release_shown(things, address=f"{address}/before-release"),
        reasons_needed=needed,
        reason_hint=_hint(needed, known.decision),
        table=window.table if window else None,
        recall=_recall(asked, known),
    )


def _recall(asked: Asked, known: OpenCycle) -> str:
    """Where one looks at what a cycle reaches that is not shown to meet its program."""
    if known.judged is None or known.judged.outcome == "meets":
        return ""
    record = known.record
    words = f"{record.machine_name}, {record.program.name}: its record {known.judged.outcome}."
    return recall_link(asked, CauseKind.cycle, record.machine, cycle=known.row.id, words=words)


@screen.page(f"{DEPARTMENT}/cycles/{{cycle}}/trace", right=READ, template="cycle_trace.html")
def trace(
    asked: Asked,
    cycle: str,
    *,
    start: Annotated[float, Query(ge=0, le=_LONGEST_S, description="Seconds since the first sample.")] = 0.0,
    end: Annotated[float | None, Query(ge=0, le=_LONGEST_S, description="The same; else the end.")] = None,
    width: Annotated[int, Query(ge=320, le=2400, description="Of the drawing, in its own units.")] = 960,
) -> TracePage:
    """A stretch of a record, drawn anew from its samples."""
    drawn = cycle_drawing.drawn_window(
        asked.archive, asked.visitor, cycle, start_s=start, end_s=end, width=width
    )
    address = asked.at(f"/cycles/{cycle}")
    span, middle = drawn.end_s - drawn.start_s, (drawn.start_s + drawn.end_s) / 2

    def look(around: float, wide: float) -> str:
        wide = min(max(wide, drawn.closest_s), drawn.whole_s)
        begin = min(max(around - wide / 2, 0.0), drawn.whole_s - wide)
        return f"{address}/trace?start={begin:.2f}&end={begin + wide:.2f}"

    return TracePage(
        title=f"Record of {_file_name(asked, cycle)}",
        cycle=address,
        csv_address=f"{address}/samples",
        drawn=drawn,
        closer=look(middle, span / _CLOSER),
        wider=look(middle, span * _CLOSER),
        earlier=look(middle - span * _ALONG, span),
        later=look(middle + span * _ALONG, span),
        whole=f"{address}/trace",
    )


@screen.act(f"{DEPARTMENT}/cycles/{{cycle}}/decision", right=DECIDE, form=Decide, page=cycle)
def decide(asked: Asked, form: Decide, cycle: str) -> Done:
    """Release or hold what a cycle processed, as the person who is signed in."""
    decision = cycle_deciding.decide(
        asked.archive,
        asked.visitor,
        cycle,
        form.decided,
        verdict_revision=form.verdict_revision,
        reason=form.reason,
        seen=form.seen,
        now=asked.now,
    )
    word = "Released" if decision.decided == "released" else "Held"
    return Done(go=asked.at(f"/cycles/{cycle}"), said=f"{word} by {asked.someone.name}.")


@screen.act(f"{DEPARTMENT}/cycles/{{cycle}}/reading", right=HAND_IN, form=Said, page=cycle)
def judge_again(asked: Asked, form: Said, cycle: str) -> Done:
    """Judge a record again with what its file does not say."""
    cycle_records.judge_again(asked.archive, asked.visitor, cycle, reading=form.reading, now=asked.now)
    return Done(go=asked.at(f"/cycles/{cycle}"), said="The record is judged with what you said of it.")


@screen.file(f"{DEPARTMENT}/cycles/{{cycle}}/file", right=READ)
def file(asked: Asked, cycle: str) -> Sending:
    """The recorder's file as it was handed in."""
    stored, data = cycle_records.recorder_file(asked.archive, asked.visitor, cycle)
    # Whatever a browser once called it, it is handed out as bytes to be saved, never to be shown.
    return Sending(data, "application/octet-stream", saved_as=stored.name)


@screen.file(f"{DEPARTMENT}/cycles/{{cycle}}/samples", right=READ)
def samples(asked: Asked, cycle: str) -> Sending:
    """Every sample as comma-separated text."""
    data = cycle_drawing.samples_csv(asked.archive, asked.visitor, cycle)
    return Sending(data, "text/csv; charset=utf-8", saved_as=f"{cycle}.csv")


def _load(asked: Asked, cycle: str) -> Option | None:
    load = load_of_cycle(asked.archive, asked.visitor, cycle)
    may = asked.visitor.may(BENCH)
    return Option(asked.at(f"/bench/loads/{load.id}"), load_words(load)) if load and may else None


def _file_name(asked: Asked, cycle: str) -> str:
    return cycle_records.open_cycle(asked.archive, asked.visitor, cycle).record.file_name


def _asks_for(known: OpenCycle) -> str:
    """The field that settles what the reader could not tell; empty where it asks for nothing."""
    if known.judged is None or known.judged.unread is None:
        return ""
    sentence = known.judged.unread.error
    return next((field for option, field in _ASKED.items() if option in sentence), "")


def _reasons(known: OpenCycle, things: tuple[NeededThing, ...]) -> dict[str, str]:
    """The decisions that can be taken now and take a reason, each with what asks for it."""
    refused = bool(still_missing(things, "refuse"))
    needed = reasons_needed(known, things).items()
    return {str(one): why for one, why in needed if not (refused and one == "released")}


def _names(asked: Asked, known: OpenCycle) -> dict[str, str]:
    """Everybody whom the page names."""
    others = [str(one.fields.get("decided_by") or "") for one in known.others]
    people = [str(known.row.fields["handed_in_by"]), *(one.by for one in known.decisions), *others]
    return names_of(asked.archive, filter(None, people))


def _decision(one: Decision, asked: Asked, names: dict[str, str]) -> DecisionShown:
    return DecisionShown(
        decided=one.decided,
        by=names[one.by],
        at=shown_moment(one.at, asked.visitor.zone),
        outcome=one.outcome,
        against=one.against_the_verdict,
        without=", ".join(one.without).lower(),
        reason=one.reason,
    )


def _hint(needed: Mapping[str, str], decision: Decision | None) -> str:
    """Which decision takes a reason, and what asks for it."""
    if decision is not None:
        return "Changing the decision needs a reason."
    return " ".join(f"{_DOING[one]} needs one: {why}." for one, why in needed.items())


def _chosen(record: CycleRecord, name: str) -> str:
    if record.chosen == "unsaid":
        return ""
    if record.chosen == "by-person":
        return f"program chosen by {name}"
    return "program assumed as last time for this recorder; nobody chose it"


def _same_file(asked: Asked, known: OpenCycle, names: Mapping[str, str]) -> tuple[SameFile, ...]:
    """The other cycles of the same file: those of another program first, then the latest."""
    others = sorted(known.others, key=lambda row: is_of_program(row, known.record))
    return tuple(
        SameFile(
            address=asked.at(f"/cycles/{row.id}"),
            machine=str(row.fields["machine_name"]),
            program=str(row.fields["program"]),
            is_other_program=not is_of_program(row, known.record),
            counts=row.id == known.counted,
            outcome=str(row.fields.get("verdict") or ""),
            decided=row.state if row.state in DECIDED else "",
            decided_by=names.get(str(row.fields.get("decided_by") or ""), ""),
            again=str(row.fields.get("again") or ""),
        )
        for row in others
    )

"""The loads of a run on paper: the record drawn, the verdict with its figures, and what a person decided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from sinkside.aids.evidence import EvidenceBlock, EvidencePicture, EvidenceSaid, EvidenceTable, on_paper
from sinkside.aids.report import CycleReport
from sinkside.aids.report.cycle_view import cycle_view
from sinkside.desk.cycle_deciding import decision_sentence
from sinkside.desk.cycle_documents import Decision
from sinkside.desk.cycle_records import OpenCycle
from sinkside.desk.evidence.facts import LoadThen
from sinkside.desk.evidence.wording import Clock
from sinkside.desk.indicator_documents import Indicator
from sinkside.desk.indicators_before_release import NeededThing
from sinkside.plain.operations import station_label
from sinkside.route import Station

if TYPE_CHECKING:
    from sinkside.aids.report.views import CycleView
    from sinkside.cycles import Trace

_MARKS = {"met": "✓", "stop": "✗", "open": "?"}


@dataclass(frozen=True)
class DrawnRecord:
    """The record of a cycle, or why it cannot be read any more."""

    trace: Trace | None = None
    unread: str = ""


def heading_of(load: LoadThen) -> str:
    """What a load is called: where, which machine, which program."""
    machine = load.load.fields.get("machine_name") or load.load.machine
    return f"{station_label(Station(load.load.station))}: {machine}, {load.load.program}"


def of_load(load: LoadThen, records: Mapping[str, DrawnRecord], clock: Clock) -> tuple[EvidenceBlock, ...]:
    """A load with everything that is kept of it.

    Args:
        load: which.
        records: what the recorders wrote, by the cycle's id.
        clock: the department's.
    """
    blocks: list[EvidenceBlock] = [EvidenceSaid(tuple(_said(load, clock)), loud=True), _moments(load, clock)]
    if load.cycle is not None:
        blocks += _of_cycle(load.cycle, records.get(load.cycle.row.id, DrawnRecord()), clock)
    blocks += _beside(load, clock)
    return tuple(blocks)


def view_of(cycle: OpenCycle, record: DrawnRecord) -> CycleView | None:
    """The verdict in words with the record drawn; none without either."""
    if cycle.judged is None or cycle.judged.verdict is None or record.trace is None:
        return None
    report = CycleReport(cycle.judged.verdict, record.trace, cycle.record.program)
    return cycle_view(report, f"record-{cycle.row.id}")


def decided(load: LoadThen, clock: Clock) -> str:
    """What a person decided on a load, when, why, and without what."""
    cycle = load.cycle
    if cycle is not None and cycle.decision is not None:
        return _decision(cycle.decision, clock)
    fields = load.load.fields
    if fields.get("decided_by"):
        moment = datetime.fromisoformat(str(fields["decided_at"]))
        said = [f"{load.load.state.capitalize()} by {fields['decided_by']}, {clock.at(moment)}"]
        said += [f"Read at the machine: {fields['read']}"] if fields.get("read") else []
        said += [f"Reason: {fields['reason']}"] if fields.get("reason") else []
        return ". ".join(said) + "."
    return decision_sentence(None)


def _decision(decision: Decision, clock: Clock) -> str:
    against = " against the verdict" if decision.against_the_verdict else ""
    said = [f"{decision.decided.capitalize()}{against} by {decision.by}, {clock.at(decision.at)}"]
    said += [f"Without: {', '.join(decision.without).lower()}"] if decision.without else []
    said += [f"Reason: {decision.reason.rstrip('.')}"] if decision.reason else []
    return ". ".join(said) + "."


def _said(load: LoadThen, clock: Clock) -> Iterator[str]:
    judged = load.cycle.judged if load.cycle else None
    if judged is not None:
        yield f"{judged.outcome.capitalize()}. {judged.summary}"
    elif load.cycle is None:
        yield "No record of the cycle is kept."
    yield decided(load, clock)


def _moments(load: LoadThen, clock: Clock) -> EvidenceTable:
    """When a load was built, ran and cooled, and what of the set lay in it."""
    fields = load.load.fields

    def at(name: str) -> str:
        told = fields.get(name)
        return clock.at(datetime.fromisoformat(str(told))) if told else "not recorded"

    counts_no_more = "an earlier round, or taken out again: it counts no more"
    row = (
        f"{clock.at(load.load.opened)}, {fields.get('opened_by') or 'by whom is not recorded'}",
        clock.at(load.load.started),
        f"{at('ended')}{'' if fields.get('complete', True) else ', the machine broke off'}",
        at("cooled") if fields.get("cooled") else "–",
        str(fields.get("rack_name") or "–"),
        ", ".join(load.inside.members) if load.inside else counts_no_more,
    )
    columns = ("Built", "Started", "Ended", "Cooled by", "Rack", "Of this set")
    return EvidenceTable(f"Load {load.load.id}", columns, (row,), widths=(1.2, 1, 1, 1, 0.8, 1.2))


def _of_cycle(cycle: OpenCycle, record: DrawnRecord, clock: Clock) -> Iterator[EvidenceBlock]:
    view = view_of(cycle, record)
    name = f"{cycle.record.file_name}, SHA-256 {cycle.record.file[:12]}"
    if view is None:
        why = record.unread or "there is no verdict"
        yield EvidenceSaid((f"The record {name} is not drawn: {why}.",))
        return
    yield EvidencePicture(
        on_paper(view.plot),
        f"{view.summary}",
        f"Recorder file {name}, handed in {clock.at(cycle.handed_in)}; judged by the profile "
        f"{cycle.record.profile}, verdict {cycle.verdict_revision}. {'; '.join(view.recorder)}.",
    )
    yield EvidenceTable(
        "Criteria",
        ("Criterion", "Required", "Measured", "Margin", ""),
        tuple(
            (one.name, one.required, one.measured, one.margin, f"{_MARKS.get(one.sign, '')} {one.word}")
            for one in view.criteria
        ),
        widths=(1.6, 1, 1, 1, 0.8),
    )
    resting = tuple(one for one in view.values if one[2])
    if resting:
        yield EvidenceTable("Values", ("Value", "Computed", "Rests on"), resting, widths=(0.5, 0.6, 2.4))
    rest = "; ".join(f"{name[0].lower()}{name[1:]} {value}" for name, value, on in view.values if not on)
    shown = ", ".join(f"{name[0].lower()}{name[1:]} {how}" for name, how in view.evidence)
    yield EvidenceSaid((f"The record shows: {shown}.", f"Computed too: {rest}."))
    if len(cycle.decisions) > 1:
        rows = tuple((_decision(one, clock),) for one in cycle.decisions)
        yield EvidenceTable("Every decision", ("What was decided, in order",), rows)


def _beside(load: LoadThen, clock: Clock) -> Iterator[EvidenceBlock]:
    rows = tuple(_indicator(one, clock) for _, one in load.indicators)
    if load.cycle is not None:
        columns = ("Indicator", "Lot", "Result", "Who, when")
        yield EvidenceTable("Indicators", columns, rows, empty="None is recorded.")
        needed = tuple(_needed(one, load.cycle, clock) for one in load.needed)
        if needed:
            yield EvidenceTable(
                "What must be there before release",
                ("What", "Stands", "As recorded"),
                needed,
                widths=(1, 0.5, 1.8),
            )
    if load.held is not None:
        implant = "With an implant" if load.held.implant else "No implant"
        words = f": {load.held.words}" if load.held.words else ""
        said = f"{implant}{words}, said by {load.held.by}, {clock.at(load.held.at)}."
        yield EvidenceSaid((said,))
    if load.load.fields.get("wet"):
        yield EvidenceSaid(("A pack of this load was wet.",))


def _needed(one: NeededThing, cycle: OpenCycle, clock: Clock) -> tuple[str, ...]:
    """How a needed thing stands; what came only after the decision was not there before release."""
    decision = cycle.decision
    if decision is None or not one.is_there or one.name not in decision.without:
        return one.name, one.state, one.sentence
    return one.name, "afterwards", f"{one.sentence} Not there at the decision, {clock.at(decision.at)}."


def _indicator(one: Indicator, clock: Clock) -> tuple[str, ...]:
    grew = {True: ", its control grew", False: ", its control did not grow", None: ""}[one.control_grew]
    note = f" ({one.note})" if one.note else ""
    result = one.outcome.replace("-", " ")
    return one.kind, one.lot_words, f"{result}{grew}{note}", f"{one.by}, {clock.at(one.at)}"

"""The shelf of instructions: makers' documents handed in, drafted, listed, opened, compared."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.instructions import DOCUMENT_ENDINGS
from sinkside.desk.keeping import from_revision, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.standing import Answers, Reviewed, Standing, standings, step_digest
from sinkside.desk.still_to_do import StillToDo, still_to_do
from sinkside.desk.uploads import Upload, check_upload, new_id
from sinkside.documents import LARGEST_DOCUMENT_BYTES
from sinkside.errors import NotThere, SinksideError
from sinkside.findings import Level, count_by_level
from sinkside.instruction import Instruction
from sinkside.instruction.comparison import Comparison, compare
from sinkside.records import Job, Revision, Row, StoredFile

KIND: Final = "instruction"
REVIEW: Final = "review"
ANSWERS: Final = "answers"
DRAFT_JOB: Final = "draft-document"

#: How many texts are kept as they were weighed last; a long one with its findings takes a megabyte or two.
_KEPT_WEIGHED: Final = 100

#: How an instruction stands; `reading` and `unread` while there is no revision.
STATES: Final = ("reading", "unread", "in-work", "ready", "approved")


@dataclass(frozen=True)
class HandedIn:
    """A document that was kept, and the job that drafts it."""

    instruction: str
    job: str
    file: StoredFile


@dataclass(frozen=True)
class RevisionLine:
    """One revision in the history of an instruction: number, by whom, when, why, and whether approved."""

    number: int
    by: str
    at: datetime
    note: str
    approved: bool


@dataclass(frozen=True, eq=False)
class Weighed:
    """An instruction with its review and the answers to it; the same texts are weighed once."""

    instruction: Instruction
    reviewed: Reviewed
    findings: tuple[Standing, ...]
    accepted: frozenset[str]


@dataclass(frozen=True)
class OpenInstruction:
    """One revision of an instruction with everything that a page shows of it.

    `row.state` says how the instruction stands as a whole; `latest` whether this is its latest revision;
    `file` is the maker's document.
    """

    row: Row
    revision: Revision
    weighed: Weighed
    latest: bool
    file: StoredFile | None

    @property
    def instruction(self) -> Instruction:
        """The text as data."""
        return self.weighed.instruction

    @property
    def reviewed(self) -> Reviewed:
        """What the review said of it."""
        return self.weighed.reviewed

    @property
    def findings(self) -> tuple[Standing, ...]:
        """Every finding, and how it stands."""
        return self.weighed.findings

    @property
    def accepted(self) -> frozenset[str]:
        """Which steps somebody confirmed as they stand now."""
        return self.weighed.accepted

    @property
    def to_do(self) -> StillToDo:
        """What keeps this revision from being approved."""
        return still_to_do(self.instruction, self.findings, self.accepted)

    @property
    def open_stops(self) -> tuple[Standing, ...]:
        """The stops that nothing settles yet."""
        return self.to_do.stops


def hand_in(
    archive: Archive,
    who: Visitor,
    upload: Upload,
    *,
    now: datetime,
    instruction: str | None = None,
    language: str | None = None,
) -> HandedIn:
    """Keep a maker's document and ask for its draft; the same one sent twice before it is read is one.

    Args:
        archive: where it is kept.
        who: the acting person.
        upload: the document.
        now: the moment.
        instruction: the instruction whose next revision it becomes; a new one unless told.
        language: the one to read, where it has several: English if it is there, else its own, unless told.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
        UnreadableFile: if the file is empty, too large, or of a kind that is not read.
    """
    require(who, "instruction-upload")
    check_upload(upload, most_bytes=LARGEST_DOCUMENT_BYTES, endings=frozenset(DOCUMENT_ENDINGS))
    with archive.unit() as unit:
        known = row_of(unit, who, instruction) if instruction else None
        kept = unit.files.put(upload.data, media_type=upload.media_type, name=upload.plain_name)
        arguments = {"file": kept.digest, "file_name": upload.plain_name}
        arguments |= {"language": language} if language else {}
        asked = _asked_already(unit, who, arguments, instruction)
        if asked is not None:
            return HandedIn(asked.arguments["instruction"], asked.id, kept)
        subject = known.id if known else new_id("i")
        arguments |= {"instruction": subject}
        job = Job(new_id("j"), DRAFT_JOB, who.department, who.person, arguments, "waiting", now)
        unit.jobs.ask(job)
        row = known or Row(KIND, subject, who.department, "reading", upload.plain_name, now)
        pending = {"job": job.id, "pending_file": upload.plain_name, "error": None}
        unit.rows.put(replace(row, updated=now, fields={**row.fields, **pending}))
        data = {"file": kept.digest, "size": kept.size, "job": job.id}
        record(unit, who, "document-handed-in", subject_of(subject), now=now, data=data)
        return HandedIn(subject, job.id, kept)


def _asked_already(
    unit: Unit, who: Visitor, arguments: Mapping[str, str], instruction: str | None
) -> Job | None:
    """The job that the same person asked for by the same file: a button that was pressed twice."""
    for job in unit.jobs.all([who.department], states=("waiting", "running")):
        subject = job.arguments.get("instruction", "")
        row = unit.rows.get(KIND, subject)
        is_same = dict(job.arguments) == {**arguments, "instruction": subject} and job.by == who.person
        is_there = subject == instruction if instruction else row is not None and row.state == "reading"
        if job.kind == DRAFT_JOB and is_same and is_there:
            return job
    return None


def shelf(
    archive: Archive,
    who: Visitor,
    *,
    states: Sequence[str] = (),
    text: str | None = None,
    limit: int = 200,
    offset: int = 0,
) -> list[Row]:
    """The instructions of this department: what is due first, then the latest changed.

    Raises:
        NotAllowed: without the right.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        return unit.rows.all(KIND, [who.department], states=states, text=text, limit=limit, offset=offset)


def open_instruction(
    archive: Archive, who: Visitor, instruction: str, *, revision: int | None = None
) -> OpenInstruction:
    """One revision of an instruction, the latest unless told, with findings and how they stand.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here, or it has no such revision yet.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        row = row_of(unit, who, instruction)
        return opened(unit, row, revision)


def history(archive: Archive, who: Visitor, instruction: str) -> tuple[RevisionLine, ...]:
    """Every revision of an instruction, oldest first.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        row = row_of(unit, who, instruction)
        approved = words_in(row, "approvals")
        return tuple(
            RevisionLine(one.number, one.by, one.at, one.note, str(one.number) in approved)
            for one in unit.documents.history(KIND, row.id)
        )


def instruction_row(archive: Archive, who: Visitor, instruction: str) -> Row:
    """How an instruction stands, also while it has no revision yet.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        return row_of(unit, who, instruction)


def makers_document(
    archive: Archive, who: Visitor, instruction: str, *, digest: str
) -> tuple[StoredFile, bytes]:
    """A file that belongs to an instruction: a maker's document, or an answer of the maker's.

    Raises:
        NotAllowed: without the right.
        NotThere: if that file does not belong to it.
        UnreadableFile: if it is missing or was altered.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        row = row_of(unit, who, instruction)
        answers = read_kept(unit, ANSWERS, row.id, Answers) or Answers()
        known = {answer.file for answer in answers.answers if answer.file} | set(words_in(row, "files"))
        file = unit.files.get(digest) if digest in known else None
        if file is None:
            raise NotThere("there is no such file here", resource=digest)
        return file, unit.files.read(digest)


def compare_revisions(
    archive: Archive, who: Visitor, instruction: str, *, before: int, after: int, language: str = "en"
) -> Comparison:
    """Two revisions side by side, in the trade's terms.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here, or it has no such revisions.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        row = row_of(unit, who, instruction)
        texts = [read_kept(unit, KIND, row.id, Instruction, number) for number in (before, after)]
    old, new = texts
    if old is None or new is None:
        raise NotThere("there is no such revision", resource=instruction)
    return compare(old, new, language=language)


def subject_of(instruction: str) -> str:
    """How an instruction stands in events."""
    return f"{KIND}:{instruction}"


def words_in(row: Row, field: str) -> list[str]:
    """A field that holds several words."""
    return str(row.fields.get(field) or "").split()


def row_of(unit: Unit, who: Visitor, instruction: str) -> Row:
    """The row of an instruction of this department.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(KIND, instruction)
    if row is None or row.department != who.department:
        raise NotThere("there is no such instruction here", resource=instruction)
    return row


def opened(unit: Unit, row: Row, number: int | None = None) -> OpenInstruction:
    """A revision with everything around it, for the verbs of this room.

    Raises:
        NotThere: if it has no such revision yet.
    """
    revision = unit.documents.get(KIND, row.id, number)
    if revision is None:
        raise NotThere("there is no such revision of this instruction", resource=row.id)
    review = unit.documents.get(REVIEW, row.id, revision.number)
    if review is None:
        raise SinksideError("this revision was never reviewed", resource=row.id)
    weighed = _weighed(revision, review, unit.documents.get(ANSWERS, row.id))
    return OpenInstruction(
        row=row,
        revision=revision,
        weighed=weighed,
        latest=number is None or number == row.fields.get("revision"),
        file=unit.files.get(weighed.instruction.device.document.digest),
    )


def weigh_beforehand(unit: Unit, revision: Revision, review: Revision) -> None:
    """Weigh a revision that is still to be kept, so that it is known when it is."""
    _weighed(revision, review, unit.documents.get(ANSWERS, revision.subject))


@functools.lru_cache(maxsize=_KEPT_WEIGHED)
def _weighed(revision: Revision, review: Revision, answers: Revision | None) -> Weighed:
    instruction = from_revision(revision, Instruction)
    reviewed = from_revision(review, Reviewed)
    return Weighed(
        instruction=instruction,
        reviewed=reviewed,
        findings=standings(reviewed, from_revision(answers, Answers) if answers else Answers()),
        accepted=frozenset(
            step.id for step in instruction.steps if reviewed.accepted.get(step.id) == step_digest(step)
        ),
    )


def shown_again(unit: Unit, row: Row, *, now: datetime) -> Row:
    """Bring the row of an instruction in step with its latest revision and the answers to it."""
    latest = opened(unit, row)
    waiting = [one for one in latest.findings if one.is_open]
    counts = count_by_level(one.finding for one in waiting)
    approved = row.fields.get("approved")
    to_do = latest.to_do
    state = "ready" if to_do.is_done else "in-work"
    if approved == latest.revision.number:
        state = "approved"
    device = latest.instruction.device
    fields = {
        **row.fields,
        "maker": device.maker,
        "document": " ".join(filter(None, (device.document.title, device.document.revision))),
        "file": device.document.digest,
        "files": " ".join(dict.fromkeys([*words_in(row, "files"), device.document.digest])),
        "revision": latest.revision.number,
        "steps": len(latest.instruction.steps),
        "figures": sum(len(step.figures) for step in latest.instruction.steps),
        "not_understood": len(latest.instruction.not_understood),
        "stops_open": counts[Level.stop],
        "concerns_open": counts[Level.concern],
        "notes_open": counts[Level.note],
        "steps_open": len(to_do.steps),
        "asked": sum(1 for one in waiting if one.answer is not None),
        "drafted_by": latest.reviewed.drafted_by,
        "last_by": latest.revision.by,
        "writers": ""
        if state == "approved"
        else " ".join(dict.fromkeys([*words_in(row, "writers"), latest.revision.by])),
        "turn": _turn(state, to_do),
    }
    changed = replace(row, state=state, title=device.name, updated=now, fields=fields)
    unit.rows.put(changed)
    return changed


def _turn(state: str, to_do: StillToDo) -> str:
    """Whose turn it is: the maker's, an editor's, an approver's, or that of whoever confirms."""
    if state == "in-work":
        return "maker" if to_do.waits_for_the_maker else "editor"
    return "approver" if state == "ready" else "confirmer"

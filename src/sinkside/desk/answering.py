"""Answering findings: accepted with a reason, asked of the maker, settled by the maker's written answer."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from sinkside.desk.access import Visitor, record, require
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.shelf import ANSWERS, opened, row_of, shown_again, subject_of
from sinkside.desk.standing import Answer, Answers, How, Standing
from sinkside.desk.uploads import Upload, check_upload
from sinkside.errors import BadInput, NotAllowed, NotThere
from sinkside.records import Row, StoredFile

#: A letter or a mail, scanned; anything larger is something else.
LARGEST_ANSWER_BYTES: Final = 20_000_000


def accept_findings(
    archive: Archive, who: Visitor, instruction: str, findings: Sequence[str], *, reason: str, now: datetime
) -> None:
    """Accept what findings say, with a reason that is kept with each.

    Raises:
        NotAllowed: without the right, or if only the maker's written answer settles one of them.
        NotThere: if there is no such instruction or finding here.
        BadInput: if there is no reason.
    """
    words = reason_of(reason)
    with archive.unit() as unit:
        row, known = _found(unit, who, instruction, findings)
        for one in known:
            if one.maker_only:
                raise NotAllowed(
                    f"only the maker's written answer, attached, settles this: {one.finding.message}",
                    resource=one.id,
                )
        _keep(unit, who, row, known, how="accepted", words=words, now=now)


def ask_maker(
    archive: Archive,
    who: Visitor,
    instruction: str,
    findings: Sequence[str],
    *,
    now: datetime,
    words: str = "",
) -> None:
    """Note that the maker was asked about findings; they stay open until the answer is attached.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or finding here.
    """
    with archive.unit() as unit:
        row, known = _found(unit, who, instruction, findings)
        _keep(unit, who, row, known, how="asked", words=words.strip(), now=now)


def attach_answer(
    archive: Archive,
    who: Visitor,
    instruction: str,
    findings: Sequence[str],
    *,
    upload: Upload,
    words: str,
    now: datetime,
) -> StoredFile:
    """Attach the maker's written answer, which settles findings.

    Args:
        archive: where it is kept.
        who: the acting person.
        instruction: which.
        findings: the identities of the findings that it answers.
        upload: the letter or mail, as it came.
        words: what it says, in a sentence.
        now: the moment.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction or finding here.
        BadInput: if the file is empty or too large, or nothing is said of what is in it.
    """
    said = reason_of(words)
    check_upload(upload, most_bytes=LARGEST_ANSWER_BYTES)
    with archive.unit() as unit:
        row, known = _found(unit, who, instruction, findings)
        file = unit.files.put(upload.data, media_type=upload.media_type, name=upload.plain_name)
        _keep(unit, who, row, known, how="answered", words=said, now=now, file=(file, upload.plain_name))
        return file


def _found(
    unit: Unit, who: Visitor, instruction: str, findings: Sequence[str]
) -> tuple[Row, tuple[Standing, ...]]:
    require(who, "finding-answer")
    if not findings:
        raise BadInput("expected at least one finding", resource="findings")
    row = row_of(unit, who, instruction)
    known = {one.id: one for one in opened(unit, row).findings}
    for wanted in findings:
        if wanted not in known:
            raise NotThere("there is no such finding in the latest revision", resource=wanted)
    return row, tuple(known[one] for one in dict.fromkeys(findings))


def _keep(
    unit: Unit,
    who: Visitor,
    row: Row,
    findings: Sequence[Standing],
    *,
    how: How,
    words: str,
    now: datetime,
    file: tuple[StoredFile, str] | None = None,
) -> None:
    before = read_kept(unit, ANSWERS, row.id, Answers) or Answers()
    given = tuple(
        Answer(
            finding=one.id,
            how=how,
            words=words,
            file=file[0].digest if file else "",
            file_name=file[1] if file else "",
            by=who.person,
            at=now,
            revision=int(row.fields.get("revision") or 0),
        )
        for one in findings
    )
    kept = keep_next(
        unit, ANSWERS, row.id, Answers(answers=(*before.answers, *given)), by=who.person, now=now
    )
    data = {
        "findings": [one.id for one in findings],
        "rules": [one.finding.rule for one in findings],
        "how": how,
        "file": file[0].digest if file else None,
        "digest": kept.digest,
    }
    record(unit, who, "finding-answered", subject_of(row.id), now=now, data=data)
    shown_again(unit, row, now=now)

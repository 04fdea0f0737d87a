"""What each kind of event says, in a plain sentence; names come from outside the events."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from pydantic import JsonValue

from sinkside.bench.faults import policy
from sinkside.desk.record_sentences_verification import VERIFICATION
from sinkside.journal import Event

Data = Mapping[str, JsonValue]


def _counted(value: JsonValue, one: str) -> str:
    number = len(value) if isinstance(value, list) else value
    return f"{number} {one}{'' if number == 1 else 's'}"


def _copies(value: JsonValue) -> str:
    return "1 copy" if value == 1 else f"{value} copies"


def _answered(data: Data) -> str:
    said = {
        "accepted": "accepted {} with a reason",
        "asked": "asked the maker about {}",
        "answered": "attached the maker's answer to {}",
    }
    return said[str(data["how"])].format(_counted(data["findings"], "finding")) + " of {subject}"


def _decided(data: Data) -> str:
    verb = "released" if data["decided"] == "released" else "held"
    against = ", against the verdict" if data.get("against") else ""
    if data.get("without"):
        against += f", without {_counted(data['without'], 'thing')} that had to be there"
    return f"{verb} what was processed in {{subject}}{against}; the verdict was {data['outcome']}"


def _handed_in(data: Data) -> str:
    again = ", a file that was judged by another program before" if data.get("before") else ""
    assumed = ", assumed as last time" if data.get("chosen") == "as-last-time" else ""
    return f"handed in the record {{subject}} of {data['program']}{assumed}{again}"


def _drafted(data: Data) -> str:
    counts = f"{_counted(data['stop'], 'stop')} and {_counted(data['concern'], 'concern')} found"
    return f"had {{subject}} drafted as revision {data['revision']}: {counts}"


def _department_changed(data: Data) -> str:
    places = f" in {_counted(data['changes'], 'place')}" if data.get("changes") else ""
    return f"changed what the department has{places}, revision {data['revision']}"


def _signed(data: Data) -> str:
    return f"{data['family']}, {data['station']}"


def _granted(data: Data) -> str:
    until = f" until {str(data['until'])[:10]}" if data.get("until") else ""
    return f"gave {{subject}} the role {data['role']}{until}"


def _out_of_use(data: Data) -> str:
    asked = f"; {_counted(data['loads'], 'load')} to be looked at" if data.get("loads") else ""
    return f"took {{subject}} out of use ({str(data['why']).replace('-', ' ')}){asked}"


def _learnt(data: Data) -> str:
    part = str(data["part"]).replace("-", " ")
    changed = f", what changed since revision {data['since']}" if data.get("since") else ""
    return f"went through the part {part} of the lesson of {{subject}}, revision {data['revision']}{changed}"


def _alarm_answered(data: Data) -> str:
    said = {"looking": "theatre is looking", "found": "it was found", "not-found": "it was not found"}
    return f"answered {{subject}}, {data['what']} of case {data['case']}: {said[str(data['outcome'])]}"


def _fault(data: Data) -> str:
    known = policy().faults.get(str(data["fault"]))
    return f"“{known.words if known else data['fault']}”"


def _cases_imported(data: Data) -> str:
    return f"took in {_counted(data['cases'], 'case')} from a file"


def _used(data: Data) -> str:
    return f"of {_counted(data['loads'], 'load')}, {_counted(data['cases'], 'case')}"


def _tapped(data: Data) -> str:
    act = data["act"]
    name = str(act["act"] if isinstance(act, dict) else act).replace("-", " ")
    paper = ", entered from paper" if data.get("entered") else ""
    refused = ", which was refused" if data["outcome"] == "refused" else ""
    return f"did “{name}” with {{subject}}{paper}{refused}: {str(data['said']).rstrip('.')}"


def _set_kept(data: Data) -> str:
    places = f" in {_counted(data['changes'], 'place')}" if data.get("changes") else ""
    return f"changed the set {{subject}}{places}, revision {data['revision']}"


def _steps(verb: str) -> Callable[[Data], str]:
    return lambda data: (
        f"{verb} {_counted(data['steps'], 'step')} of {{subject}}, revision {data['revision']}"
    )


def _watched(data: Data) -> str:
    level = str(data["level"]).replace("-", " ")
    seen = f"{data['seen']} of {data['criteria']} points seen done"
    return f"work with {{subject}} at the {data['station']}: {level}, {seen}"


#: Sentences without their subject: who did it stands before them.
SENTENCES: Final[Mapping[str, str | Callable[[Data], str]]] = {
    "rows-kept": "kept how things of the bench stand after what was told before",
    "person-added": "added {subject}",
    "person-erased": "erased {subject}",
    "role-granted": _granted,
    "role-withdrawn": lambda data: f"took the role {data['role']} from {{subject}}",
    "account-disabled": "shut the account of {subject}",
    "account-enabled": "opened the account of {subject} again",
    "password-link-made": "made a one-time link for {subject}",
    "password-set": "set a new password",
    "pin-set": "set a PIN",
    "pin-removed": "took their PIN away",
    "badge-set": "gave {subject} a badge",
    "badge-removed": "took the badge of {subject} away",
    "signed-in": lambda data: f"signed in by {data['how']}",
    "signed-out": "signed out",
    "sessions-ended": "ended every session of {subject}",
    "document-handed-in": "handed in a document for {subject}",
    "document-not-read": "handed in a document for {subject} that could not be read",
    "instruction-drafted": _drafted,
    "device-described": lambda data: (
        f"corrected what the device of {{subject}} is called, revision {data['revision']}"
    ),
    "step-edited": _steps("corrected"),
    "step-added": _steps("added"),
    "step-struck": _steps("struck"),
    "step-accepted": _steps("accepted"),
    "finding-answered": _answered,
    "revision-approved": lambda data: f"approved revision {data['revision']} of {{subject}}",
    "text-confirmed-current": lambda data: (
        f"confirmed that the text of {{subject}} is current, until {data['confirm_by']}"
    ),
    "device-photo-put": "put a photo to {subject}",
    "device-photo-lettered": lambda data: (
        f"changed the letters on the photo of {{subject}}, {_counted(data['letters'], 'letter')} now"
    ),
    "device-photo-looked-at": "looked at the letters on the new photo of {subject}",
    "device-photo-chosen": "chose what is shown beside the steps of {subject}, drawing or photo",
    "device-photo-taken-away": "took the photo of {subject} away",
    "lesson-part-learnt": _learnt,
    "lesson-note-put": "put a note beside a step of {subject}",
    "lesson-note-taken-away": "took a note beside a step of {subject} away",
    "question-edited": "reworded a question of {subject}",
    "question-as-made": "took the other words of a question of {subject} back",
    "question-retired": "retired a question of {subject}",
    "question-brought-back": "brought a question of {subject} back",
    "question-added": "added a question to {subject}",
    "department-changed": _department_changed,
    "department-table-handed-in": "handed in the spreadsheet {subject}; nothing is changed by that",
    "repair-made": lambda data: (
        f"said that {{subject}} now has what was missing, revision {data['revision']}: "
        f"{str(data['what']).rstrip('.')}"
    ),
    "cycle-handed-in": _handed_in,
    "cycle-judged": lambda data: f"had the record {{subject}} judged: {data['outcome']}",
    "cycle-decided": _decided,
    "check-recorded": lambda data: (
        f"recorded the check {data['check']} of {{subject}}: {'passed' if data['passed'] else 'not passed'}"
    ),
    "machine-out-of-use": _out_of_use,
    "machine-in-use": "returned {subject} to use",
    "sign-off-given": lambda data: f"signed {{subject}} off as {data['level']}: {_signed(data)}",
    "sign-off-reopened": lambda data: f"opened the sign-off of {{subject}} again: {_signed(data)}",
    "sign-offs-reopened": lambda data: (
        f"opened {_counted(data['sign_offs'], 'sign-off')} again, by what changed in {{subject}}"
    ),
    "sign-off-policy-changed": lambda data: f"changed what a sign-off needs here: {data['occasion']}",
    "posted": lambda data: f"put {{subject}} on the shift {data['shift']}",
    "post-ended": lambda data: f"took {{subject}} off the shift {data['shift']}",
    "checks-changed": lambda data: f"changed what the check {data['check']} asks for here",
    "indicator-lot-added": lambda data: f"added the lot {{subject}} of {data['kind']} indicators",
    "indicator-recorded": lambda data: (
        f"recorded a {data['kind']} indicator of {{subject}}: {str(data['outcome']).replace('-', ' ')}"
    ),
    "indicator-read": lambda data: (
        f"read the {data['kind']} indicator of {{subject}}: {str(data['outcome']).replace('-', ' ')}"
    ),
    "load-said": lambda data: f"said what {{subject}} held, {'with an' if data['implant'] else 'no'} implant",
    "solution-made": lambda data: f"made up {{subject}}, lot {data['lot']}",
    "solution-discarded": lambda data: (
        f"discarded {{subject}}{', after its time was over' if data['late'] else ''}"
    ),
    "set-made": "made the set {subject}",
    "set-changed": _set_kept,
    "set-looked-at": lambda data: (
        f"looked at the set {{subject}} after texts changed, and left revision {data['revision']} as it is"
    ),
    "set-split": lambda data: (
        f"split the set {{subject}}, revision {data['revision']}, into {_counted(data['parts'], 'set')}"
    ),
    "set-things-said": "said what the things of the set {subject} are",
    "set-out-of-use": lambda data: f"took the set {{subject}} out of use: {str(data['why']).rstrip('.')}",
    "reading-habits-changed": lambda data: str(data["told"]),
    "templates-reviewed": lambda data: (
        f"reviewed {_counted(data['count'], 'template')} of plain words in {data['name']}"
    ),
    "template-reviews-withdrawn": lambda data: (
        f"took {_counted(data['count'], 'review')} of plain words in {data['name']} back"
    ),
    "set-laid-out": lambda data: f"laid out the tray of {{subject}}, seed {data['seed']}",
    "set-piece-moved": lambda data: f"moved {data['thing']} in the tray of {{subject}}",
    "paper-printed": lambda data: f"printed the {data['kind']} of {data['of']}, revision {data['revision']}",
    "papers-packed": lambda data: f"printed {_counted(data['papers'], 'paper')} of {data['of']} as one file",
    "paper-hung": lambda data: f"hung {_copies(data['copies'])} of a paper of {data['of']}: {data['place']}",
    "paper-replaced": lambda data: (
        f"replaced {_copies(data['copies'])} of a paper of {data['of']} by the current one: {data['place']}"
    ),
    "paper-removed": lambda data: (
        f"took away {_copies(data['copies'])} of a paper of {data['of']}: {data['place']}"
    ),
    "observation-begun": lambda data: f"began to watch work with {{subject}} at the {data['station']}",
    "observation-judged": lambda data: f"judged {_watched(data)}",
    "observation-signed": lambda data: f"signed, as who was watched, {_watched(data)}",
    "observation-struck": "struck out an observation of work with {subject}",
    "roll-out-planned": lambda data: f"planned the roll-out of {{subject}}, first use {data['first_use']}",
    "roll-out-closed": "closed the roll-out of {subject}",
    "lesson-attended": "had a badge scanned into a lesson on {subject}",
    "proof-exported": lambda data: f"took {_counted(data['sign_offs'], 'sign-off')} out as a table",
    "copy-added": lambda data: f"gave {{subject}} the code {data['code']}",
    "copy-retired": "took {subject} out of use",
    "exception-made": lambda data: (
        f"let {data['code']} out under exception, case {data['case']}: {str(data['kind']).replace('-', ' ')}"
    ),
    "exception-learnt-later": lambda data: f"learnt more of the exception for case {data['case']}",
    "exception-reviewed": lambda data: f"reviewed the exception for case {data['case']}",
    "store-policy-changed": lambda data: f"changed how long packs in a {data['packaging']} are kept here",
    "loan-agreed": lambda data: f"agreed on {{subject}}, {data['way']}, with {data['other']}",
    "loan-received": lambda data: f"received {{subject}} as {data['code']}",
    "loan-sent": lambda data: f"sent {{subject}} out to {data['other']}",
    "shift-handed-over": lambda data: f"handed over: {data['shift']}",
    "shift-taken-over": lambda data: f"took over from: {data['shift']}",
    "outage-begun": "said that the screens do not answer",
    "outage-ended": "said since when the screens answer again",
    "outage-line-struck": lambda data: f"struck the line {data['line']} that was copied from paper",
    "outage-copied": lambda data: f"copied {_counted(data['lines'], 'line')} from paper",
    "outage-entered": lambda data: (
        f"entered {_counted(data['done'], 'line')} from paper, {data['refused']} refused"
    ),
    "alarm-raised": lambda data: f"told theatre of {data['what']} missing, {{subject}}",
    "alarm-answered": _alarm_answered,
    "cases-imported": _cases_imported,
    "case-kept": "planned {subject}",
    "tapped": _tapped,
    "load-decided": lambda data: f"decided on {{subject}} of {data['machine']}: {data['decided']}",
    "load-linked": "said which record belongs to {subject}",
    "load-trouble": lambda data: (
        f"found a {'wet pack' if data['kind'] == 'wet' else 'soiled set'} ({data['code']}) of {{subject}}; "
        f"{_counted(data['others'], 'other piece')} of it found"
    ),
    "load-investigated": "closed what was asked after in {subject}",
    "recall-opened": lambda data: f"opened {{subject}}: {_counted(data['sets'], 'set')} {_used(data)}",
    "recall-set-dealt": "dealt with a set of {subject}",
    "recall-case-told": "told of a case of {subject}",
    "recall-other-told": "told another house of {subject}",
    "recall-call-unanswered": "called about {subject}; nobody answered",
    "recall-closed": "closed {subject}",
    "deviation-noticed": lambda data: f"noticed {_fault(data)} at {data['found']}: {{subject}}",
    "deviation-reported": lambda data: f"reported {_fault(data)}, found at {data['found']}: {{subject}}",
    "deviation-measure": lambda data: f"said what was done at once about {_fault(data)}: {{subject}}",
    "deviation-delay": lambda data: f"said how long a case waited, {_fault(data)}: {{subject}}",
    "deviation-asked": lambda data: f"asked for the cause of {_fault(data)}: {{subject}}",
    "deviation-cause": lambda data: f"said the cause of {_fault(data)}: {{subject}}",
    "deviation-assigned": lambda data: f"named who corrects {_fault(data)}: {{subject}}",
    "deviation-corrected": lambda data: f"said that {_fault(data)} is corrected: {{subject}}",
    "deviation-effect": lambda data: (
        f"said that the correction {'held' if data['standing'] == 'closed' else 'did not hold'} of "
        f"{_fault(data)}: {{subject}}"
    ),
    "evidence-made": lambda data: (
        f"made evidence file {data['number']} of {{subject}}: {_counted(data['gaps'], 'thing')} not recorded"
    ),
    "job-cancelled": "cancelled a job",
    **VERIFICATION,
}


def sentence(event: Event, *, actor: str, subject: str) -> str:
    """What an event says, with the names that its pseudonyms and ids stand for now.

    A kind that this version does not know, or one whose data are of another version, is told by its name.

    >>> from datetime import UTC, datetime
    >>> event = Event(at=datetime(2026, 3, 1, tzinfo=UTC), zone="UTC", kind="signed-out", actor="system",
    ...     subject="person:p-1", sequence=1, previous="0" * 64)
    >>> sentence(event, actor="Ada", subject="Ada")
    'Ada signed out.'
    """
    return f"{actor} {words_of(event, subject=subject)}."


def with_names(event: Event, families: Mapping[str, str]) -> Event:
    """The same entry, with the name of the device family in the place of its id, for sentences alone."""
    family = str(event.data.get("family") or "")
    if family not in families:
        return event
    return event.model_copy(update={"data": {**event.data, "family": families[family]}})


def words_of(event: Event, *, subject: str) -> str:
    """The same without who did it, and without a full stop, for lines that say that beside."""
    known = SENTENCES.get(event.kind)
    try:
        told = known(event.data) if callable(known) else known
    except (KeyError, TypeError):
        told = None
    return (told or f"{event.kind.replace('-', ' ')}: {{subject}}").replace("{subject}", subject)

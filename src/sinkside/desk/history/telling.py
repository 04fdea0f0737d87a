"""Entries of the record book as lines of a history: what happened, what it shows, where its evidence is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from sinkside.bench.history import Evidence, Line, LineKind, Mark
from sinkside.desk.access import Visitor
from sinkside.desk.called import called, families_called
from sinkside.desk.ports import Unit
from sinkside.desk.record_sentences import with_names, words_of
from sinkside.journal import Event

#: As what things that entries concern are opened, where that is not the same noun.
_OPENED_AS: Final = {"copy": "set", "indicator-lot": "lot"}
_LOUD: Final = frozenset({"issue-under-exception", "early-implant", "immediate-use"})

#: What each act at a bench is about and shows.
_ACTS: Final[Mapping[str, tuple[LineKind, str]]] = {
    "arrive": (LineKind.work, "arrival"),
    "take-up": (LineKind.work, "begin of cleaning"),
    "look": (LineKind.check, "inspection"),
    "look-all": (LineKind.check, "inspection"),
    "count": (LineKind.check, "the count"),
    "count-all": (LineKind.check, "the count"),
    "put-in": (LineKind.check, "which marked instruments are in it"),
    "pack": (LineKind.work, "packing"),
    "open-load": (LineKind.load, "what went into the machine"),
    "add-to-load": (LineKind.load, "what went into the machine"),
    "take-out-of-load": (LineKind.load, "what went into the machine"),
    "mark-implant": (LineKind.load, "that it held an implant"),
    "start-load": (LineKind.load, "begin of the cycle"),
    "end-load": (LineKind.load, "end of the cycle"),
    "put-in-store": (LineKind.store, "storage"),
    "reserve": (LineKind.store, "for which case"),
    "unreserve": (LineKind.store, "for which case"),
    "issue": (LineKind.store, "for which case"),
    "take-back": (LineKind.store, "return"),
    "report-use": (LineKind.case, "use in theatre"),
    "close-case": (LineKind.case, "end of the case"),
    "issue-under-exception": (LineKind.case, "an exception, by whose word"),
    "early-implant": (LineKind.case, "an exception, by whose word"),
    "immediate-use": (LineKind.case, "an exception, by whose word"),
    "deviate": (LineKind.trouble, "a deviation"),
    "hold": (LineKind.trouble, "a hold"),
    "lift-hold": (LineKind.decision, "a decision on a hold"),
    "send-back": (LineKind.trouble, "why it went back"),
    "wet-pack": (LineKind.trouble, "a wet pack"),
    "soil-found": (LineKind.trouble, "soil at assembly"),
    "looked-again": (LineKind.check, "inspection"),
    "pack-mishap": (LineKind.trouble, "what happened to the pack"),
    "missing-fragment": (LineKind.trouble, "what is missing"),
    "acknowledge-alarm": (LineKind.case, "theatre's answer"),
}
_OTHER_ACT: Final = (LineKind.work, "work along the route")

#: What other entries are about and show, by their kind.
_KINDS: Final[Mapping[str, tuple[LineKind, str]]] = {
    "load-decided": (LineKind.decision, "a named person's decision"),
    "cycle-decided": (LineKind.decision, "a named person's decision"),
    "load-linked": (LineKind.record, "which record belongs to it"),
    "cycle-handed-in": (LineKind.record, "the machine's record"),
    "cycle-judged": (LineKind.record, "what the record proves"),
    "load-said": (LineKind.load, "what the load held"),
    "indicator-recorded": (LineKind.check, "an indicator"),
    "indicator-read": (LineKind.check, "an indicator"),
    "indicator-lot-added": (LineKind.supply, "a lot"),
    "check-recorded": (LineKind.check, "a check"),
    "machine-out-of-use": (LineKind.trouble, "why it was out of use"),
    "machine-in-use": (LineKind.decision, "return to use"),
    "load-trouble": (LineKind.trouble, "what was found"),
    "load-investigated": (LineKind.decision, "what came of it"),
    "alarm-raised": (LineKind.trouble, "what is missing"),
    "alarm-answered": (LineKind.case, "theatre's answer"),
    "exception-made": (LineKind.case, "an exception, by whose word"),
    "exception-learnt-later": (LineKind.case, "what was learnt later"),
    "exception-reviewed": (LineKind.decision, "a review of an exception"),
    "recall-opened": (LineKind.trouble, "a recall"),
    "recall-closed": (LineKind.decision, "a recall"),
    "sign-off-given": (LineKind.person, "a sign-off"),
    "sign-off-reopened": (LineKind.person, "a sign-off"),
    "solution-made": (LineKind.supply, "a solution"),
    "solution-discarded": (LineKind.supply, "a solution"),
    "copy-added": (LineKind.work, "its code"),
    "copy-retired": (LineKind.decision, "the end of its use"),
}
#: What an entry of another kind is about, by the noun of what it concerns.
_NOUNS: Final[Mapping[str, LineKind]] = {
    "set": LineKind.text,
    "instruction": LineKind.text,
    "paper": LineKind.text,
    "person": LineKind.person,
    "roll-out": LineKind.person,
    "case": LineKind.case,
    "loan": LineKind.trouble,
    "recall": LineKind.trouble,
    "deviation": LineKind.trouble,
    "machine": LineKind.check,
    "cycle": LineKind.record,
}
_LOUD_ENTRIES: Final = frozenset({"exception-made", "exception-learnt-later", "exception-reviewed"})

#: What several acts of one go are called together; others stay lines of their own.
_TOGETHER: Final[Mapping[str, str]] = {
    "start-task": "{count} timed tasks begun.",
    "finish-task": "{count} tasks done.",
    "look": "{count} lines looked at.",
    "count": "Counted {count} times.",
    "put-in": "{count} marked instruments put in.",
    "signed-in": "Signed in {count} times.",
    "signed-out": "Signed out {count} times.",
    "question-edited": "{count} questions reworded.",
    "step-accepted": "Steps accepted {count} times.",
    "step-edited": "Steps corrected {count} times.",
}


def lines_of(unit: Unit, who: Visitor, events: Iterable[Event], *, of: str = "") -> list[Line]:
    """Entries as lines; whatever they concern is told by its name.

    Args:
        unit: the transaction.
        who: who reads.
        events: the entries.
        of: the subject whose history it is: what concerns it needs no link to it.
    """
    found = list(events)
    named = called(unit, who, {event.subject for event in found})
    families = families_called(unit, who, found)
    return [_line(with_names(event, families), named, of) for event in found]


def beside(event: Event) -> tuple[str, ...]:
    """What an act concerns beside the thing that it was done with, as events call it."""
    told: Any = event.data.get("beside") or ()
    return tuple(str(one) for one in told)


def act_of(event: Event) -> Mapping[str, Any]:
    """The act that a tap carried; nothing where an entry is none."""
    act: Any = event.data.get("act") if event.kind == "tapped" else None
    return act if isinstance(act, dict) else {}


def is_done(event: Event) -> bool:
    """Whether an act was done; it may have been refused."""
    return event.kind == "tapped" and event.data.get("outcome") == "done"


def _line(event: Event, named: Mapping[str, str], of: str) -> Line:
    if event.kind == "tapped" and act_of(event):
        return _act_line(event, named, of)
    noun = event.subject.partition(":")[0]
    kind, shows = _KINDS.get(event.kind, (_NOUNS.get(noun, LineKind.work), ""))
    words = _words(event, named[event.subject])
    return Line(
        at=event.at,
        words=f"{words[:1].upper()}{words[1:]}.",
        kind=kind,
        by=event.actor,
        shows=shows,
        evidence=_evidence([event.subject], of),
        marks=frozenset({Mark.exception}) if event.kind in _LOUD_ENTRIES else frozenset(),
        entries=(event.sequence,),
        like=f"{event.kind} {event.subject}" if event.kind in _TOGETHER else "",
        many=_TOGETHER.get(event.kind, ""),
    )


def _words(event: Event, subject: str) -> str:
    """What an entry says without who did it; a load is called by its machine's name, not by its id."""
    if event.kind == "load-decided":
        return f"decided on {subject}: {event.data['decided']}"
    return words_of(event, subject=subject)


def _act_line(event: Event, named: Mapping[str, str], of: str) -> Line:
    name = str(act_of(event).get("act", ""))
    kind, shows = _ACTS.get(name, _OTHER_ACT)
    said = str(event.data.get("said", "")).rstrip(".")
    plain = name.replace("-", " ")
    run = str(event.data.get("run") or "")
    if is_done(event):
        words, like, many = f"{said}.", f"{name} {event.subject} {run}", _TOGETHER.get(name, "")
    else:
        words = f"“{plain}” was refused: {said}."
        like, many = f"{name} {event.subject} refused", f"“{plain}” was refused {{count}} times."
    if event.subject != of and event.subject.startswith("copy:"):
        words = _of_which_set(words, named[event.subject])
    subjects = [event.subject, *([f"run:{run}"] if run and is_done(event) else []), *beside(event)]
    return Line(
        at=datetime.fromisoformat(str(event.data["done"])),
        words=words,
        kind=kind,
        by=event.actor,
        shows=shows,
        evidence=_evidence(subjects, of),
        marks=_marks(event, name),
        entries=(event.sequence,),
        like=like if many else "",
        many=many,
    )


def _of_which_set(words: str, name_and_code: str) -> str:
    """A sentence that says of which set it is, by name and code.

    >>> _of_which_set("Suction set is packed.", "Suction set (SET-2)")
    'Suction set (SET-2) is packed.'
    >>> _of_which_set("All 3 lines passed.", "Suction set (SET-2)")
    'Suction set (SET-2): All 3 lines passed.'
    """
    name = name_and_code.rpartition(" (")[0]
    if name_and_code in words:
        return words
    if words.startswith(f"{name} "):
        return f"{name_and_code}{words.removeprefix(name)}"
    return f"{name_and_code}: {words}"


def _marks(event: Event, name: str) -> frozenset[Mark]:
    asked = {
        Mark.entered: bool(event.data.get("entered")),
        Mark.refused: not is_done(event),
        Mark.exception: name in _LOUD,
    }
    return frozenset(mark for mark, holds in asked.items() if holds)


def _evidence(subjects: Iterable[str], of: str) -> tuple[Evidence, ...]:
    pairs = (one.partition(":") for one in dict.fromkeys(subjects) if one != of)
    return tuple(Evidence(_OPENED_AS.get(noun, noun), key) for noun, _, key in pairs if key)

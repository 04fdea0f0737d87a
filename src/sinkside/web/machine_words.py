"""Machines' days in words and marks, for every page that shows them."""

from __future__ import annotations

from typing import Final

from sinkside.desk.machine_days import Due, DueState, ThingState, ThingToday, local_day, names_of_checks

STATE_WORDS: Final[dict[ThingState, str]] = {
    "out-of-use": "Out of use",
    "failed": "Not passed",
    "overdue": "Overdue",
    "due": "Due today",
    "done": "Nothing due",
    "nothing": "Nothing asked",
}

_DUE_WORDS: Final[dict[DueState, str]] = {
    "failed": "Not passed",
    "overdue": "Overdue",
    "due": "Due today",
    "done": "Done today",
    "later": "Done",
}


def due_words(due: Due) -> str:
    """How a check stands, in words."""
    return _DUE_WORDS[due.state]


def when_words(due: Due, zone: str) -> str:
    """When a check was last done, and when it is due again."""
    if due.last is None:
        # Indicators may be in the incubator while nobody has read one.
        return "no result read here" if due.needed.check.record == "indicator" else "never done here"
    last = local_day(due.last, zone).isoformat()
    if due.state == "failed":
        return f"did not pass on {last}"
    if due.without is not None:
        return f"ran without it on {due.without.isoformat()}; last done {last}"
    if due.state in {"done", "later"}:
        return f"last done {last}, due again {due.next_day.isoformat()}"
    return f"last done {last}, due {due.next_day.isoformat()}"


def day_sentence(one: ThingToday) -> str:
    """What is to be done at a thing today, in a sentence; nothing where nothing is."""
    if one.state == "out-of-use":
        reason = str(one.row.fields.get("reason", "")) if one.row else ""
        return f"{reason}{'' if reason[-1:] in '.!?' else '.'}"
    parts = [
        f"{words}: {names_of_checks(dues)}"
        for words, dues in (
            ("Not passed", one.of("failed")),
            ("Overdue", one.of("overdue")),
            ("Due today", one.of("due")),
        )
        if dues
    ]
    return f"{'; '.join(parts)}." if parts else ""

"""The acts of one set as forms: what is sent, what stands on the button, what it does to the page at once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from sinkside.bench.plan import Plan, Task
from sinkside.bench.run import Run
from sinkside.instruction import Action
from sinkside.language import computed
from sinkside.web.screen import Option
from sinkside.web.screens.bench.shown import ActShown, ChoiceAsked, LineAsked, MoreShown, new_key

#: What doing something once is called on the counter.
_ONCE: Final[Mapping[Action, str]] = {
    Action.flush: "Flushed",
    Action.brush: "Brushed",
    Action.rinse: "Rinsed",
    Action.actuate: "Moved",
    Action.wipe: "Wiped",
}
_LONGEST_WHAT: Final = 120
_MINUTE_S: Final = 60

#: What follows where a line failed; soil is another act, because it sends the whole set back.
FAULT_THEN: Final = (
    Option("set-aside", "Set it aside"),
    Option("repair", "To be repaired"),
    Option("replace", "Replace it"),
)


@dataclass(frozen=True)
class Acts:
    """Makes the acts of one copy."""

    code: str
    name: str

    def make(self, form: str, words: str, *acts: dict[str, Any], told: str = "", **look: Any) -> ActShown:
        """One press: one act, or several that follow each other; the form's fields go into the last.

        Args:
            form: the id of the form, of its own on the page.
            words: on the button.
            acts: what is sent.
            told: the act in words, the button's unless told.
            look: the rest of an `ActShown`.
        """
        sent = [{"code": self.code, **act} for act in acts]
        return ActShown(
            id=form,
            words=words,
            told=f"{told or words} ({self.name})",
            act=json.dumps(sent if len(sent) > 1 else sent[0]),
            key=new_key(),
            **look,
        )

    def begin(self, task: Task) -> ActShown:
        """Begins the timer of a task."""
        seconds = round(task.at_least_s)
        return self.make(
            f"begin-{task.id}",
            f"Begin {span(seconds)}",
            {"act": "start-task", "task": task.id},
            told=f"begin: {task.words}",
            effect="begin",
            begins=seconds,
            command="BEGIN",
            style="main",
        )

    def finish(self, task: Task, run: Run) -> ActShown:
        """Says that a task is done: counted, its end seen, its time over."""
        is_timed = bool(task.at_least_s)
        sent: dict[str, Any] = {"act": "finish-task", "task": task.id}
        sent |= {"times": task.times} if task.times else {}
        sent |= {"seen": True} if task.until else {}
        words = f"All {task.times} done" if task.times > 1 else "Done"
        return self.make(
            f"do-{task.id}",
            f"Seen: {words.lower()}" if task.until else words,
            sent,
            told=task.words,
            effect="task",
            command="DONE",
            style="main",
            times=max(task.times, 1),
            once=_ONCE.get(task.action, "Done"),
            when_over=is_timed,
            after_begin=is_timed,
            is_hidden=is_timed and task.id not in run.timers,
        )

    def deviate(self, task: Task) -> ActShown:
        """Says that a task was done otherwise; why is asked."""
        what = task.words[:_LONGEST_WHAT]
        return self.make(
            f"otherwise-{task.id}",
            "Keep it",
            {"act": "deviate", "task": task.id, "what": what},
            told=f"done otherwise: {task.words}",
            style="second",
        )

    def soil(self) -> MoreShown:
        """Says that soil was seen: all of it goes back, and the others of its load are found."""
        return MoreShown(
            "Soil is seen: all of it goes back",
            self.make("soil", "Send it all back", {"act": "soil-found"}, style="grave"),
            (LineAsked("where", "On what, and where"),),
        )

    def rare(self, run: Run, *, decides: bool) -> tuple[MoreShown, ...]:
        """What is rare: setting it down, something done otherwise, a hold, and letting it go on."""
        no_names = "(no names)"
        found = [
            MoreShown(
                "Set it down, or hand it over",
                self.make("pause", "Set down", {"act": "pause"}, style="second"),
                (LineAsked("note", f"What the next one must know {no_names}", required=False),),
            ),
            MoreShown(
                "Something else was done otherwise",
                self.make("otherwise", "Keep it", {"act": "deviate"}, style="second"),
                (LineAsked("what", f"What {no_names}"), LineAsked("reason", f"Why {no_names}")),
            ),
            MoreShown(
                "Let it go no further",
                self.make("hold", "Hold it", {"act": "hold"}, style="grave"),
                (LineAsked("why", f"Why {no_names}"),),
            ),
        ]
        if decides:
            found += [
                MoreShown(
                    f"Held: {one.why}",
                    self.make(f"lift-{one.id}", "Let it go on", {"act": "lift-hold", "hold": one.id}),
                    (LineAsked("why", f"Why it may go on {no_names}"),),
                )
                for one in run.open_holds()
            ]
        return tuple(found)

    def fails(self, line: str) -> MoreShown:
        """Says that a line failed inspection: what is wrong, and what follows."""
        return MoreShown(
            "Failed",
            self.make(
                f"fail-{line}", "Failed", {"act": "look", "line": line, "passed": False}, style="grave"
            ),
            (LineAsked("fault", "What is wrong"),),
            (ChoiceAsked("then", "What follows", FAULT_THEN),),
        )


def span(seconds: float) -> str:
    """A time as buttons have it.

    >>> span(600).split(), span(90).split()
    (['10', 'min'], ['90', 's'])
    """
    if seconds >= _MINUTE_S and seconds % _MINUTE_S == 0:
        return computed(seconds / _MINUTE_S, "min")
    return computed(seconds, "s")


def kilograms(plan: Plan) -> str:
    """What the list says that the set weighs; empty where it does not."""
    return f"{plan.mass_kg:.2f}" if plan.mass_kg else ""

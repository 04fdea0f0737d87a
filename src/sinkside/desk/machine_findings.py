"""What machines' days have to say, as findings: failed, overdue, out of use, used without its check."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.findings import Finding, Level, Wording

_WORDINGS: Final[Mapping[str, Wording]] = {
    wording.rule: wording
    for wording in (
        Wording(
            rule="machine-out-of-use",
            level=Level.stop,
            message="{machine} is out of use: {reason}",
            remedy="Show what is asked for below; then somebody with the right returns it to use.",
        ),
        Wording(
            rule="machine-check-failed",
            level=Level.stop,
            message="{check} of {machine} did not pass on {day}.",
            remedy="Put it right and record the check again.",
        ),
        Wording(
            rule="machine-used-without-check",
            level=Level.concern,
            message="{machine} ran on {used} without its {check}; last done {last}.",
            remedy="Do it before the next load, and decide on the loads in between.",
        ),
        Wording(
            rule="machine-check-overdue",
            level=Level.concern,
            message="{check} of {machine} was due on {due}; last done {last}.",
            remedy="Do it today, or say in the department's own checks why it is done less often.",
        ),
    )
}


def told(rule: str, **evidence: str | int) -> Finding:
    """A finding of one of the rules above."""
    return _WORDINGS[rule].finding(evidence=evidence)

"""What was read from a picture says so, so that a person compares it with the page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeVar

from sinkside.draft.lines import Line, Seen
from sinkside.instruction import (
    DeviceLimit,
    Heading,
    Instruction,
    NotUnderstood,
    Origin,
    PictureReading,
    Statement,
    Step,
)

#: No passage goes on over more lines than this.
_LONGEST_PASSAGE = 60

_Read = TypeVar("_Read", Step, Statement, Heading, NotUnderstood, DeviceLimit)


def marked(instruction: Instruction, lines: Sequence[Line]) -> Instruction:
    """An instruction in which every origin in a picture says so.

    Args:
        instruction: as it was drafted.
        lines: the lines that it was drafted from, in reading order.
    """
    if not any(line.seen for line in lines):
        return instruction
    places = {(line.page, line.number): place for place, line in reversed(list(enumerate(lines)))}
    marker = _Marker(lines, places)
    device = instruction.device.model_copy(update={"limits": marker.all(instruction.device.limits)})
    return instruction.model_copy(
        update={
            "device": device,
            "steps": marker.all(instruction.steps),
            "statements": marker.all(instruction.statements),
            "headings": marker.all(instruction.headings),
            "not_understood": marker.all(instruction.not_understood),
        }
    )


class _Marker:
    """Knows for each place of a document whether it was read from a picture."""

    def __init__(self, lines: Sequence[Line], places: Mapping[tuple[int, int], int]) -> None:
        self._lines = lines
        self._places = places

    def all(self, read: tuple[_Read, ...]) -> tuple[_Read, ...]:
        """The same things, marked."""
        return tuple(one.model_copy(update={"origin": self._origin(one.origin)}) for one in read)

    def _origin(self, origin: Origin) -> Origin:
        seen = self._seen(origin)
        if not seen:
            return origin
        sure = min((one.sure for one in seen if one.sure is not None), default=None)
        changed = tuple(dict.fromkeys(change for one in seen for change in one.put_right))
        return origin.model_copy(update={"picture": PictureReading(sure=sure, put_right=changed)})

    def _seen(self, origin: Origin) -> list[Seen]:
        """What is known of the lines from the first to the last of an origin, also over the end of a page."""
        start = self._places.get((origin.page, origin.line))
        if start is None:
            return []
        found = []
        for line in self._lines[start : start + _LONGEST_PASSAGE]:
            found.extend([line.seen] if line.seen else [])
            if line.number == (origin.line_end or origin.line):
                break
        return found

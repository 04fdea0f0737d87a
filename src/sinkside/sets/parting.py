"""A set parted into several, each a document of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sinkside.errors import BadInput
from sinkside.sets.document import Member, SetDocument

_FEWEST_PARTS: Final = 2


def part_set(document: SetDocument, groups: Sequence[Sequence[str]]) -> tuple[SetDocument, ...]:
    """The sets that groups of members become; what was weighed and counted must be weighed and counted anew.

    What belongs together stays said, so that a pair that was parted is found; what must not lie together is
    said only where both are left.

    Args:
        document: the set.
        groups: what it calls the members of each part; every member stands in one of them.

    Raises:
        BadInput: if a member stands in no group or in two, or there is but one group.

    >>> pair = SetDocument(name="Hand set", members=(Member(instruction="hook"), Member(instruction="punch")))
    >>> [one.name for one in part_set(pair, [["hook"], ["punch"]])]
    ['Hand set, part 1', 'Hand set, part 2']
    """
    named = [called for group in groups for called in group]
    if sorted(named) != sorted(member.called for member in document.members):
        raise BadInput("every member goes into one part, and into one only", resource=document.name)
    if len([group for group in groups if group]) < _FEWEST_PARTS:
        raise BadInput("there is one part only; expected two or more", resource=document.name)
    return tuple(
        document.model_copy(
            update={
                "name": f"{document.name}, part {number}",
                "members": tuple(_kept(one, group) for one in document.members if one.called in group),
                "mass": None,
                "pieces": None,
            }
        )
        for number, group in enumerate(groups, start=1)
    )


def _kept(member: Member, group: Sequence[str]) -> Member:
    return member.model_copy(update={"apart": tuple(one for one in member.apart if one.of in group)})

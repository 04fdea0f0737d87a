"""From a thing's page to its history: one table for every page, so that none has to say it itself."""

from __future__ import annotations

import re
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.history.reading import OF_PEOPLE, READ

#: The pages of things, within their department, and what each thing is to a history.
_PAGES: Final = tuple(
    (re.compile(pattern), noun)
    for pattern, noun in (
        (r"/bench/at/[a-z-]+/(c-[^/]+)", "set"),
        (r"/bench/store/(c-[^/]+)", "set"),
        (r"/bench/loads/(l-[^/]+)", "load"),
        (r"/bench/machines/([^/]+)", "machine"),
        (r"/machines/([^/]+)", "machine"),
        (r"/bench/cases/(case-[^/]+)", "case"),
        (r"/cycles/(c-[^/]+)", "cycle"),
        (r"/solutions/(u-[^/]+)", "solution"),
        (r"/instructions/(i-[^/]+)", "instruction"),
        (r"/sign-offs/people/([^/]+)", "person"),
    )
)
_OWN: Final = "/sign-offs/mine"


def history_of(path: str, visitor: Visitor) -> str:
    """Where the history of a page's thing is; nothing for other pages, and where they may not read it.

    >>> lead = Visitor("p-1", "north", "UTC", rights=frozenset({"history-read"}))
    >>> history_of("/at/north/bench/loads/l-1", lead), history_of("/at/north/bench/loads", lead)
    ('/at/north/history/load/l-1', '')
    >>> history_of("/at/north/sign-offs/people/p-2", lead)
    ''
    """
    home = f"/at/{visitor.department}"
    within = path.removeprefix(home)
    if within == _OWN:
        return f"{home}/history/mine"
    if not visitor.may(READ) or within == path:
        return ""
    for pattern, noun in _PAGES:
        found = pattern.fullmatch(within)
        if found and (noun != "person" or visitor.may(OF_PEOPLE)):
            return f"{home}/history/{noun}/{found[1]}"
    return ""

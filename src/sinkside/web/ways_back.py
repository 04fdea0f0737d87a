"""Ways back from an act's address: whoever loads it again finds the page that its form stands on.

A form that was refused is shown again at the address that it was sent to. An address of acts alone would
answer a reload, a bookmark or a typed address with an error.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

from sinkside.web.screen import Declared, Screen, View

_NAME = re.compile(r"{(\w+)}")


@dataclass(frozen=True)
class WaysBack:
    """The page of each act whose address answers no GET, by their addresses with names in braces."""

    pages: dict[str, str]

    @classmethod
    def of(cls, screens: Iterable[Screen]) -> Self:
        """The ways of some screens: to the page that an act declares, else to the nearest above it."""
        declared = [one for screen in screens for one in screen.declared]
        answered = {one.path for one in declared if one.kind != "act"}
        pages: dict[View | None, str] = {one.view: one.path for one in declared if one.kind == "page"}
        return cls(
            {
                one.path: _page_of(one, pages)
                for one in declared
                if one.kind == "act" and one.path not in answered
            }
        )

    def leading(self, path: str, query: str = "") -> str:
        """Where an act's address leads, with whatever its query says; nothing where it is none.

        >>> back = WaysBack({"/sets/{key}/strike": "/sets/{key}"})
        >>> back.leading("/sets/s-1/strike", "size=a4"), back.leading("/sets/s-1")
        ('/sets/s-1?size=a4', '')
        """
        for act, page in sorted(self.pages.items(), key=lambda one: one[0].count("{")):
            if found := re.fullmatch(_NAME.sub(r"(?P<\1>[^/]+)", act), path):
                return page.format(**found.groupdict()) + (f"?{query}" if query else "")
        return ""


def _page_of(act: Declared, pages: dict[View | None, str]) -> str:
    if act.page in pages:
        return pages[act.page]
    above = [path for path in pages.values() if act.path.startswith(f"{path}/")]
    return max(above, key=len, default="/")

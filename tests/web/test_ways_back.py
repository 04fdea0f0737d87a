"""Ways back: no act's address is a dead end for whoever loads it again."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

import pytest

from sinkside.web.app import find_screens
from sinkside.web.ways_back import WaysBack
from web.conftest import House

SCREENS = find_screens()
DECLARED = [declared for screen in SCREENS for declared in screen.declared]
ACTS = [declared for declared in DECLARED if declared.kind == "act"]
ANSWERED = {declared.path for declared in DECLARED if declared.kind != "act"}
PAGES = {declared.path for declared in DECLARED if declared.kind == "page"}


def filled(path: str) -> str:
    """An address with something in the place of each name; the department is the lead's."""
    return re.sub(r"{(\w+)}", lambda name: "valley" if name[1] == "department" else "x-1", path)


@pytest.mark.parametrize("path", sorted({act.path for act in ACTS}))
def test_loading_an_acts_address_leads_to_a_page(house: House, path: str) -> None:
    """A GET answers itself, or leads to the page that the form stands on, and takes its query along."""
    answer = house.caller("lead").get(f"{filled(path)}?size=a4")
    if path in ANSWERED:
        assert answer.status_code != 405
        return
    assert answer.status_code == 303
    target = urlsplit(answer.headers["location"])
    assert target.query == "size=a4"
    assert target.path in {filled(page) for page in PAGES} | {"/"}


def test_every_page_that_a_form_names_can_be_reached_from_its_acts_address() -> None:
    """A page's address asks for no name that the act's address has not."""
    back = WaysBack.of(SCREENS).pages
    lost = [
        (path, page)
        for path, page in back.items()
        if not set(re.findall(r"{\w+}", page)) <= set(re.findall(r"{\w+}", path))
    ]
    assert lost == []
    assert sum(page == "/" for page in back.values()) <= 4

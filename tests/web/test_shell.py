"""The head of every page: places in one row while they are few, in groups with a second row where not."""

from __future__ import annotations

import re
from typing import Final

from sinkside.web.app import find_screens
from sinkside.web.screen import GROUPS
from web.conftest import House

_NAV: Final = re.compile(r'<nav class="places".*?</nav>', re.DOTALL)
_LINKS: Final = re.compile(r'<a href="([^"]+)"( aria-current="(?:page|true)")?>([^<]+)</a>')


def _rows(house: House, name: str, path: str) -> list[list[tuple[str, str, str]]]:
    """The rows of places in the head of a page: address, whether it is open, and words."""
    nav = _NAV.search(house.caller(name).get(path).text)
    assert nav is not None
    return [_LINKS.findall(row) for row in nav[0].split("</ul>")[:-1]]


def test_every_place_belongs_to_a_group_that_there_is() -> None:
    """No screen puts its place into a group that the head of the page does not show."""
    navs = [one.nav for screen in find_screens() for one in screen.declared if one.nav is not None]
    assert len(navs) > 15
    assert {nav.group for nav in navs} == set(GROUPS)
    assert len({nav.order for nav in navs}) == len(navs)


def test_many_places_stand_in_groups_and_the_open_one_shows_its_own(house: House) -> None:
    """A lead sees six words; below stand the places of the group that is open, with the open one marked."""
    groups, within = _rows(house, "lead", "/at/valley/solutions")
    assert [words for _, _, words in groups] == list(GROUPS.values())
    assert [words for _, here, words in groups if here] == ["Machines"]
    assert [words for _, here, words in within if here] == ["Solutions"]
    assert len(within) > 3


def test_few_places_stand_in_one_row(house: House) -> None:
    """Whoever may enter only a few places has each of them before them, without a second row."""
    (row,) = _rows(house, "theatre", "/at/valley/today")
    assert 2 < len(row) < 10
    assert [words for _, here, words in row if here] == ["Today"]


def test_every_place_of_every_group_is_in_the_menu(house: House) -> None:
    """On a narrow screen nothing is out of reach: the menu names each place that the rows lead to."""
    text = house.caller("lead").get("/at/valley/today").text
    menu = text[text.index('<details class="menu">') : text.index("</details>")]
    offered = {words for _, _, words in _LINKS.findall(menu)}
    assert {"Today", "Bench", "Fit", "Languages", "Cycles", "Sign-offs", "Recalls", "Record book"} <= offered

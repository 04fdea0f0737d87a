"""A device rolled out to a shift: learnt, watched on a tablet by keyboard alone, proved to an auditor."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Visit, Visiting

_BADGE = "badge of Milan 4471"


def _press_to(page: Page, name: str, role: str = "button") -> None:
    """Walk on by the Tab key until a control of that name has the focus, as a person without a mouse does."""
    wanted = page.get_by_role(role, name=name, exact=True)  # type: ignore[arg-type]
    for _ in range(120):
        page.keyboard.press("Tab")
        if wanted.evaluate_all("all => all.includes(document.activeElement)"):
            return
    raise AssertionError(f"the keyboard does not reach the {role} {name}")


def _begin(window: Visit, device: str, trainee: str, station: str) -> Page:
    """Begin an observation by keyboard alone."""
    page = window.go("/at/valley/observing")
    _press_to(page, "Which device is worked on?", "combobox")
    page.keyboard.type(device)
    _press_to(page, "Begin an observation")
    with page.expect_navigation(url=re.compile("/observing/new")):
        page.keyboard.press("Enter")
    _press_to(page, "Who is watched?", "combobox")
    page.keyboard.type(trainee)
    place = page.get_by_role("radio", name=station, exact=True)
    page.keyboard.press("Tab")
    for _ in range(9):
        if place.evaluate("one => one === document.activeElement && one.checked"):
            break
        page.keyboard.press(
            "Space" if place.evaluate("one => one === document.activeElement") else "ArrowDown"
        )
    _press_to(page, "Begin")
    with page.expect_navigation(url=re.compile("/observing/o-")):
        page.keyboard.press("Enter")
    return page


def _mark(page: Page, point: str, mark: str) -> None:
    """Mark one point by keyboard, and wait until the house kept it."""
    button = page.get_by_role("group", name=re.compile(rf"^\d+ {point}")).get_by_role(
        "button", name=re.compile(mark)
    )
    for _ in range(120):
        if button.evaluate("one => one === document.activeElement"):
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-pressed", "true")


def _watched(window: Visit, trainee: str) -> Page:
    """Milan at the sink: everything done but the soak, which is critical and was too short."""
    page = _begin(window, "Sandpiper", trainee, "Sink")
    for point, mark in (
        ("Wears gloves", "Done"),
        ("Take it apart", "Done"),
        ("Soak it", "Missed"),
        ("Brush the lumen", "Done"),
        ("Flush the lumen", "Done"),
    ):
        _mark(page, point, mark)
    return page


def test_a_missed_critical_point_keeps_somebody_supervised(visit: Visiting) -> None:
    """By keyboard on a tablet at 768 px: each mark is kept at once, and independent work is not offered."""
    window = visit(screen="tablet")
    window.sign_in("educator")
    page = _watched(window, "Milan")
    expect(page.get_by_text("4 of 5 seen done; 1 critical missed.")).to_be_visible()
    offered = page.get_by_role("group", name="They may work").get_by_role("radio")
    assert [one.get_attribute("value") for one in offered.all()] == ["supervised", "not-yet"]
    points = page.get_by_role("list", name="Points").aria_snapshot()
    assert re.findall(r'group "(\d)', points) == ["1", "2", "3", "4", "5"]
    assert points.count("button") == 15
    assert points.count("textbox") == 5
    sizes = page.locator("button.mark").evaluate_all("all => all.map(one => one.offsetHeight)")
    assert min(sizes) >= 44
    assert window.violations() == []
    assert not window.overflows()
    page.reload()
    soak = page.get_by_role("group", name=re.compile(r"^\d+ Soak"))
    expect(soak.get_by_role("button", name=re.compile("Missed"))).to_have_attribute("aria-pressed", "true")


def _learnt_by_badge(manager: Visit, teacher: Visit) -> None:
    """Milan gets a badge, and scans it into the lesson of the roll-out."""
    page = manager.sign_in("administrator")
    manager.go("/at/valley/people")
    page.get_by_role("link", name="Milan Petrov").press("Enter")
    page.get_by_label("Badge for shared tablets").fill(_BADGE)
    page.keyboard.press("Enter")
    expect(page.get_by_text("badge given")).to_be_visible()
    page = teacher.sign_in("educator")
    teacher.go("/at/valley/roll-outs")
    page.get_by_role("link", name="Sandpiper").press("Enter")
    expect(page.get_by_text("2 of 8", exact=False).first).to_be_visible()
    _press_to(page, "Scan badges into a lesson", "link")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    teacher.waits_at("badge")
    page.keyboard.type(_BADGE)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Milan Petrov is at the lesson.")).to_be_visible()
    assert teacher.violations() == []


def _answered(learner: Visit) -> None:
    """Milan answers one question of his own day."""
    page = learner.sign_in("technician")
    learner.go("/at/valley/learning")
    answers = page.get_by_role("radio")
    for _ in range(60):
        page.keyboard.press("Tab")
        if answers.evaluate_all("all => all.includes(document.activeElement)"):
            break
    page.keyboard.press("Space")
    _press_to(page, "Answer")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert learner.violations() == []


def _signed_by_both(teacher: Visit) -> None:
    """Supervised, signed by the educator, then by Milan's badge on the same tablet."""
    page = teacher.page
    _press_to(page, "Supervised: with somebody beside who works alone here", "radio")
    page.keyboard.press("Space")
    _press_to(page, "Sign as Edda Brandt")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    _press_to(page, "Scan your badge", "textbox")
    page.keyboard.type(_BADGE)
    page.keyboard.press("Enter")
    expect(page.get_by_text("Both have signed: supervised.")).to_be_visible()


@pytest.mark.long
def test_a_device_is_rolled_out_learnt_answered_watched_and_proved(visit: Visiting) -> None:
    """A badge takes the lesson, both sign on the tablet, one stays supervised, the auditor reads it all."""
    teacher, auditor = visit(screen="tablet"), visit()
    _learnt_by_badge(visit(), teacher)
    _answered(visit())
    _watched(teacher, "Milan")
    _signed_by_both(teacher)
    page = auditor.sign_in("auditor")
    auditor.go("/at/valley/proof")
    page.get_by_role("link", name="Milan Petrov").press("Enter")
    expect(page.get_by_role("cell", name=re.compile("^[01] of 1$"))).to_be_visible()
    told = page.get_by_role("main").aria_snapshot()
    order = [
        told.index(f'heading "{name}') for name in ("Milan Petrov", "Sign-offs", "Observations", "Lessons")
    ]
    assert order == sorted(order)
    expect(page.get_by_role("row", name=re.compile("tubular instruments Sink .*Supervised"))).to_be_visible()
    page.get_by_role("link", name=re.compile("Sandpiper.*sink")).press("Enter")
    expect(page.get_by_role("row", name=re.compile("Soak it.*Critical Missed"))).to_be_visible()
    assert auditor.violations() == []

"""Cycles in a browser: handed in, looked at closely by hand and by keyboard alone, decided by name."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import pytest
from playwright.sync_api import Page, expect

from browser.conftest import Look, Visit, Visiting
from sinkside import documents
from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Program

PROGRAM: Final = "Sterilizer 1: 134 °C, 3 min"
CYCLE: Final = re.compile(r"/at/valley/cycles/c-\w+$")
STEAM: Final = {
    "kind": "steam-prevacuum",
    "name": "134 °C, 3 min",
    "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3 min"},
    "air_removal": {"pulses": 3, "vacuum": "15 kPa"},
    "drying": {"time": "15 min", "vacuum": "10 kPa"},
}


@pytest.fixture(scope="session")
def tapes(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Recorder files: one that meets the program, one whose exposure was too short."""
    folder = tmp_path_factory.mktemp("tapes")
    program = documents.validate(Program, STEAM, resource="program")
    made = {}
    for kind in ("normal", "short-exposure"):
        made[kind] = folder / f"{kind}.csv"
        write_recorder_file(simulate(program, kind, seed=3), made[kind])
    return made


def _hand_in(window: Visit, *files: Path) -> Page:
    page = window.go("/at/valley/cycles/new")
    page.set_input_files("#files", [str(file) for file in files])
    page.select_option("#program", label=PROGRAM)
    with page.expect_navigation():
        page.get_by_role("button", name="Judge").click()
    return page


def _opened(window: Visit, tape: Path, *, who: str = "lead") -> Page:
    """A cycle that was just handed in; its record is ready to be looked at."""
    window.sign_in(who)
    page = _hand_in(window, tape)
    expect(page).to_have_url(CYCLE)
    page.wait_for_selector(".record[data-from]")
    return page


def _span(page: Page) -> tuple[float, float]:
    record = page.locator(".record")
    return float(record.get_attribute("data-from") or 0), float(record.get_attribute("data-to") or 0)


def _wait_for_another(page: Page, before: tuple[float, float]) -> tuple[float, float]:
    page.wait_for_function(
        "([from, to]) => { const at = document.querySelector('.record').dataset;"
        " return Number(at.from) !== from || Number(at.to) !== to; }",
        arg=list(before),
    )
    return _span(page)


@pytest.mark.parametrize("screen", ["desktop", pytest.param("tablet", marks=pytest.mark.long)])
def test_buttons_wheel_and_drag_look_closer(visit: Visiting, tapes: dict[str, Path], screen: str) -> None:
    """Each way of looking closer narrows the stretch that is shown; one button shows all again."""
    page = _opened(visit(screen=screen), tapes["normal"])
    whole = _span(page)
    page.get_by_role("link", name="Closer").click()
    closer = _wait_for_another(page, whole)
    assert closer[1] - closer[0] == pytest.approx((whole[1] - whole[0]) / 2, rel=0.02)
    page.get_by_role("link", name="Whole cycle").click()
    assert _wait_for_another(page, closer) == pytest.approx(whole)
    page.locator("[data-drawn]").scroll_into_view_if_needed()
    box = page.locator("[data-drawn]").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + 120)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.5, box["y"] + 140, steps=4)
    page.mouse.up()
    dragged = _wait_for_another(page, whole)
    assert dragged[1] - dragged[0] == pytest.approx(0.22 * (whole[1] - whole[0]), rel=0.25)
    page.locator("[data-drawn]").focus()
    page.mouse.wheel(0, -100)
    wheeled = _wait_for_another(page, dragged)
    assert wheeled[1] - wheeled[0] < dragged[1] - dragged[0]


def test_values_are_read_at_the_pointer(visit: Visiting, tapes: dict[str, Path]) -> None:
    """Pointing at the exposure names the phase, the moment, and each channel's value with its unit."""
    page = _opened(visit(), tapes["normal"])
    page.locator("[data-drawn]").scroll_into_view_if_needed()
    exposure = page.locator("[data-drawn] .phase.judged").bounding_box()
    assert exposure is not None
    page.mouse.move(exposure["x"] + exposure["width"] / 2, exposure["y"] + 20)
    values = page.locator("[data-values]")
    expect(values).to_contain_text("exposure")
    assert re.search(r"13[45]\.\d °C", values.inner_text())
    assert re.search(r"3\d\d\.\d kPa", values.inner_text())


def test_the_record_is_read_by_keyboard_alone(visit: Visiting, tapes: dict[str, Path]) -> None:
    """Tab reaches the record; + − 0 and the arrows look closer, wider, at all, and read what is spoken."""
    page = _opened(visit(), tapes["normal"])
    page.get_by_role("link", name="Whole cycle").focus()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.hasAttribute('data-drawn')")
    whole = _span(page)
    page.keyboard.press("+")
    closer = _wait_for_another(page, whole)
    page.keyboard.press("PageDown")
    later = _wait_for_another(page, closer)
    assert later[0] > closer[0]
    page.keyboard.press("-")
    _wait_for_another(page, later)
    page.keyboard.press("ArrowRight")
    announced = page.locator("[data-announced]")
    expect(announced).to_contain_text("°C")
    before = announced.inner_text()
    page.keyboard.press("Shift+ArrowRight")
    expect(announced).not_to_have_text(before)
    wide = _span(page)
    page.keyboard.press("0")
    if wide != whole:
        assert _wait_for_another(page, wide) == pytest.approx(whole)


@pytest.mark.parametrize("screen", ["desktop", pytest.param("tablet", marks=pytest.mark.long)])
def test_deciding_against_the_verdict_by_keyboard(
    visit: Visiting, tapes: dict[str, Path], screen: str
) -> None:
    """Released without a reason is refused; with one it stands by name, against the verdict."""
    page = _opened(visit(screen=screen), tapes["short-exposure"])
    expect(page.locator(".verdict")).to_contain_text("Fails")
    page.get_by_role("button", name="Release").focus()
    with page.expect_navigation():
        page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("reason")
    page.locator("#reason").focus()
    page.keyboard.type("Second recorder of the same cycle shows 3 min 20 s")
    page.keyboard.press("Tab")
    with page.expect_navigation(url=CYCLE):
        page.keyboard.press("Enter")
    decision = page.locator(".decision")
    expect(decision).to_contain_text("Released by Tove Rasmussen")
    expect(decision).to_contain_text("against the verdict")
    expect(decision).to_contain_text("Second recorder")


def test_files_are_dropped_on_the_field(visit: Visiting, tapes: dict[str, Path]) -> None:
    """Files dropped with the mouse are those that the form sends."""
    window = visit()
    window.sign_in("technician")
    page = window.go("/at/valley/cycles/new")
    page.evaluate(
        """text => {
          const carried = new DataTransfer();
          carried.items.add(new File([text], "dropped.csv", { type: "text/csv" }));
          const zone = document.querySelector("[data-drop]");
          zone.dispatchEvent(new DragEvent("drop", { dataTransfer: carried, cancelable: true }));
        }""",
        tapes["normal"].read_text("utf-8"),
    )
    expect(page.locator("[data-chosen]")).to_contain_text("dropped.csv")
    page.select_option("#program", label=PROGRAM)
    page.get_by_role("button", name="Judge").click()
    expect(page.locator(".verdict")).to_contain_text("Meets")


def test_many_files_are_judged_as_a_job(visit: Visiting, tapes: dict[str, Path], tmp_path: Path) -> None:
    """Many files lead to where one sees how far they are, and from there to the list with their verdicts."""
    many = []
    for number in range(6):
        many.append(tmp_path / f"batch-{number}.csv")
        many[-1].write_bytes(tapes["normal"].read_bytes())
    window = visit()
    window.sign_in("lead")
    page = _hand_in(window, *many)
    page.get_by_role("link", name="See what came of it").click(timeout=60_000)
    page.get_by_label("File name has").fill("batch-")
    page.get_by_role("search").get_by_role("button").click()
    expect(page.locator(".cycle-list > li")).to_have_count(6)
    expect(page.locator(".cycle-list .level").first).to_contain_text("Meets")


def test_a_cycle_is_read_and_decided_without_script(visit: Visiting, tapes: dict[str, Path]) -> None:
    """Without script the record is drawn, one looks closer by links, and a decision is made."""
    window = visit(script=False)
    window.sign_in("lead")
    page = _hand_in(window, tapes["normal"])
    assert page.locator(".plot").count() == 1
    page.get_by_role("link", name="Closer").click()
    page.get_by_role("link", name="Closer").click()
    expect(page).to_have_url(re.compile(r"/trace\?start="))
    page.get_by_role("link", name="The cycle and its verdict").click()
    page.fill("#reason", "Strips and packs were looked at")
    page.get_by_role("button", name="Release").click()
    expect(page.locator(".decision")).to_contain_text("Released by Tove Rasmussen")


def test_paper_shows_the_whole_cycle_with_its_verdict(visit: Visiting, tapes: dict[str, Path]) -> None:
    """Printed while somebody looks closely: whole record, verdict, criteria, decision, sources, caution."""
    page = _opened(visit(), tapes["short-exposure"])
    whole = _span(page)
    page.locator("[data-drawn]").focus()
    page.keyboard.press("+")
    _wait_for_another(page, whole)
    page.emulate_media(media="print")
    expect(page.locator(".printed .plot")).to_be_visible()
    for unwanted in (".tools", "[data-drawn]", "[data-values]", "#reason", ".places"):
        expect(page.locator(unwanted)).to_be_hidden()
    for wanted in (".verdict", "#criteria-title", "#decision-title", ".foot p", ".finding .facts"):
        expect(page.locator(wanted).first).to_be_visible()


#: Looked at in the longer hunt.
DESKS: Final = (("tablet", "light"), ("desktop", "light"), ("desktop", "dark"))


@pytest.mark.parametrize(
    ("screen", "look"),
    [
        ("phone", "light"),
        *(pytest.param(*one, marks=pytest.mark.long) for one in DESKS),
    ],
)
def test_pages_of_cycles_are_open_to_everybody(
    visit: Visiting, tapes: dict[str, Path], screen: str, look: Look
) -> None:
    """No page of cycles breaks WCAG 2.2 A or AA, with everything unfolded, and none scrolls sideways."""
    window = visit(screen=screen, look=look)
    page = _opened(window, tapes["short-exposure"])
    where = page.url.removeprefix(window.house.address)
    for address in (where, f"{where}/trace", "/at/valley/cycles?shown=all", "/at/valley/cycles/new"):
        window.go(address)
        page.evaluate("document.querySelectorAll('main details').forEach(one => { one.open = true; })")
        assert window.violations() == [], address
        assert not window.overflows(), address


def test_on_a_phone_the_decision_is_in_sight(visit: Visiting, tapes: dict[str, Path]) -> None:
    """On a phone what may be decided begins within the first screen and a half, above the record."""
    page = _opened(visit(screen="phone"), tapes["normal"])
    decision, record = page.locator("#decision").bounding_box(), page.locator(".record").bounding_box()
    assert decision is not None
    assert record is not None
    assert decision["y"] < 1.5 * 740
    assert decision["y"] + decision["height"] <= record["y"]


def test_the_program_that_ran_is_chosen_and_a_second_one_explained(
    visit: Visiting, tapes: dict[str, Path]
) -> None:
    """Nothing is sent before a program is chosen; the same file under a second one asks for a reason."""
    window = visit()
    window.sign_in("technician")
    page = _hand_in(window, tapes["short-exposure"])
    page.wait_for_url(CYCLE)
    window.go("/at/valley/cycles/new")
    page.set_input_files("#files", str(tapes["short-exposure"]))
    page.get_by_role("button", name="Judge").click()
    assert page.url.endswith("/new")
    assert page.evaluate("document.querySelector('#program').matches(':invalid')")
    page.select_option("#program", label="Sterilizer 2: 121 °C, 20 min")
    page.get_by_role("button", name="Judge").click()
    expect(page.get_by_role("alert")).to_contain_text("judged here before by another program")
    page.set_input_files("#files", str(tapes["short-exposure"]))
    page.get_by_label("Why it is judged by this one too").fill("The print says sterilizer 2")
    page.get_by_role("button", name="Judge").click()
    expect(page.locator(".same-file")).to_contain_text("judged by another program too")
    page.locator(".same-file a").first.click()
    expect(page.locator(".same-file")).to_contain_text("The print says sterilizer 2")
    assert window.violations() == []

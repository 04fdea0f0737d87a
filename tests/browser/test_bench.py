"""The bench in a browser at tablet size, by scanner alone, with the network away in the middle."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from browser.conftest import RULES
from browser.scanning import SMALLEST_PX, TOO_SMALL, Scanner
from sinkside.bench.run import Place, Run
from support.bench_house import CODES, bench_house
from support.bench_served import ServedBench
from support.load_house import washed

_QUEUES: Final = 60

_TRIALS: Final = """async ([source, seeds]) => {
  const { Queue } = await import("/static/bench_queue.js");
  const { trial } = await import(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
  return Promise.all(Array.from({ length: seeds }, (_, seed) => trial(seed + 1, Queue)));
}"""


@pytest.fixture(scope="module")
def served() -> Iterator[ServedBench]:
    """The house of the bench, with two sets that came back used."""
    with ServedBench(bench_house()).serving() as house:
        for code in CODES[:2]:
            house.now()
            house.bench.done("tom", "arrive", code=code)
        yield house


@pytest.fixture
def scanner(chromium: Browser, served: ServedBench) -> Iterator[Scanner]:
    """Tom, who works alone on tubes, before a tablet held across."""
    context = chromium.new_context(viewport={"width": 1024, "height": 768}, reduced_motion="reduce")
    person = Scanner(context.new_page(), served, [])
    person.signs_in("tom")
    person.listens()
    yield person
    context.close()
    assert person.complaints == []


def _run_of(served: ServedBench, code: str) -> Run:
    with served.bench.house.archive.unit(writes=False) as unit:
        copy = unit.bench.copies.by_code("north", code)
        assert copy is not None
        kept = unit.bench.runs.get(copy.run)
        assert kept is not None
        return Run.model_validate_json(kept.body)


def _violations(page: Page) -> list[str]:
    found = Axe().run(page, options={"runOnly": list(RULES)}).response["violations"]
    return [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found]


def _looks_right(page: Page) -> None:
    """Nothing is too small for a glove, too wide for the tablet, or against WCAG in light and dark."""
    assert page.evaluate(TOO_SMALL, SMALLEST_PX) == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    assert _violations(page) == []
    page.emulate_media(color_scheme="dark")
    assert _violations(page) == []
    page.emulate_media(color_scheme="light")


def test_a_tray_by_scanner_alone_with_the_network_away(scanner: Scanner, served: ServedBench) -> None:
    """One soaks while the next is taken up without the network; all arrives in order; one is packed.

    What somebody else did meanwhile is refused, and stands there until it was seen.
    """
    scanner.at("sink")
    scanner.scan("NONE")
    scanner.scan("TAP DONE")  # at once, before anybody knows that there is no such set
    scanner.sees("DONE was not taken, as no set was opened")
    scanner.scan(CODES[0])
    scanner.sees("is at the sink")
    _looks_right(scanner.page)
    scanner.scan("TAP BEGIN")
    expect(scanner.page.locator(".here [data-left]")).to_be_visible()
    _take_up_without_the_network(scanner, served)
    run = _run_of(served, CODES[1])
    assert (run.place, len(run.done), len(run.timers)) == (Place.at_sink, 1, 1)
    served.later(11)
    scanner.at("sink")
    scanner.scan(CODES[0])
    scanner.sees("All of it done at the sink")
    scanner.scan("TAP FINISH")
    scanner.sees("Nothing is left to do here")
    washed(served.bench, CODES[0])
    _inspect_and_pack(scanner, served)
    assert _run_of(served, CODES[0]).place is Place.packed
    first = ["SET-1", "TAP BEGIN", "SET-1", "TAP FINISH", "SET-1", "TAP FINISH", "TAP PACK"]
    others = ["NONE", "TAP DONE", CODES[1], "TAP DONE", "TAP BEGIN"]
    assert sorted(scanner.scans) == sorted([*first, *others])
    print(f"scans of one tray at sink, clean side and packing: {len(first)}, {', '.join(first)}")  # noqa: T201


def _take_up_without_the_network(scanner: Scanner, served: ServedBench) -> None:
    scanner.page.wait_for_timeout(900)  # what is near is fetched meanwhile
    scanner.page.context.set_offline(True)
    scanner.scan(CODES[1])
    scanner.sees("1 tap kept here")
    task = scanner.page.locator("li.now").get_attribute("data-task")
    scanner.scan("TAP DONE")
    expect(scanner.page.locator("li.now .task-head")).to_contain_text("Soak")
    scanner.scan("TAP BEGIN")
    scanner.sees("3 taps kept here")
    assert _run_of(served, CODES[1]).place is Place.soiled
    served.now()
    served.bench.done("tia", "take-up", code=CODES[1])
    served.bench.done("tia", "finish-task", code=CODES[1], task=task)
    scanner.page.context.set_offline(False)
    refused = scanner.page.locator("[data-refused]")
    expect(refused).to_contain_text("it is done already", timeout=15_000)
    refused.get_by_role("button").click()
    scanner.settles()


def _inspect_and_pack(scanner: Scanner, served: ServedBench) -> None:
    served.later(60)
    scanner.signs_in("tom")
    scanner.at("bench")
    scanner.scan(CODES[0])
    scanner.sees("0 of 1 lines passed")
    assert scanner.page.evaluate(TOO_SMALL, SMALLEST_PX) == []
    scanner.scan("TAP FINISH")
    scanner.sees("The pack is closed")
    scanner.scan("TAP PACK")
    scanner.sees("· packed")


def test_a_queue_loses_nothing_and_doubles_nothing(chromium: Browser, served: ServedBench) -> None:
    """Through lost answers, kills and closed pages each tap is taken in once, in order."""
    page = chromium.new_page(bypass_csp=True)
    page.goto(f"{served.address}/health/live")
    source = (Path(__file__).parent / "queue_trial.js").read_text(encoding="utf-8")
    told: list[Any] = page.evaluate(_TRIALS, [source, _QUEUES])
    page.close()
    assert len(told) == _QUEUES
    for one in told:
        assert one["waiting"] == 0
        assert one["taken"] == one["tapped"]
        assert one["refused"] == sum(n % 7 == 0 for n in one["tapped"])

"""A report in a real browser: no violation of WCAG 2.2 level A or AA, light or dark (axe-core's rules)."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from playwright.sync_api import Page, sync_playwright

from sinkside.aids.report import CycleReport, DeviceReport, ReportInput, report_html
from sinkside.cycles import Trace, Verdict
from sinkside.department import Program
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.route import Route

CHROMIUM = "/usr/bin/chromium"
QUIETLY = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture
def page_file(
    forceps: Instruction,
    route: Route,
    stop_finding: Finding,
    concern_finding: Finding,
    trace: Trace,
    verdict: Verdict,
    program: Program,
    tmp_path: Path,
) -> Path:
    """A report with everything that one can hold."""
    devices = (
        DeviceReport(forceps, (stop_finding, concern_finding), route),
        DeviceReport(forceps, (), route.model_copy(update={"conflicts": (stop_finding,), "resolved": False})),
    )
    report = ReportInput(
        title="November",
        printed="2026-11-25",
        department="Sable Bay Hospital",
        devices=devices,
        cycles=(CycleReport(verdict, trace, program),),
    )
    file = tmp_path / "report.html"
    file.write_text(report_html(report), encoding="utf-8")
    return file


def test_no_barrier_in_light_or_dark(page_file: Path) -> None:
    """The rules find nothing in the report, and do find the barrier of a page that has one."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIETLY)
        found = {}
        for scheme in ("light", "dark"):
            page = browser.new_context(color_scheme=scheme).new_page()
            page.goto(page_file.as_uri())
            found[scheme] = _violations(page)
        page = browser.new_page()
        page.set_content(
            "<html lang='en'><title>x</title><p style='color:#ccc;background:#fff'>pale</p></html>"
        )
        found["pale"] = _violations(page)
        browser.close()
    assert found == {"light": [], "dark": [], "pale": ["color-contrast"]}


def _violations(page: Page) -> list[str]:
    page.evaluate(resources.files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8"))
    found: list[str] = page.evaluate(
        "levels => axe.run({runOnly: levels}).then(all => all.violations.map(one => one.id))", LEVELS
    )
    return found

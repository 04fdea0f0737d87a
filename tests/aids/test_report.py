"""Reports: complete, self-contained, safe against hostile text, readable by everyone."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import fields, replace
from html.parser import HTMLParser
from importlib import resources

import pytest
from jinja2 import Environment, nodes

from sinkside.aids.figures import shown_figures
from sinkside.aids.report import CycleReport, DeviceReport, ReportInput, report_html
from sinkside.aids.report.views import ReportPage
from sinkside.cycles import (
    Criterion,
    Trace,
    Unread,
    Verdict,
)
from sinkside.department import Program
from sinkside.findings import Finding, Level, Measure
from sinkside.instruction import Instruction
from sinkside.route import Change, Route

VOID = {"meta", "br", "link", "img", "input", "hr"}


class Page(HTMLParser):
    """A page's text, tags and whether every tag is closed by its own end."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.faults: list[str] = []
        self.pieces: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the tag; it stays open unless it is void."""
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note the tag; it closes itself."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """Close the tag; another's end is a fault."""
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)

    def handle_data(self, data: str) -> None:
        """Note the words."""
        if not self.open or self.open[-1] != "style":
            self.pieces.append(data)

    @property
    def text(self) -> str:
        """The page's words with white space folded."""
        return " ".join(" ".join(self.pieces).split())

    def all(self, tag: str) -> Iterator[dict[str, str | None]]:
        """The attributes of every element of a tag."""
        return (attributes for name, attributes in self.tags if name == tag)


def folded(text: str) -> str:
    return "".join(text.split()).replace("\u00a0", "")


@pytest.fixture
def report(
    forceps: Instruction,
    route: Route,
    stop_finding: Finding,
    concern_finding: Finding,
    verdict: Verdict,
    trace: Trace,
    program: Program,
) -> ReportInput:
    """A report over a device with a route, one without, and a cycle."""
    conflict = stop_finding.model_copy(update={"message": "No program here dries for 30 min."})
    stuck = route.model_copy(
        update={
            "resolved": False,
            "conflicts": (conflict,),
            "changes": (
                Change(sentence="Buy a second sterilizer.", resolves=("x",), size=9),
                Change(sentence="Validate 30 min of drying.", resolves=("x",), size=1),
            ),
        }
    )
    return ReportInput(
        title="November",
        printed="2026-11-25",
        department="Sable Bay Hospital",
        devices=(
            DeviceReport(forceps, (concern_finding, stop_finding), stuck),
            DeviceReport(forceps, (), route),
        ),
        cycles=(CycleReport(verdict, trace, program),),
        unread=(Unread(trace="r-9.csv", error="no column is a time"),),
    )


def test_page_is_well_formed_and_fetches_nothing(report: ReportInput) -> None:
    """Every tag is closed, no script runs, and no address stands where a browser would fetch it."""
    html = report_html(report)
    page = Page(html)
    assert not page.faults
    assert not page.open
    assert "<script" not in html
    addresses = set(re.findall(r"https?://[^\"'\s)]+", html))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    for _, attributes in page.tags:
        assert not {"src", "srcset", "action"} & set(attributes)
        assert (attributes.get("href") or "#").startswith("#")
    assert "url(" not in html
    assert "@import" not in html


def test_every_id_is_unique_and_every_reference_leads_somewhere(report: ReportInput) -> None:
    """Ids are said once; links and labels name ids that exist."""
    page = Page(report_html(report))
    ids = [attributes["id"] for _, attributes in page.tags if attributes.get("id")]
    assert len(ids) == len(set(ids))
    for _, attributes in page.tags:
        for wanted in (attributes.get("aria-labelledby") or "").split():
            assert wanted in ids
        if href := attributes.get("href"):
            assert href.removeprefix("#") in ids


@pytest.mark.parametrize(
    "hostile", ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "{{ 7*7 }}"]
)
def test_hostile_text_stays_text(report: ReportInput, hostile: str) -> None:
    """A device, a finding and a channel that hold markup are shown as the words they are."""
    device = report.devices[0]
    named = device.instruction.device.model_copy(update={"name": hostile})
    finding = device.findings[0].model_copy(update={"message": hostile, "evidence": {hostile: hostile}})
    cycle = report.cycles[0]
    channels = tuple(replace(channel, name=hostile) for channel in cycle.trace.channels)
    html = report_html(
        replace(
            report,
            title=hostile,
            devices=(
                replace(
                    device,
                    instruction=device.instruction.model_copy(update={"device": named}),
                    findings=(finding,),
                ),
            ),
            cycles=(
                replace(
                    cycle,
                    trace=replace(cycle.trace, channels=channels),
                    verdict=cycle.verdict.model_copy(update={"trace": hostile, "summary": hostile}),
                ),
            ),
        )
    )
    page = Page(html)
    assert not page.faults
    assert not list(page.all("script"))
    assert not list(page.all("img"))
    assert page.text.count(hostile) >= 6


def test_each_finding_carries_its_arithmetic_source_and_remedy(report: ReportInput) -> None:
    """Level as a word, sentence, evidence with units, quotation with its place, source as read, remedy."""
    text = Page(report_html(report)).text
    for said in (
        "Stop No recognised steam cycle runs at 143 °C.",
        "Saturation pressure 3.93 bar",
        "Temperature 143 °C, holding time 3 minutes page 5, line 14",
        "Source: A steam standard, 4.2 (quoted second-hand)",
        "What to do: Ask the maker which temperature is meant.",
        "Concern Three flushes of 20 mL exchange the lumen 12 times.",
    ):
        assert folded(said) in folded(text)


def test_evidence_that_the_sentence_already_says_is_not_said_twice(report: ReportInput) -> None:
    """Words of the evidence that stand in the message are left out of its table; numbers always stay."""
    finding = (
        report.devices[0]
        .findings[0]
        .model_copy(
            update={
                "message": "The jaw is closed for 3 min.",
                "evidence": {
                    "position": "closed",
                    "other": "sleeve back",
                    "held": Measure(value=3, unit="min"),
                },
            }
        )
    )
    device = replace(report.devices[0], findings=(finding,), route=None)
    text = Page(report_html(replace(report, devices=(device,), cycles=()))).text
    assert "Position" not in text
    assert folded("Other sleeve back") in folded(text)
    assert folded("Held 3 min") in folded(text)


def test_stops_come_before_concerns(report: ReportInput) -> None:
    """Findings are sorted by level whatever their order was."""
    text = Page(report_html(report)).text
    assert text.index("No recognised steam cycle") < text.index("Three flushes")


def test_unresolved_route_says_why_and_what_would_do(report: ReportInput) -> None:
    """Conflicts come with the changes that would remove them, the smallest first."""
    text = Page(report_html(report)).text
    assert "Why there is no route" in text
    assert text.index("Validate 30 min of drying.") < text.index("Buy a second sterilizer.")


def test_every_figure_of_the_route_is_shown(report: ReportInput, route: Route) -> None:
    """Each operation's figure stands there with its bound and unit."""
    text = folded(Page(report_html(report)).text)
    for operation in route.operations:
        for figure in shown_figures(operation):
            assert folded(figure.text) in text
            assert folded(figure.must) in text


def test_criteria_are_never_rounded_up_to_a_pass(report: ReportInput) -> None:
    """1199.96 s of 1200 s is shown as missed by 0.04 s, not as 1200 of 1200."""
    text = Page(report_html(report)).text
    assert folded("Drying time 1,200 s 1,199.96 s −0.04 s missed") in folded(text)
    assert folded("Probe spread 2 K – – not judged") in folded(text)


def test_margin_below_two_decimals_is_still_seen(report: ReportInput) -> None:
    """A criterion missed by 0.004 K shows every digit; a comfortable one shows two decimals, and K not °C."""
    cycle = report.cycles[0]
    criteria = (
        Criterion(id="coldest", required=134, measured=133.996, unit="°C", margin=-0.004, met=False),
        Criterion(id="hottest", required=137, measured=135.29444, unit="°C", margin=1.70556, met=True),
    )
    judged = replace(cycle, verdict=cycle.verdict.model_copy(update={"criteria": criteria}))
    text = folded(Page(report_html(replace(report, cycles=(judged,)))).text)
    assert folded("Coldest 134 °C 133.996 °C −0.004 K missed") in text
    assert folded("Hottest 137 °C 135.29 °C +1.71 K met") in text


def test_values_carry_what_they_rest_on(report: ReportInput) -> None:
    """F0 names its reference, its z and what the sensors' tolerance makes of it."""
    text = folded(Page(report_html(report)).text)
    assert folded("F0 62.3 min 55.5 min to 69.9 min") in text
    assert folded("reference 121.1 °C; z 10 K") in text


def test_cautions_and_unread_files_are_there(report: ReportInput) -> None:
    """The footer says who decides; a file that could not be read is listed with the reason."""
    text = Page(report_html(report)).text
    assert "The maker’s current instruction and local policy govern. Release by a qualified person." in text
    assert "not read: no column is a time" in text
    assert "limits profile eu" in text


def test_page_has_landmarks_headers_and_named_pictures(report: ReportInput) -> None:
    """Landmarks, headings without a gap, header cells with scope, and a name for every picture."""
    page = Page(report_html(report))
    tags = [tag for tag, _ in page.tags]
    assert [tags.count(tag) for tag in ("header", "main", "nav", "footer", "h1")] == [1, 1, 1, 1, 1]
    levels = [int(tag[1]) for tag in tags if re.fullmatch(r"h[1-6]", tag)]
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
    assert all(cell.get("scope") in {"row", "col"} for cell in page.all("th"))
    for picture in page.all("svg"):
        assert picture.get("aria-hidden") == "true" or picture.get("aria-labelledby")
    assert next(page.all("html"))["lang"] == "en"


def test_same_input_gives_the_same_page(report: ReportInput) -> None:
    """Nothing of the clock goes in."""
    assert report_html(report) == report_html(report)


def test_template_uses_what_the_page_has() -> None:
    """Every name that the template reads from the page is a field of the documented dataclass."""
    source = resources.files("sinkside.aids.report").joinpath("report.html.j2").read_text("utf-8")
    tree = Environment(autoescape=True).parse(source)
    used = {
        node.attr
        for node in tree.find_all(nodes.Getattr)
        if isinstance(node.node, nodes.Name) and node.node.name == "page"
    }
    assert used <= {field.name for field in fields(ReportPage)}
    assert {"devices", "cycles", "title", "style"} <= used


def _tokens(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6})", block))


def _luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2, definition; read)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("theme", [0, 1])
def test_colours_meet_contrast_aa_in_both_themes(theme: int) -> None:
    """Every text colour stands at least 4.5 to 1 against paper and shades (WCAG 2.2, 1.4.3; read)."""
    style = resources.files("sinkside.aids.report").joinpath("report.css").read_text("utf-8")
    tokens = _tokens(style.split(":root")[theme + 1])
    for front in ("ink", "soft", "accent", "stop", "concern"):
        for back in ("paper", "shade", "judged"):
            one, other = sorted((_luminance(tokens[front]), _luminance(tokens[back])), reverse=True)
            assert (one + 0.05) / (other + 0.05) >= 4.5, (front, back)


def test_record_without_probes_or_phases_still_gives_a_page(report: ReportInput) -> None:
    """A verdict that found no phase, on a record of one channel, is shown without a picture breaking."""
    cycle = report.cycles[0]
    bare = replace(cycle.trace, channels=cycle.trace.channels[2:])
    unclear = cycle.verdict.model_copy(update={"phases": (), "verdict": "unclear", "criteria": ()})
    html = report_html(replace(report, cycles=(CycleReport(unclear, bare, cycle.program),)))
    assert "Unclear" in Page(html).text
    empty = replace(cycle.trace, channels=())
    assert report_html(replace(report, cycles=(CycleReport(unclear, empty, cycle.program),)))


def test_no_stop_is_hidden_by_a_milder_finding(report: ReportInput) -> None:
    """The list of contents counts each level in words."""
    text = Page(report_html(report)).text
    assert "2 stops" in text
    assert "1 concern" in text
    assert {level.value for level in Level} == {"stop", "concern", "note"}


def test_first_screen_says_what_was_read_what_is_wrong_and_what_to_do(
    forceps: Instruction,
    route: Route,
    stop_finding: Finding,
    trace: Trace,
    verdict: Verdict,
    program: Program,
) -> None:
    """Before any table stand the counts, and the remedy of the worst finding with a way to it."""
    html = report_html(
        ReportInput(
            title="November",
            printed="2026-11-25",
            devices=(DeviceReport(forceps, (stop_finding,), route),),
            cycles=(CycleReport(verdict, trace, program),),
        )
    )
    first = Page(html[: html.index("<nav")]).text
    assert "1 instruction: 16 steps" in first
    assert "1 machine record" in first
    assert "1 stop" in first
    assert "1 cycle fails" in first
    assert "Ask the maker which temperature is meant." in first
    assert '<a href="#device-1">' in html[: html.index("<nav")]

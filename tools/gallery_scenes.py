"""What the gallery shows: each page with where it is, who looks, what is done there, and what to see."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from playwright.sync_api import Page

Size = Literal["phone", "tablet", "upright", "desktop", "wall"]
Act = Callable[[Page], object]

#: Width and height of what people hold or stand before.
SIZES: Final[dict[Size, tuple[int, int]]] = {
    "phone": (360, 780),
    "tablet": (1024, 768),
    "upright": (768, 1024),
    "desktop": (1440, 900),
    "wall": (1920, 1080),
}
_TURNED: Final[tuple[Size, ...]] = ("phone", "tablet", "upright", "desktop")
_LISTS: Final[tuple[Size, ...]] = ("phone", "tablet", "desktop", "wall")
SMALL: Final[tuple[Size, ...]] = ("phone", "tablet")
LARGE: Final[tuple[Size, ...]] = ("phone", "desktop")


@dataclass(frozen=True)
class Scene:
    """A page at a moment.

    Attributes:
        name: what its pictures are called.
        title: its heading in the gallery.
        sees: one sentence: what to see.
        address: where it is; `{name}` stands for a place of the house.
        who: who looks, by what they sign in with; empty for nobody.
        sizes: the screens.
        act: what is done on the page before the picture is taken.
        dark: whether it is also taken in the dark look, on the last of its screens.
        prints: whether it is also printed.
        house: which house it is in.
    """

    name: str
    title: str
    sees: str
    address: str
    who: str = "lead"
    sizes: Sequence[Size] = LARGE
    act: Act | None = None
    dark: bool = False
    prints: bool = False
    house: Literal["lived-in", "empty", "unopened"] = "lived-in"


def _press(words: str) -> Act:
    """Press a button by its words."""
    return lambda page: page.get_by_role("button", name=words, exact=True).first.click()


def _unfold(words: str) -> Act:
    """Unfold what is folded under some words, and look there."""

    def unfold(page: Page) -> None:
        summary = page.locator("summary", has_text=words).first
        summary.click()
        summary.scroll_into_view_if_needed()

    return unfold


def _refuse_sign_in(page: Page) -> None:
    page.fill("#name", "lead")
    page.fill("#password", "not the password")
    page.get_by_role("button", name="Sign in").click()


def _refuse_figures(page: Page) -> None:
    page.fill("#figures", "about a thumb")
    page.get_by_role("button", name="Save the correction").click()


def _approve_what_changed(page: Page) -> None:
    page.evaluate("document.querySelector('#approval [name=base]').value = 1")
    page.evaluate("document.querySelectorAll('#approval button').forEach((one) => (one.disabled = false))")
    page.locator("#approval button", has_text="Approve revision").click()


def _send_too_much(page: Page) -> None:
    with tempfile.TemporaryDirectory() as folder:
        large = Path(folder) / "too-large.pdf"
        with large.open("wb") as file:
            file.truncate(60_000_000)
        page.set_input_files("#document", large)
        page.get_by_role("button", name="Read it").click()
        page.wait_for_selector("text=too large")


def _point_at_exposure(page: Page) -> None:
    page.wait_for_selector(".record[data-from]")
    box = page.locator("[data-drawn] .phase.judged").first.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + 30)


_ONE: Final = "/at/valley/instructions"
_FORCEPS: Final = _ONE + "/{forceps}"
_STEP: Final = f"{_FORCEPS}?step={{stop-step}}#step-{{stop-step}}"

HOUSE_SCENES: Final[tuple[Scene, ...]] = (
    # The door
    Scene(
        "first-account",
        "The first start",
        "Who comes first sets up their account and the department, through the printed link.",
        "{first-account}",
        who="",
        house="unopened",
    ),
    Scene(
        "sign-in",
        "Signing in",
        "Name and password; large fields, nothing else to decide.",
        "/sign-in",
        who="",
        dark=True,
    ),
    Scene(
        "sign-in-refused",
        "Signing in, refused",
        "What was wrong stands above the form, and the name is kept.",
        "/sign-in",
        who="",
        sizes=("phone",),
        act=_refuse_sign_in,
    ),
    Scene(
        "tablet",
        "A shared tablet",
        "Badge, or name and PIN: whoever is there says so.",
        "/tablet",
        who="technician@tablet",
        sizes=SMALL,
    ),
    Scene("account", "My account", "Password, PIN, open sessions.", "/account"),
    # Today
    Scene(
        "today",
        "Today",
        "What needs this person now, worst first, and until when.",
        "/at/valley/today",
        sizes=("phone", "tablet", "upright", "desktop", "wall"),
        dark=True,
        prints=True,
    ),
    Scene(
        "today-technician",
        "Today, for a technician",
        "The same page shows each role only what it can do.",
        "/at/valley/today",
        who="technician",
        sizes=("phone",),
    ),
    Scene(
        "today-empty",
        "Today, with nothing to do",
        "An empty house says what comes first.",
        "/at/valley/today",
        sizes=LARGE,
        house="empty",
    ),
    # Instructions
    Scene(
        "instructions",
        "Instructions",
        "How each text stands, what is open, whose turn it is.",
        _ONE,
        sizes=_LISTS,
        dark=True,
        prints=True,
    ),
    Scene(
        "instructions-empty",
        "No instruction yet",
        "What to do first, and what comes of it.",
        _ONE,
        sizes=LARGE,
        house="empty",
    ),
    Scene(
        "instructions-nothing-fits",
        "Nothing fits the search",
        "What to try next.",
        f"{_ONE}?text=laryngoscope",
        sizes=("phone",),
    ),
    Scene("hand-in", "Handing in a document", "One field; a document can be dropped on it.", f"{_ONE}/new"),
    Scene(
        "reading",
        "A document being read",
        "How far the reading is; the page goes on by itself.",
        f"{_ONE}/{{reading}}/reading",
        sizes=LARGE,
    ),
    Scene(
        "reading-failed",
        "A document that could not be read",
        "One sentence why, and the way on.",
        f"{_ONE}/{{unread}}/reading",
        sizes=LARGE,
    ),
    Scene(
        "instruction",
        "An instruction",
        "The route line above; the maker's page left, the steps right; what is wrong beside its step.",
        _FORCEPS,
        sizes=_TURNED,
        dark=True,
        prints=True,
    ),
    Scene(
        "instruction-step",
        "A step and the words it came from",
        "The words are lit on the maker's page; figures large; the finding with its sum and its answers.",
        _STEP,
        sizes=_TURNED,
        dark=True,
    ),
    Scene(
        "instruction-refused",
        "A correction, refused",
        "What was typed is kept; the field says what was expected.",
        _STEP,
        sizes=LARGE,
        act=_refuse_figures,
    ),
    Scene(
        "finding",
        "Answering a finding",
        "The maker's answer is attached where the finding stands.",
        f"{_FORCEPS}?finding={{stop}}#finding-{{stop}}",
        sizes=LARGE,
        act=_unfold("Attach the maker’s answer"),
    ),
    Scene(
        "instruction-reader",
        "The same text, for a technician",
        "Who only reads sees no form.",
        _STEP,
        who="technician",
        sizes=LARGE,
    ),
    Scene(
        "not-yet",
        "Approval that has to wait",
        "Why not yet, with a way to each open stop.",
        f"{_FORCEPS}#approval",
        sizes=LARGE,
    ),
    Scene(
        "approval",
        "Approving a revision",
        "Somebody else approves, and says until when and whose turn is next.",
        f"{_ONE}/{{linnet}}#approval",
        sizes=LARGE,
    ),
    Scene(
        "confirm-current",
        "Confirming that a text is current",
        "The day has come: it is said, and one form settles it.",
        f"{_ONE}/{{orlet}}#approval",
        who="educator",
        sizes=LARGE,
        act=_unfold("Confirm that it is current"),
    ),
    Scene(
        "comparison",
        "What changed",
        "Two revisions side by side, in the trade's terms, in the order of the work.",
        f"{_ONE}/{{linnet}}/compare?after=2",
        dark=True,
        prints=True,
    ),
    Scene(
        "lumens",
        "What goes through the lumens",
        "Exchanges, speed, pressure and drying of each flush and blow; each number opens to its formula.",
        f"{_FORCEPS}/lumens",
        who="educator",
        dark=True,
    ),
    Scene(
        "poster",
        "The poster",
        "As it will hang, marked as a proof; what hangs is printed under Papers, with its code.",
        f"{_ONE}/{{orlet}}/poster?proof=true",
        sizes=(),
        prints=True,
    ),
    # Cycles
    Scene(
        "cycles",
        "Cycles",
        "What waits for a decision, worst first.",
        "/at/valley/cycles",
        sizes=_LISTS,
        dark=True,
    ),
    Scene(
        "cycles-empty",
        "No cycle yet",
        "What to do first.",
        "/at/valley/cycles",
        sizes=("phone",),
        house="empty",
    ),
    Scene(
        "cycle-hand-in",
        "Handing in recorder files",
        "Files, and the machine and program that ran.",
        "/at/valley/cycles/new",
    ),
    Scene(
        "cycle",
        "A cycle that meets its program",
        "The verdict above, the record with phases and limits, values at the cursor.",
        "{sterilizer-2-0655}",
        sizes=_TURNED,
        act=_point_at_exposure,
        dark=True,
    ),
    Scene(
        "cycle-fails",
        "A cycle that fails",
        "What is wrong stands in the verdict; a person decides, with a reason when against it.",
        "{sterilizer-2-0840}",
        sizes=LARGE,
        prints=True,
    ),
    Scene(
        "cycle-decided",
        "Decided against the verdict",
        "The decision is loud, by name, with its reason.",
        "{sterilizer-1-0931}#decision",
        sizes=LARGE,
    ),
    Scene(
        "trace",
        "The record, with its samples",
        "The drawing, and a table behind it; usable without script.",
        "{sterilizer-2-0655}/trace",
    ),
    # Record book, jobs, people
    Scene(
        "record-book",
        "Record book",
        "Everything that happened, newest first; searched, taken out, checked.",
        "/at/valley/record",
        sizes=_LISTS,
        dark=True,
        prints=True,
    ),
    Scene(
        "chain",
        "Checking the chain",
        "Whether every entry still fits the one before it.",
        "/at/valley/record/chain",
        sizes=LARGE,
    ),
    Scene("jobs", "Long work", "What runs, what came of it.", "/at/valley/jobs", who="educator", sizes=LARGE),
    Scene(
        "job",
        "One piece of long work",
        "How far it is, and a way to stop it.",
        "/at/valley/jobs/{job}",
        who="educator",
        sizes=LARGE,
    ),
    Scene(
        "job-failed",
        "Long work that failed",
        "One sentence why.",
        "/at/valley/jobs/{failed-job}",
        who="educator",
        sizes=("phone",),
    ),
    Scene(
        "people", "People", "Who has which role, and until when.", "/at/valley/people", who="administrator"
    ),
    Scene(
        "person",
        "One person",
        "Roles, badge, links, and the grave things folded away.",
        "/at/valley/people",
        who="administrator",
        act=lambda page: page.locator("tbody a", has_text="Milan").click(),
    ),
    Scene(
        "person-new",
        "Adding a person",
        "Name, roles, last day.",
        "/at/valley/people/new",
        who="administrator",
        sizes=LARGE,
    ),
    # When something is wrong
    Scene(
        "error-403",
        "Not allowed",
        "What the role does not allow, in a sentence.",
        "/at/valley/people",
        who="technician",
        sizes=LARGE,
    ),
    Scene("error-404", "Nothing here", "A way back.", "/at/valley/nowhere", sizes=LARGE, dark=True),
    Scene(
        "error-409",
        "Somebody was quicker",
        "The page as it stands now, and what was not done.",
        f"{_ONE}/{{linnet}}",
        sizes=LARGE,
        act=_approve_what_changed,
    ),
    Scene(
        "error-409-floor",
        "Not for the floor",
        "No poster while a stop is open.",
        f"{_FORCEPS}/poster",
        sizes=("phone",),
    ),
    Scene(
        "error-413",
        "Too large",
        "How much is taken at most.",
        f"{_ONE}/new",
        sizes=("phone",),
        act=_send_too_much,
    ),
    Scene("error-422", "Not understood", "What was expected.", f"{_FORCEPS}?revision=first", sizes=LARGE),
    Scene(
        "error-500",
        "Something went wrong",
        "The number under which the log has it.",
        "/gallery/crash",
        sizes=LARGE,
    ),
)

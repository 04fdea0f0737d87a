"""The gallery of papers: every paper of three demo devices, one of them in other languages and scripts."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Final

import pypdfium2
from PIL import Image

from sinkside.aids.papers import NAMES, Approval, Kind, PaperRequest, paper_pdf, specimen_pdf
from sinkside.desk import instructions, routes
from sinkside.desk.papers import DeviceFile, device_file
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.plain import LANGUAGES
from sinkside.route import Station

ROOT: Final = Path(__file__).parents[1]
DEMO: Final = ROOT / "src" / "sinkside" / "demo"
DEVICES: Final = {
    "bone-punch": DEMO / "documents" / "bone-punch.txt",
    "micro-scissors": DEMO / "data" / "instructions" / "micro-scissors.yaml",
    "modular-dissector": DEMO / "data" / "instructions" / "modular-dissector.yaml",
}
PRINTED: Final = date(2026, 11, 30).isoformat()

#: As if somebody had approved what has no open stop: a paper of a text that nobody approved is marked.
APPROVAL: Final = Approval(by="E. Brandt", on=PRINTED)

#: The first device in these languages too: other marks on letters, and two more scripts.
OTHER_LANGUAGES: Final = ("vi", "ar", "zh")
OTHER_KINDS: Final = (Kind.poster, Kind.card, Kind.protection)

#: So wide is a sheet in the gallery, in dots: what hangs on a wall is larger.
WIDTHS: Final = {Kind.poster: 760}
WIDTH: Final = 460
QUALITY: Final = 60


@dataclass
class Shown:
    """One paper in the gallery: what it is of, and the pictures of its sheets; or why there is none."""

    title: str
    pictures: list[Path] = field(default_factory=list)
    refused: str = ""


def main() -> int:
    """Set every paper, picture its sheets, and write the page that shows them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--out", type=Path, default=ROOT / "docs" / "gallery" / "papers", help="where the pictures go"
    )
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    for old in options.out.glob("*.webp"):
        old.unlink()
    shown = list(papers(options.out))
    (options.out / "README.md").write_text(page(shown), encoding="utf-8")
    print(f"{sum(len(one.pictures) for one in shown)} sheets in {options.out}", file=sys.stderr)
    return 0


def papers(folder: Path) -> Iterator[Shown]:
    """Every paper, set and pictured."""
    specimen = Shown("Every pictogram")
    specimen.pictures = pictures(specimen_pdf(), folder / "specimen", width=WIDTH)
    yield specimen
    site = routes.open_department(DEMO / "data" / "department.yaml")
    for name, path in DEVICES.items():
        device = device_file(instructions.open_instruction(path), site)
        for kind in Kind:
            yield one_paper(device, kind, "en", folder, name)
        if name == next(iter(DEVICES)):
            for language in OTHER_LANGUAGES:
                for kind in OTHER_KINDS:
                    yield one_paper(device, kind, language, folder, name)


def one_paper(device: DeviceFile, kind: Kind, language: str, folder: Path, name: str) -> Shown:
    """One paper of a device, as a proof where it is not fit for the floor."""
    shown = Shown(f"{NAMES[kind]}: {device.name}, {LANGUAGES[language]}")
    request = PaperRequest(
        instruction=device.instruction,
        printed=PRINTED,
        kind=kind,
        route=device.route,
        findings=device.findings,
        languages=(language,),
        station=Station.sink if kind is Kind.card else None,
        proof=language != "en" or not device.fit_for_the_floor,
        approval=APPROVAL if device.fit_for_the_floor else None,
    )
    try:
        pdf = paper_pdf(request)
    except (BadInput, NotForTheFloor) as refusal:
        shown.refused = refusal.message
        return shown
    stem = folder / f"{name}-{kind.value}-{language}"
    shown.pictures = pictures(pdf, stem, width=WIDTHS.get(kind, WIDTH))
    return shown


def pictures(pdf: bytes, stem: Path, *, width: int) -> list[Path]:
    """Each sheet of a PDF as a picture so many dots wide."""
    document = pypdfium2.PdfDocument(pdf)
    taken = []
    for number, sheet in enumerate(document, start=1):
        picture: Image.Image = sheet.render(scale=width / sheet.get_width()).to_pil().convert("RGB")
        taken.append(stem.with_name(f"{stem.name}-{number}.webp"))
        picture.save(taken[-1], quality=QUALITY, method=6)
    document.close()
    return taken


def page(shown: list[Shown]) -> str:
    """The page that shows them all."""
    lines = [
        "# Papers",
        "",
        "Every paper of three demo devices as printed, and one device in Vietnamese, Arabic and Chinese.",
        "Makers, devices and the department are invented. What each paper is for stands on",
        "[a page of its own](../../papers.md). Nobody reviewed the words of other languages, as they say.",
    ]
    for one in shown:
        lines += ["", f"## {one.title}", ""]
        lines += [f"Refused: {one.refused}."] if one.refused else []
        lines += [
            f"![{one.title}, sheet {number}]({picture.name})"
            for number, picture in enumerate(one.pictures, start=1)
        ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main())

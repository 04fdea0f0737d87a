"""The README's pictures, made anew from the demo's own poster and report."""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image

from sinkside.aids.fonts import font_folder
from sinkside.aids.papers import sheets

ROOT = Path(__file__).parents[1]
LARGEST_BYTES = 300_000
POSTER_WIDTH = 1000
SHOT = (900, 1270)
GUTTER = 24
PAPER = (251, 250, 247)

#: Without them the browser calls home, or will not start without a desktop.
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)


def main() -> int:
    """Make both pictures from a demo workspace."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--demo", type=Path, default=ROOT / "demo", help="the demo workspace")
    parser.add_argument("--out", type=Path, default=ROOT / "docs" / "pictures", help="where the pictures go")
    options = parser.parse_args()
    if not options.demo.is_dir():
        print(f"{options.demo}: there is no demo workspace; run `make demo` first", file=sys.stderr)
        return 2
    options.out.mkdir(parents=True, exist_ok=True)
    save(poster_picture(options.demo), options.out / "poster.png")
    save(report_picture(options.demo), options.out / "report.png")
    return 0


def poster_picture(demo: Path) -> Image.Image:
    """The demo's shortest poster without an open stop; else its shortest."""
    papers = sorted(path for path in demo.rglob("*.pdf") if "documents" not in path.parts)
    fit = [path for path in papers if "NOT FOR THE FLOOR · not approved" in text_of(path)]
    document = pypdfium2.PdfDocument(min(fit or papers, key=sheet_count))
    page = document[0]
    picture: Image.Image = page.render(scale=POSTER_WIDTH / page.get_width()).to_pil().convert("RGB")
    document.close()
    return picture


def sheet_count(paper: Path) -> tuple[int, str]:
    """How many sheets a paper has, and its name, so that the choice repeats."""
    return sheets(paper.read_bytes()), paper.name


def text_of(paper: Path) -> str:
    """The words of a paper's first sheet."""
    document = pypdfium2.PdfDocument(paper)
    text: str = document[0].get_textpage().get_text_range()
    document.close()
    return text


def report_picture(demo: Path) -> Image.Image:
    """A device with a stop, beside a judged cycle."""
    html = min(demo.rglob("*.html")).read_text(encoding="utf-8")
    devices, cycles = sections(html, "device"), sections(html, "cycle")
    stopped = [section for section in devices if 'class="finding stop"' in section]
    shots = [screenshot(alone(html, section)) for section in ((stopped or devices)[0], cycles[0])]
    width, height = SHOT
    picture = Image.new("RGB", (2 * width + GUTTER, height), PAPER)
    for index, shot in enumerate(shots):
        picture.paste(shot, (index * (width + GUTTER), 0))
    return picture


def sections(html: str, kind: str) -> list[str]:
    """The sections of a kind, in order."""
    return re.findall(rf'<section class="{kind}".*?</section>', html, re.DOTALL)


def alone(html: str, section: str) -> str:
    """A page with one section only, because a browser's picture starts at the top of a page."""
    head = html[: html.index("</head>")]
    return (
        f"{head}<style>section {{ margin-top: 0; }}</style></head><body><main>{section}</main></body></html>"
    )


def screenshot(html: str) -> Image.Image:
    """What a browser shows of a page, in the house's typeface."""
    with tempfile.TemporaryDirectory() as folder:
        fonts = Path(folder) / "fonts.conf"
        fonts.write_text(
            f"<fontconfig><dir>{font_folder()}</dir><dir>/usr/share/fonts</dir>"
            f"<cachedir>{folder}/cache</cachedir></fontconfig>",
            encoding="utf-8",
        )
        page = Path(folder) / "page.html"
        page.write_text(html, encoding="utf-8")
        shot = Path(folder) / "shot.png"
        subprocess.run(
            [
                "chromium",
                *FLAGS,
                f"--user-data-dir={folder}/profile",
                f"--window-size={SHOT[0]},{SHOT[1]}",
                f"--screenshot={shot}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
            env={**os.environ, "FONTCONFIG_FILE": str(fonts)},
            timeout=120,
        )
        with Image.open(shot) as image:
            return image.convert("RGB")


def save(picture: Image.Image, path: Path) -> None:
    """Write a picture, with fewer colours where it would be too large."""
    for colours in (256, 128, 64, 32):
        picture.quantize(colours, dither=Image.Dither.NONE).save(path, optimize=True)
        if path.stat().st_size < LARGEST_BYTES:
            break
    print(f"{path}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    sys.exit(main())

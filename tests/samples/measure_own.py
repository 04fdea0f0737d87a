"""Measure drafting and reviewing on the sample documents of our own, as text, as PDF and as scan.

python measure_own.py [--half HALF] [--as text|pdf|scan] [--command COMMAND] [--seed N] [--misses]

Counting is done by `score.py` beside this file, unchanged. HALF is open, open_pdf, aside, aside_pdf,
aside_b, fresh_c_pdf or one of fresh_a to fresh_t; it and the form may be given more than once, and
without them every half is measured as text and as PDF.
A printed document is measured as text on the text of its pages; a plain text is set into a simple PDF
first. A scan is that PDF at 200 dpi in grey, each page tilted by up to 0.7 degrees and covered with
noise, the same for the same seed. Of the halves kept aside only totals are printed.
"""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
import textwrap
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from PIL.Image import Image

HERE = Path(__file__).parent
HALVES = (
    *("open", "open_pdf", "aside", "aside_pdf", "aside_b"),
    *("fresh_a", "fresh_b", "fresh_c", "fresh_c_pdf", "fresh_d", "fresh_e", "fresh_f", "fresh_g"),
    *("fresh_h", "fresh_i", "fresh_j", "fresh_k", "fresh_l", "fresh_m", "fresh_n", "fresh_o"),
    *("fresh_p", "fresh_q", "fresh_r", "fresh_s", "fresh_t"),
)
KEPT_ASIDE = frozenset({"aside", "aside_pdf", "aside_b"})
FORMS = ("text", "pdf", "scan")

SCAN_DPI = 200
LARGEST_TILT_DEG = 0.7
_POINTS_PER_INCH = 72
_PAPER, _INK = 236, 40
_NOISE_SIGMA = 11.0
_SPECKS = 4e-4
_COLUMNS = 92
_MONOSPACE = """#set page(width: {width}pt, height: 842pt, margin: 34pt)
#show raw: set text(font: "DejaVu Sans Mono", size: 8.6pt)
#set par(leading: 0.5em)
#raw(read("page.txt"))
"""
_POINTS_PER_COLUMN = 5.18


@dataclass(frozen=True)
class Form:
    """One way of handing in the documents of one half."""

    half: str
    kind: str
    seed: int

    @property
    def is_aside(self) -> bool:
        """Whether nothing but totals may be seen."""
        return self.half in KEPT_ASIDE


def text_of(pdf: Path) -> str:
    """The text of every page of a PDF file, in the order its letters stand there."""
    import pypdfium2

    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


def _lines(text: str) -> list[str]:
    """Lines of a text that fit on a page; rows of a table and side-by-side columns are left whole."""
    fitting: list[str] = []
    for line in text.splitlines():
        is_row = "|" in line or "    " in line.strip()
        indent = " " * (len(line) - len(line.lstrip()))
        folded = textwrap.wrap(line, _COLUMNS, subsequent_indent=indent, break_on_hyphens=False)
        fitting.extend([line] if is_row or not folded else folded)
    return fitting


def set_pdf(text: str, target: Path) -> None:
    """Set a plain text into a simple PDF, as a word processor with one font would."""
    import typst

    lines = _lines(text)
    width = max(595.0, 70 + _POINTS_PER_COLUMN * max(map(len, lines), default=0))
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "page.txt").write_text("\n".join(lines), encoding="utf-8")
        source = Path(folder) / "page.typ"
        source.write_text(_MONOSPACE.format(width=round(width)), encoding="utf-8")
        typst.compile(source, output=target)


def _scanned_page(page: Image, rng: np.random.Generator) -> Image:
    """One page as a glass plate would see it: tilted, a little soft, grey paper, noise and specks."""
    import numpy as np
    from PIL import Image, ImageFilter

    tilt = float(rng.uniform(-LARGEST_TILT_DEG, LARGEST_TILT_DEG))
    tilted = page.convert("L").rotate(tilt, resample=Image.Resampling.BICUBIC, fillcolor=255)
    grey = np.asarray(tilted.filter(ImageFilter.GaussianBlur(0.6)), dtype=np.float64)
    seen = _INK + grey / 255 * (_PAPER - _INK) + rng.normal(0, _NOISE_SIGMA, grey.shape)
    specks = rng.random(grey.shape)
    seen[specks < _SPECKS / 2] = _INK
    seen[specks > 1 - _SPECKS / 2] = 255
    return Image.fromarray(seen.clip(0, 255).astype(np.uint8))


def make_scan(pdf: Path, target: Path, *, seed: int) -> None:
    """Turn a PDF into pictures of its pages, in a PDF without text.

    Args:
        pdf: the document with text.
        target: where the scan is written.
        seed: makes tilt and noise; the name of the document takes part too, so that documents differ.
    """
    import numpy as np
    import pypdfium2

    rng = np.random.default_rng([seed, zlib.crc32(pdf.stem.encode())])
    pages = [
        _scanned_page(page.render(scale=SCAN_DPI / _POINTS_PER_INCH).to_pil(), rng)
        for page in pypdfium2.PdfDocument(pdf)
    ]
    pages[0].save(target, save_all=True, append_images=pages[1:], resolution=SCAN_DPI, quality=80)


def lay_out(form: Form, folder: Path) -> int:
    """Put the documents of a half into a folder as `score.py` wants them; the number of documents."""
    truths = sorted((HERE / "own" / form.half).glob("*.json"))
    for truth in truths:
        shutil.copy(truth, folder)
        plain, printed = truth.with_suffix(".txt"), truth.with_suffix(".pdf")
        text = plain.read_text(encoding="utf-8") if plain.exists() else text_of(printed)
        (folder / plain.name).write_text(text, encoding="utf-8")
        if form.kind == "text":
            continue
        target = folder / printed.name
        if printed.exists():
            shutil.copy(printed, target)
        else:
            set_pdf(text, target)
        if form.kind == "scan":
            make_scan(target, target, seed=form.seed)
    return len(truths)


def measure(form: Form, command: str) -> dict[str, Any]:
    """What `score.py` counts on one half in one form."""
    with tempfile.TemporaryDirectory() as name:
        lay_out(form, Path(name))
        asked = [sys.executable, str(HERE / "score.py"), name, "--command", command, "--json"]
        said = subprocess.run(
            asked if form.kind == "text" else [*asked, "--pdf"], capture_output=True, text=True, check=True
        )
    counted: dict[str, Any] = json.loads(said.stdout)
    return counted


def report(form: Form, counted: dict[str, Any], *, with_misses: bool = False) -> list[str]:
    """Lines to print: the totals, and for the open halves what was missed where that is asked for."""
    documents = counted["documents"]
    totals = "  ".join(
        f"{name} {value:.3f}" if isinstance(value, float) else f"{name} {value}"
        for name, value in counted["total"].items()
    )
    lines = [f"{form.half} as {form.kind} ({len(documents)} documents): {totals}"]
    if with_misses and not form.is_aside:
        for name, row in documents.items():
            right, all_, false = row["figures"]
            stage = f"stage {row['stage'][0]}/{row['stage'][1]}"
            lines.append(f"  {name}: {stage}, figures {right}/{all_} (+{false})")
            lines += [f"    {kind}: {line}" for kind in ("missed", "noise") for line in row[kind]]
    return lines


def main(arguments: list[str] | None = None) -> int:
    """Measure the halves asked for and print what may be printed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--half", action="append", choices=HALVES)
    parser.add_argument("--as", action="append", choices=FORMS, dest="forms")
    parser.add_argument("--command", default=str(Path(sys.executable).with_name("sinkside")))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--misses", action="store_true", help="list misses and noise, of open halves only")
    asked = parser.parse_args(arguments)
    for half in asked.half or HALVES:
        for kind in asked.forms or ("text", "pdf"):
            form = Form(half, kind, asked.seed)
            lines = report(form, measure(form, asked.command), with_misses=asked.misses)
            sys.stdout.write("\n".join(lines) + "\n")
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())

"""Set the demo's invented makers' documents as PDF, always to the same bytes.

usage: python tools/demo_documents.py [FOLDER]
"""

from __future__ import annotations

import sys
from pathlib import Path

import font_source_sans_pro
import typst

SOURCES = Path(__file__).parent / "demo_documents"
COMMITTED = Path(__file__).parents[1] / "src" / "sinkside" / "demo" / "documents"
#: 2026-03-02 00:00 UTC: a fixed day, so that the files change only when their words do.
TIMESTAMP = 1_772_409_600


def set_documents(folder: Path) -> list[Path]:
    """Set every source in its PDF of the same name; answers what was written."""
    fonts = Path(font_source_sans_pro.__file__).parent / "files"
    written = []
    for source in sorted(SOURCES.glob("*.typ")):
        pdf = typst.compile(source, font_paths=[fonts], ignore_system_fonts=True, timestamp=TIMESTAMP)
        target = folder / f"{source.stem}.pdf"
        target.write_bytes(pdf)
        written.append(target)
    return written


def main() -> None:
    """Write the documents and say how large each is."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else COMMITTED
    for path in set_documents(folder):
        print(f"{path}  {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()

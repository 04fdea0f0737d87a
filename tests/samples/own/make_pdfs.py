"""Set the typst sources of the laid-out sample documents as PDF files beside them.

python make_pdfs.py [NAME.typ ...]      without names: every source of the laid-out halves

The PDF files are kept in the repository, so that measuring needs no typesetter. They carry no date, so
setting an unchanged source again gives the same pages.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
LAID_OUT = ("open_pdf", "aside_pdf", "fresh_c_pdf")


def sources() -> list[Path]:
    """Every typst source of the laid-out halves."""
    return sorted(path for half in LAID_OUT for path in (HERE / half).glob("*.typ"))


def main(names: list[str]) -> int:
    """Set the named sources, or all of them."""
    import typst

    for source in [Path(name) for name in names] or sources():
        target = source.with_suffix(".pdf")
        typst.compile(source, output=target)
        sys.stdout.write(f"{target.name}: {target.stat().st_size / 1000:.0f} kB\n")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))

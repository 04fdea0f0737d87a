"""Writes the pages of docs that are made from the program itself: `make docs`."""

from __future__ import annotations

from pathlib import Path

from sinkside.desk import pages

DOCS = Path(__file__).parents[1] / "docs"


def main() -> None:
    """Write every page that differs."""
    for name, text in pages.pages().items():
        path = DOCS / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists() or path.read_text("utf-8") != text:
            path.write_text(text, encoding="utf-8")
            print(f"wrote docs/{name}")


if __name__ == "__main__":
    main()

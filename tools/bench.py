"""Measured ratios, side by side in one run: `make bench`.

Machines are noisy, so each figure is the median of several runs beside a plain thing that took turns
with it: bare Python, reading the same file with polars, extracting the text of the same pages.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from sinkside.demo.workspace import new_workspace

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "tests" / "samples"
TRACES = SAMPLES / "traces"


@dataclass(frozen=True)
class Row:
    """One measured figure, its bar where there is one, and what it stands beside."""

    what: str
    seconds: float
    beside: str
    beside_seconds: float
    bar_seconds: float | None = None

    def __str__(self) -> str:
        bar = ""
        if self.bar_seconds is not None:
            word = "within" if self.seconds <= self.bar_seconds else "ABOVE"
            bar = f"{word} the bar of {self.bar_seconds * 1000:.0f} ms"
        ratio = self.seconds / self.beside_seconds
        return (
            f"{self.what:<42} {self.seconds * 1000:8.1f} ms   {ratio:6.1f} × {self.beside} "
            f"({self.beside_seconds * 1000:.1f} ms)   {bar}"
        )


def side_by_side(
    ours: Callable[[], object], plain: Callable[[], object], *, runs: int
) -> tuple[float, float]:
    """Median seconds of two things that take turns, after one unmeasured turn each."""
    ours()
    plain()
    taken: tuple[list[float], list[float]] = ([], [])
    for _ in range(runs):
        for clock, work in zip(taken, (ours, plain), strict=True):
            start = time.perf_counter()
            work()
            clock.append(time.perf_counter() - start)
    return median(taken[0]), median(taken[1])


def command(*arguments: str | Path) -> Callable[[], object]:
    """A run of a whole process."""
    words = [str(argument) for argument in arguments]
    return lambda: subprocess.run(words, check=True, capture_output=True)


def start_up() -> list[Row]:
    """The command from nothing: its help, and one cold verdict."""
    sinkside, bare = ROOT / ".venv/bin/sinkside", command(sys.executable, "-c", "pass")
    trace, program = TRACES / "r-009.csv", TRACES / "132-4.yaml"
    rows = []
    for what, ours, bar in (
        ("sinkside --help, whole process", command(sinkside, "--help"), 0.35),
        (
            "sinkside judge of one file, cold",
            command(sinkside, "judge", trace, "--program", program, "--json"),
            1.0,
        ),
    ):
        seconds, beside = side_by_side(ours, bare, runs=9)
        rows.append(Row(what, seconds, "bare Python", beside, bar))
    return rows


def drafting(folder: Path) -> list[Row]:
    """Drafting a document, a page, beside extracting its text."""
    import pypdfium2

    from sinkside.draft import draft
    from sinkside.draft.pages import read_pages

    rows = []
    with new_workspace(folder / "workspace") as workspace:
        for path in workspace.documents:
            if path.suffix != ".pdf":
                continue
            with pypdfium2.PdfDocument(path) as pdf:
                pages = len(pdf)

            def extract(path: Path = path) -> None:
                with pypdfium2.PdfDocument(path) as pdf:
                    for page in pdf:
                        page.get_textpage().get_text_bounded()

            seconds, beside = side_by_side(lambda path=path: draft(path), extract, runs=5)  # type: ignore[misc]
            rows.append(
                Row(f"draft, a page of {path.name}", seconds / pages, "text extraction", beside / pages)
            )
            reading, whole = side_by_side(
                lambda path=path: read_pages(path),  # type: ignore[misc]
                lambda path=path: draft(path),  # type: ignore[misc]
                runs=5,
            )
            rows.append(
                Row("  of that, reading its words and tables", reading / pages, "draft", whole / pages)
            )
    return rows


def reviewing() -> list[Row]:
    """All rules on an instruction of some forty steps, beside writing the same instruction as JSON."""
    from sinkside.draft import draft
    from sinkside.review import RULES, review

    instruction = draft(SAMPLES / "a_arthroscopy_us_bullets.txt")
    seconds, beside = side_by_side(lambda: review(instruction), instruction.model_dump_json, runs=9)
    what = f"all {len(RULES)} rules on {len(instruction.steps)} steps"
    return [Row(what, seconds, "writing it as JSON", beside, bar_seconds=0.3)]


def main() -> None:
    """Print every figure."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for row in (*start_up(), *drafting(folder), *reviewing()):
            print(row)


if __name__ == "__main__":
    main()

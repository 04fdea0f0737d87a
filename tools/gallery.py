"""The gallery: every page of the house as a picture, on each kind of screen, in the dark look, and on paper.

The house, its clock and its chance are the same each time, so that a picture changes only when its page does.
"""

from __future__ import annotations

import argparse
import io
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import uvicorn
from gallery_bench import BENCH_SCENES
from gallery_day_scenes import DAY_SCENES
from gallery_house import GalleryHouse, empty_house, lived_in_house, repeatable_chance, unopened_house
from gallery_learning import LEARNING_SCENES
from gallery_observing import OBSERVING_SCENES
from gallery_scenes import HOUSE_SCENES, SIZES, Scene, Size
from gallery_sign_offs import SIGN_OFF_SCENES
from gallery_verification import VERIFICATION_SCENES
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, FloatRect, Page, sync_playwright

from sinkside import wiring
from sinkside.settings import Settings
from sinkside.web.app import create_app
from sinkside.web.context import Context
from sinkside.web.cookies import SESSION

ROOT: Final = Path(__file__).parents[1]
CHROMIUM: Final = "/usr/bin/chromium"
FLAGS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-lcd-text",
)

SCENES: Final = (
    *HOUSE_SCENES,
    *DAY_SCENES,
    *BENCH_SCENES,
    *LEARNING_SCENES,
    *SIGN_OFF_SCENES,
    *OBSERVING_SCENES,
    *VERIFICATION_SCENES,
)

#: Longer pages are cut, because a gallery is looked through, not read.
TALLEST: Final[dict[Size, int]] = {
    "phone": 1560,
    "tablet": 1150,
    "upright": 1400,
    "desktop": 1350,
    "wall": 1080,
}
#: Pictures in the gallery are at most so wide.
WIDEST: Final = 900
QUALITY: Final = 62
MOST_BYTES: Final = 12_000_000
PAPER_DOTS_PER_INCH: Final = 54

#: What differs from run to run, and what a browser leaves out until somebody scrolls there.
_STEADY: Final = """() => {
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (walk.nextNode())
    walk.currentNode.data = walk.currentNode.data.replace(/\\b[0-9a-f]{16}\\b/g, "0123456789abcdef");
  document.styleSheets[0].insertRule(".step { content-visibility: visible !important; }");
  document.getElementById(location.hash.slice(1))?.scrollIntoView();
}"""


@dataclass(frozen=True)
class Taken:
    """A picture that was taken: of which scene, on what, and its file."""

    scene: Scene
    on: str
    file: Path


def main() -> int:
    """Take every picture and write the page that shows them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=ROOT / "docs" / "gallery", help="where the pictures go")
    parser.add_argument("--only", nargs="*", default=(), help="names of the scenes to take")
    parser.add_argument(
        "--whole", action="store_true", help="whole pages as large PNG, to be looked at closely"
    )
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    scenes = [scene for scene in SCENES if not options.only or scene.name in options.only]
    taken = take(scenes, options.out, whole=options.whole)
    if options.only or options.whole:
        return 0
    for stray in set(options.out.glob("*.webp")) - {one.file for one in taken}:
        stray.unlink()
    (options.out / "README.md").write_text(page(taken), encoding="utf-8")
    size = sum(one.file.stat().st_size for one in taken)
    print(f"{options.out}: {len(taken)} pictures, {size / 1e6:.2f} MB")
    return 0 if size <= MOST_BYTES else 1


def take(scenes: list[Scene], out: Path, *, whole: bool) -> list[Taken]:
    """Take the pictures of some scenes."""
    taken: list[Taken] = []
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        makers = {"unopened": unopened_house, "empty": empty_house, "lived-in": lived_in_house}
        for kind, make in makers.items():
            here = [scene for scene in scenes if scene.house == kind]
            if not here:
                continue
            with repeatable_chance():
                house = make(Path(folder) / kind)
                tokens = {who: _session(house, who) for who in sorted({scene.who for scene in here} - {""})}
            with served(house) as address:
                camera = Camera(browser, house, address, tokens, out, whole)
                for scene in here:
                    taken += camera.take(scene)
        browser.close()
    return sorted(taken, key=lambda one: [scene.name for scene in SCENES].index(one.scene.name))


def _session(house: GalleryHouse, who: str) -> str:
    sign_in, _, device = who.partition("@")
    return house.session(sign_in, shared_tablet=bool(device))


@contextmanager
def served(house: GalleryHouse) -> Iterator[str]:
    """Serve a house whose clock stands still."""
    context = Context(
        archive=house.archive,
        settings=Settings(address="http://sinkside.example", log_level="error"),
        clock=lambda: house.now,
        badge_key=wiring.badge_key(house.archive),
        handlers=wiring.job_handlers(),
        demo=house.folder.name == "lived-in",
    )
    app = create_app(context)
    app.add_api_route("/gallery/crash", _crash)
    server = uvicorn.Server(uvicorn.Config(app, port=0, log_level="critical"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    port = server.servers[0].sockets[0].getsockname()[1]
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join(10)


def _crash() -> None:
    raise RuntimeError("what the page of a crash shows")


@dataclass(frozen=True)
class Camera:
    """A browser before a served house."""

    browser: Browser
    house: GalleryHouse
    address: str
    tokens: dict[str, str]
    out: Path
    whole: bool

    def take(self, scene: Scene) -> list[Taken]:
        """Every picture of a scene."""
        taken = [self._screen(scene, size, dark=False) for size in scene.sizes]
        if scene.dark:
            taken.append(self._screen(scene, _dark_size(scene), dark=True))
        if scene.prints:
            taken.append(self._paper(scene))
        print(f"{scene.name}: {', '.join(one.on for one in taken)}", flush=True)
        return taken

    def _screen(self, scene: Scene, size: Size, *, dark: bool) -> Taken:
        width, height = SIZES[size]
        with self._window(scene, width, height, dark=dark) as page:
            self._go(page, scene)
            tall = page.evaluate("document.documentElement.scrollHeight")
            wide = page.evaluate("document.documentElement.scrollWidth")
            if wide > width:
                print(f"{scene.name}: {wide - width} px too wide on {size}", file=sys.stderr)
            scrolled = bool(page.evaluate("scrollY > 0")) and not self.whole
            height = tall if self.whole else min(tall, TALLEST[size])
            cut = FloatRect(x=0, y=0, width=width, height=height)
            shot = page.screenshot(
                full_page=not scrolled, clip=None if scrolled else cut, animations="disabled", caret="hide"
            )
        on = f"{size}-dark" if dark else size
        return Taken(scene, on, self._keep(Image.open(io.BytesIO(shot)), f"{scene.name}-{on}"))

    def _paper(self, scene: Scene) -> Taken:
        with self._window(scene, *SIZES["desktop"], dark=False) as page:
            if scene.sizes:
                self._go(page, scene)
                data = page.pdf(
                    format="A4", margin={"top": "12mm", "bottom": "12mm", "left": "12mm", "right": "12mm"}
                )
            else:
                answer = page.context.request.get(self._place(scene))
                assert answer.ok, answer.text()
                data = answer.body()
        dots = 110 if self.whole else PAPER_DOTS_PER_INCH
        return Taken(
            scene,
            "paper",
            self._keep(_sheets(data, dots, most=9 if self.whole else 2), f"{scene.name}-paper"),
        )

    @contextmanager
    def _window(self, scene: Scene, width: int, height: int, *, dark: bool) -> Iterator[Page]:
        context: BrowserContext = self.browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if dark else "light",
            reduced_motion="reduce",
            has_touch=width < SIZES["desktop"][0],
            is_mobile=width < SIZES["desktop"][0],
            locale="en-GB",
            timezone_id="Europe/Vienna",
        )
        if scene.who:
            context.add_cookies([{"name": SESSION, "value": self.tokens[scene.who], "url": self.address}])
        try:
            yield context.new_page()
        finally:
            context.close()

    def _place(self, scene: Scene) -> str:
        place = scene.address
        for name, what in self.house.where.items():
            place = place.replace(f"{{{name}}}", what)
        assert "{" not in place, f"{scene.name}: nothing in the house is called so: {place}"
        return self.address + place

    def _go(self, page: Page, scene: Scene) -> None:
        page.goto(self._place(scene))
        page.evaluate("document.fonts.ready")
        if scene.act is not None:
            scene.act(page)
        page.wait_for_load_state("networkidle")
        page.evaluate(_STEADY)

    def _keep(self, picture: Image.Image, name: str) -> Path:
        picture = picture.convert("RGB")
        if self.whole:
            path = self.out / f"{name}.png"
            picture.save(path)
            return path
        if picture.width > WIDEST:
            height = round(picture.height * WIDEST / picture.width)
            picture = picture.resize((WIDEST, height), Image.Resampling.LANCZOS)
        path = self.out / f"{name}.webp"
        picture.save(path, quality=QUALITY, method=6)
        return path


def _dark_size(scene: Scene) -> Size:
    return "desktop" if "desktop" in scene.sizes else scene.sizes[-1]


def _sheets(data: bytes, dots: int, *, most: int) -> Image.Image:
    """The first sheets of a paper, side by side."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["pdftoppm", "-r", str(dots), "-l", str(most), "-png", "-", f"{folder}/sheet"]
        subprocess.run(command, input=data, check=True, timeout=60)
        sheets = [Image.open(file).convert("RGB") for file in sorted(Path(folder).glob("*.png"))]
    gap = 8
    whole = Image.new(
        "RGB",
        (sum(one.width + gap for one in sheets) - gap, max(one.height for one in sheets)),
        (128, 128, 128),
    )
    at = 0
    for one in sheets:
        whole.paste(one, (at, 0))
        at += one.width + gap
    return whole


def page(taken: list[Taken]) -> str:
    """The page of the gallery."""
    lines = [
        "# Gallery",
        "",
        "Every page of the house as people meet it, taken from the demo by `make pictures`: on a phone",
        "(360 × 780), a tablet (1024 × 768, upright 768 × 1024), a desktop (1440 × 900) and a wall screen",
        "(1920 × 1080), in the dark look, and on paper (A4). People, makers and figures are invented; long",
        "pages are cut. How devices are drawn is shown on [a page of its own](devices/README.md).",
    ]
    for scene in SCENES:
        of_scene = [one for one in taken if one.scene.name == scene.name]
        if not of_scene:
            continue
        lines += ["", f"## {scene.title}", "", scene.sees, ""]
        lines.append("| " + " | ".join(one.on.replace("-", ", ") for one in of_scene) + " |")
        lines.append("|" + " --- |" * len(of_scene))
        shown = [f"![{scene.title}, {one.on.replace('-', ', ')}]({one.file.name})" for one in of_scene]
        lines.append("| " + " | ".join(shown) + " |")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    sys.exit(main())

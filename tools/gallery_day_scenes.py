"""More of what the gallery shows: machines and their days, indicators, the department, fits, solutions."""

from __future__ import annotations

from typing import Final

from gallery_scenes import LARGE, SMALL, Scene

_HERE: Final = "/at/valley"

DAY_SCENES: Final[tuple[Scene, ...]] = (
    Scene(
        "machines",
        "Machines today",
        "What each machine, room and water point needs today, the worst first.",
        f"{_HERE}/machines",
        dark=True,
        prints=True,
    ),
    Scene(
        "machine",
        "A machine",
        "How it stands, its checks, its cycles, and the charts of what moves first.",
        f"{_HERE}/machines/sterilizer-1",
    ),
    Scene(
        "checks",
        "Checks",
        "Which checks there are, by whose word, and what this department put in their place.",
        f"{_HERE}/checks",
        sizes=LARGE,
    ),
    Scene(
        "indicators",
        "Indicators",
        "Biological and chemical results with lots and controls; what waits to be read stands first.",
        f"{_HERE}/indicators",
        sizes=LARGE,
    ),
    Scene(
        "before-release",
        "Before a load goes out",
        "What must be there before anybody may release this load.",
        "{sterilizer-1-1250}/before-release",
        sizes=LARGE,
    ),
    Scene(
        "department",
        "What the department has",
        "Machines, water, chemistry, brushes, packaging, family by family.",
        f"{_HERE}/department",
        dark=True,
        prints=True,
    ),
    Scene(
        "department-import",
        "What the department has, from one spreadsheet",
        "The template, the file, and what to expect of it.",
        f"{_HERE}/department/import",
        sizes=LARGE,
    ),
    Scene(
        "fit",
        "Can this department do it?",
        "Each instruction in each department, in a word and a sign; what to do next stands first.",
        f"{_HERE}/fit",
        dark=True,
        prints=True,
    ),
    Scene(
        "fit-one",
        "Why not, and what would do",
        "The conflict, what comes nearest, and the smallest change.",
        f"{_HERE}/fit/{{forceps}}",
    ),
    Scene(
        "sets",
        "Sets",
        "What travels together; what must be looked at again stands first.",
        f"{_HERE}/sets",
        dark=True,
        prints=True,
    ),
    Scene(
        "set",
        "A set without a common cycle",
        "Contents first; beside them the split, what is wrong, and how it would be put right.",
        "{hand}",
        dark=True,
        prints=True,
    ),
    Scene(
        "set-device",
        "A device of a set",
        "Its parts, where it lies, what it belongs with, what it must not lie beside, what may stand in.",
        "{hand}/devices/1",
        sizes=LARGE,
    ),
    Scene(
        "set-new",
        "A new set",
        "Device by device, or from one sheet or a document.",
        f"{_HERE}/sets/new",
        who="educator",
        sizes=LARGE,
    ),
    Scene(
        "solutions",
        "Solutions at the sink",
        "What is in use, until when, and what must be poured away now.",
        f"{_HERE}/solutions",
        who="technician",
        dark=True,
    ),
    Scene(
        "solution-new",
        "Making up a solution",
        "Product and litres give the dose, in large figures.",
        f"{_HERE}/solutions/new",
        who="technician",
        sizes=SMALL,
    ),
    Scene(
        "languages",
        "Languages",
        "Which languages papers can be printed in, and how far each is reviewed.",
        f"{_HERE}/languages",
        who="educator",
        sizes=LARGE,
    ),
    Scene(
        "language",
        "Templates in Polish",
        "Each template filled, English below it, to be reviewed by name.",
        f"{_HERE}/languages/pl",
        who="educator",
        dark=True,
    ),
    Scene(
        "language-arabic",
        "Templates in Arabic",
        "Read from right to left, with foreign names and figures in their own direction.",
        f"{_HERE}/languages/ar",
        who="educator",
        sizes=LARGE,
    ),
)

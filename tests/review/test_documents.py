"""Whole texts of invented makers, drafted and reviewed: right ones stay quiet, one planted fault is found.

The texts and faults are our own; no published corpus of annotated instructions was available.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.draft import draft, draft_text
from sinkside.findings import Level
from sinkside.review import review

DOCUMENTS = Path(__file__).parent / "documents"
NAMES = sorted(path.stem for path in DOCUMENTS.glob("*.txt"))

#: Document, words that stand there, words put in their place, the rule that must speak.
FAULTS = [
    ("micro_forceps", "134 °C (max. 137 °C)", "143 °C", "steam-temperature-not-recognised"),
    ("micro_forceps", "134 °C (max. 137 °C)", "124 °C", "steam-temperature-not-recognised"),
    ("micro_forceps", "at least 4 minutes", "40 seconds", "exposure-too-short"),
    ("micro_forceps", "for 5 minutes (A0 3000)", "for 5 seconds (A0 3000)", "a0-disagrees"),
    ("micro_forceps", "above 140 °C", "above 120 °C", "hotter-than-own-limit"),
    ("micro_forceps", "(pH 10.5)", "(pH 13)", "ph-outside-own-range"),
    ("micro_forceps", " together with other metals.", ".", "prohibited-then-asked"),
    ("micro_forceps", "(below 40 °C)", "(70 °C)", "first-rinse-too-hot"),
    ("micro_forceps", "Do not use physio", "Lay the forceps in physio", "chloride-contact"),
    ("micro_forceps", "35 to 45 kHz", "35 to 45 MHz", "ultrasonic-frequency-implausible"),
    ("micro_forceps", "0.5 % enzymatic", "0.5 % (50 ml/l) enzymatic", "two-units-disagree"),
    ("micro_forceps", "(max. 2 bar)", "(max. 20 bar)", "pressure-implausible"),
    ("micro_forceps", "titanium handle", "aluminium handle", "alkaline-on-aluminium"),
    ("modular_scissors", "8 mL/L", "8 mL/mL", "dose-implausible"),
    ("modular_scissors", "30–40 °C)", "30–40 °F)", "fahrenheit-for-celsius"),
    ("modular_scissors", "4.5 mm brush", "8 mm brush", "brush-too-wide"),
    ("modular_scissors", "with ratchet open, in", "with ratchet engaged, in", "ratchet-engaged-in-steam"),
    ("modular_scissors", "137 °C, 5 min", "137 °C, 3 to 18 min", "exposure-is-a-range"),
    ("modular_scissors", "e) Insert and tube only: s", "e) All parts: s", "prohibited-then-asked"),
    (
        "modular_scissors",
        "Flush the tube",
        "With the jaws closed, flush the tube",
        "flushed-with-way-out-shut",
    ),
    (
        "modular_scissors",
        "• Open the ratchet and the",
        "• Oil the ratchet and the",
        "lubricated-before-cleaning",
    ),
    ("suction_irrigator", "275°F (135°C)", "290°F (143°C)", "steam-temperature-not-recognised"),
    ("suction_irrigator", "20 psi / 138 kPa", "20 psi / 1380 kPa", "two-units-disagree"),
    ("suction_irrigator", "(30-40°C)", "(60-70°C)", "temperature-pair-disagrees"),
    ("bone_punch", "94 °C with", "94 °C, A0 = 30000, with", "a0-disagrees"),
    ("bone_punch", "below 35 °C. Brush", "at 60 °C. Brush", "first-rinse-too-hot"),
    ("bone_punch", "not more than 4 bar", "not more than 40 bar", "pressure-implausible"),
    ("suction_cannulas", "max. 1.5 bar", "max. 15 bar", "pressure-implausible"),
    (
        "suction_cannulas",
        "up to 500 times",
        "without limit; tested for 500 cycles",
        "life-unlimited-and-limited",
    ),
    ("take_apart_rongeurs", "285 °F (140 °C)", "265 °F (129 °C)", "hotter-than-own-limit"),
    ("take_apart_rongeurs", "Repeat Steps 3-5", "Repeat Steps 13-15", "reference-dangling"),
    ("take_apart_rongeurs", "Do not soak instruments overnight", "Do not immerse", "prohibited-then-asked"),
    ("needle_holder", "5 min, 3.1 bar", "5 min, 2.1 bar", "steam-pressure-disagrees"),
    ("needle_holder", "replaces rev 06", "replaces rev 09", "revision-runs-backwards"),
    ("needle_holder", "Port: no cap.", "Port: cap in place.", "port-capped-in-steam"),
]


@pytest.mark.parametrize("name", NAMES)
def test_a_right_text_raises_no_alarm(name: str) -> None:
    """Texts without a planted fault give no stop and no concern; notes are allowed."""
    loud = [
        f"{finding.rule}: {finding.place.text}"
        for finding in review(draft(DOCUMENTS / f"{name}.txt"))
        if finding.level is not Level.note
    ]
    assert loud == []


@pytest.mark.parametrize(("name", "words", "fault", "rule"), FAULTS)
def test_one_planted_fault_is_found(name: str, words: str, fault: str, rule: str) -> None:
    """One fault put into a right text is found by the rule that is for it."""
    text = (DOCUMENTS / f"{name}.txt").read_text(encoding="utf-8")
    assert words in text
    findings = review(draft_text(text.replace(words, fault)))
    assert rule in {finding.rule for finding in findings}

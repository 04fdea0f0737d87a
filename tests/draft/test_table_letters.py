"""Letters that rows are for get their names from the words in front of the table."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.instruction import Instruction, PartUse
from sinkside.review import review

ROWS = """
| No | Stage | Parts | Work | With | Figures |
| 1 | Theatre | N | throw away | - | - |
| 2 | Hand cleaning | {all} | soak | enzymatic cleaner, 5 mL/L | 35 °C, 10 min |
| 3 | Hand cleaning | L | brush bore | brush 3.5 mm x 300 mm | 5 strokes |
| 4 | Rinse | {all} | rinse | demineralised water | 1 min |
| 5 | Machine | {all} | wash | alkaline cleaner pH 10 | 55 °C, 10 min |
| 6 | Packing | {packed} | lay the parts apart in a tray, wrap twice | - | - |
| 7 | Sterilizing | {all} | steam, fractionated vacuum | - | 134 °C, 5 min |

Remark: a wet pack goes back to row 2.
"""
MARGIN = """ORWELL nasal biter

 D   grip, stainless steel
 L   tube, stainless steel, bore 3.2 mm, length 180 mm
 W   mouth insert, stainless steel
 N   valve disc, silicone, single use
D, L and W are supplied non-sterile.
"""
SENTENCE = """ORWELL nasal biter

Components: D grip of steel; L tube, bore 3.2 mm; W mouth insert; N valve disc, silicone, single use.
"""
EQUALS = """ORWELL nasal biter

D = grip
L = tube, bore 3.2 mm
W = mouth insert
N = valve disc, silicone, single use
"""


def _drafted(front: str, letters: str = "D, L, W", packed: str = "D, L, W") -> Instruction:
    return draft_text(front + ROWS.format(all=letters, packed=packed))


@pytest.mark.parametrize("front", [MARGIN, SENTENCE, EQUALS], ids=["margin", "sentence", "equals"])
def test_letters_of_the_rows_get_their_names(front: str) -> None:
    """Every letter becomes a part, and the one that is thrown away is known as such."""
    parts = {part.id: part for part in _drafted(front).device.parts}
    assert {"D", "L", "W", "N"} <= set(parts)
    assert parts["L"].name == "tube"
    assert parts["N"].use is not PartUse.reusable


@pytest.mark.parametrize("letters", ["D, L, W", "D L W", "D+L+W", "D/L/W"])
def test_a_cell_of_letters_names_its_parts(letters: str) -> None:
    """Letters with any sign between them, or none, are parts and no units."""
    soak = next(step for step in _drafted(MARGIN, letters).steps if step.action == "soak")
    assert {"D", "L", "W"} <= set(soak.on)


def test_a_sentence_at_the_margin_ends_a_list_of_letters() -> None:
    """What stands below the last part at the margin is said of all parts, and not of the last alone."""
    told = [statement.origin.text for statement in _drafted(MARGIN).statements]
    assert any(text.startswith("D, L and W are supplied") for text in told)


def test_a_row_of_packing_that_leaves_a_letter_out_is_told() -> None:
    """Of three parts two are packed; the remark below on wet packs packs nothing."""

    def rules(packed: str) -> set[str]:
        return {finding.rule for finding in review(_drafted(MARGIN, packed=packed))}

    assert "part-not-packed" in rules("D, L")
    assert "part-not-packed" not in rules("D, L, W")

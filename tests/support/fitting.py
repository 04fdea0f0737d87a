"""Small instructions and departments for the tests of the fit table; everything invented."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.department import Brush, Department
from sinkside.instruction import Action, Instruction, Step
from support.routing import a_department, a_program, a_step, a_sterilizer, an_instruction, exactly

#: A text without a stop, whose drying no program of the demo's department keeps: 3 min at 134 °C dry for 15.
LINNET = """Example Works
Linnet 3 mm grasping forceps
Processing instruction, revision 2

Cleaning

Rinse the forceps under running tap water of at most 35 °C for at least 1 minute.

Drying

Dry the forceps with medical air for 30 seconds.

Sterilization

Sterilize with steam, fractionated pre-vacuum, 134 °C for 3 minutes, drying time 20 minutes.
"""


def a_text(name: str, *steps: Step) -> Instruction:
    """An instruction for a device of some name."""
    text = an_instruction(*steps)
    return text.model_copy(update={"device": text.device.model_copy(update={"name": name})})


def brushed(millimetres: float) -> Step:
    """A step that asks for a brush of some width."""
    return a_step(Action.brush, exactly(millimetres, "mm", "length", "brush-diameter"), step_id="s3")


def a_site(*drying: str, brushes: Sequence[Brush] = ()) -> Department:
    """A department whose sterilizer dries for so long, each in a program of its own."""
    programs = [a_program("134 °C", "3 min", one) for one in drying]
    return a_department(a_sterilizer(*programs), brushes=brushes)

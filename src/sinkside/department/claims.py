"""Which lumens a low-temperature cycle reaches, as its maker claims them: a table beside the program."""

from __future__ import annotations

from pydantic import Field, ValidationInfo, field_validator

from sinkside.department.program_checks import check
from sinkside.documents import Value
from sinkside.quantities import Quantity


class LumenClaim(Value):
    """One row: lumens of a material, at least so wide, at most so long, and the most of them in one load.

    `lumens` counts every lumen that lies in the chamber; 0 says that the program takes none.
    """

    material: str = Field(min_length=1)
    bore: Quantity
    length: Quantity
    lumens: int = Field(ge=0, le=9999)

    @field_validator("bore", "length")
    @classmethod
    def _is_a_length(cls, size: Quantity, info: ValidationInfo) -> Quantity:
        check(size, "mm", str(info.field_name))
        return size

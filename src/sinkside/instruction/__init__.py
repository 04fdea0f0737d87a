"""A maker's instruction as data: the document and its vocabulary."""

from sinkside.instruction.document import (
    Device,
    DeviceLimit,
    Feature,
    Heading,
    Instruction,
    MakerDocument,
    NotUnderstood,
    Origin,
    Part,
    Statement,
    Step,
)
from sinkside.instruction.vocabulary import (
    POSITIONS,
    STAGES,
    Action,
    AirRemoval,
    FeatureKind,
    FigureRole,
    PartUse,
    Stage,
    StatementKind,
)

__all__ = [
    "POSITIONS",
    "STAGES",
    "Action",
    "AirRemoval",
    "Device",
    "DeviceLimit",
    "Feature",
    "FeatureKind",
    "FigureRole",
    "Heading",
    "Instruction",
    "MakerDocument",
    "NotUnderstood",
    "Origin",
    "Part",
    "PartUse",
    "Stage",
    "Statement",
    "StatementKind",
    "Step",
]

"""What is kept of a department's own photo of a device (`sinkside/device-photo-1`)."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from sinkside.documents import Value

Share = Annotated[float, Field(ge=0.0, le=1.0)]

#: What is shown beside a step.
Shown = Literal["drawing", "photo"]


class Point(Value):
    """A lettered point.

    Attributes:
        letter: A, B, C …
        what: what is there, in the department's words; the name of what it is of unless said.
        of: the part, feature or step that it is of, such as `part:shaft`; empty where it is of none.
        x: from the left, from 0 to 1.
        y: from the top, from 0 to 1.
    """

    letter: str = Field(pattern="^[A-Z]$")
    what: str = Field(min_length=1, max_length=120)
    of: str = Field(default="", max_length=200)
    x: Share
    y: Share


class DevicePhoto(Value):
    """A photo with its points.

    Attributes:
        digest: of the file that is kept; empty where the photo was taken away.
        width: in pixels.
        height: in pixels.
        points: in the order of their letters.
        to_look_at: whether the points were placed on an earlier photo and nobody looked at them since.
        shown: whether drawing or photo stands beside a step.
    """

    format: Literal["sinkside/device-photo-1"] = "sinkside/device-photo-1"
    digest: str
    width: int = Field(ge=0)
    height: int = Field(ge=0)
    points: tuple[Point, ...] = ()
    to_look_at: bool = False
    shown: Shown = "drawing"

    @model_validator(mode="after")
    def _letters_stand_once(self) -> DevicePhoto:
        letters = [point.letter for point in self.points]
        if len(set(letters)) != len(letters):
            raise ValueError("a letter stands twice")
        return self

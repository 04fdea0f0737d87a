"""What is done to the tray of a set: laid out anew, and moved piece by piece."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import Field

from sinkside.desk import set_layout
from sinkside.desk.set_layout import LayingAsked, Move
from sinkside.documents import to_yaml
from sinkside.errors import BadDocument, Fault, NotThere
from sinkside.sets.layout import Clearances
from sinkside.sets.layout.document import LONGEST_MM, Side
from sinkside.web.asked import Asked
from sinkside.web.screen import Done, Form, Sending
from sinkside.web.screens.sets.layout import layout_page
from sinkside.web.screens.sets.shelf import EDIT, PLACE, READ, screen

_PARTS_OF_A_LINE = 3


class OnLayout(Form):
    """The revision of the layout that the person had before them; 0 where there was none."""

    on_revision: int = Field(0, ge=0, le=1_000_000)


class LayForm(OnLayout):
    """How a set is to be laid out; `measured` has a name, a length and a width in mm a line."""

    tray: str = Field("", max_length=100)
    seed: int = Field(1, ge=0, le=1_000_000)
    levels: int = Field(1, ge=1, le=3)
    slope: float = Field(0.0, ge=0.0, le=30.0)
    lowest: Side = Side.front
    pieces_mm: float = Field(5.0, ge=0.0, le=500.0)
    wall_mm: float = Field(5.0, ge=0.0, le=500.0)
    tip_mm: float = Field(10.0, ge=0.0, le=500.0)
    heavy_kg: float = Field(0.15, gt=0.0, le=50.0)
    heavy_mm: float = Field(20.0, ge=0.0, le=500.0)
    apart_mm: float = Field(30.0, ge=0.0, le=500.0)
    mates_mm: float = Field(40.0, ge=0.0, le=500.0)
    small_mm: float = Field(35.0, ge=0.0, le=500.0)
    fall_deg: float = Field(1.0, ge=0.0, le=30.0)
    measured: str = Field("", max_length=20_000)

    @property
    def asked(self) -> LayingAsked:
        """The same as the desk takes it."""
        kept = {name: getattr(self, name) for name in Clearances.model_fields}
        return LayingAsked(
            tray=self.tray,
            seed=self.seed,
            clearances=Clearances(**kept),
            layers=self.levels,
            slope_deg=self.slope,
            lowest=self.lowest,
            measured=dict(_measured(self.measured)),
        )


class MoveForm(OnLayout):
    """Where one thing lies now; what is not sent stays."""

    piece: str = Field(max_length=100)
    x: float | None = Field(None, ge=-LONGEST_MM, le=LONGEST_MM)
    y: float | None = Field(None, ge=-LONGEST_MM, le=LONGEST_MM)
    turn: float | None = Field(None, ge=-360.0, le=360.0)
    raised: float | None = Field(None, ge=0.0, le=500.0)
    level: int | None = Field(None, ge=0, le=2)


@screen.act(f"{PLACE}/{{key}}/layout", right=EDIT, form=LayForm, page=layout_page)
def lay(asked: Asked, form: LayForm, key: str) -> Done:
    """Lay a set out anew."""
    layout = set_layout.lay_out_set(
        asked.archive, asked.visitor, key, form.asked, base=form.on_revision, now=asked.now
    )
    left = f"; {len(layout.left_out)} found no place" if layout.left_out else ""
    said = f"{len(layout.pieces)} pieces laid out with seed {layout.seed}{left}."
    return Done(go=asked.at(f"/sets/{key}/layout"), said=said)


@screen.act(f"{PLACE}/{{key}}/layout/move", right=EDIT, form=MoveForm, page=layout_page)
def move(asked: Asked, form: MoveForm, key: str) -> Done:
    """Move one thing in the tray of a set; everything is judged anew."""
    change = Move(form.piece, form.x, form.y, form.turn, form.raised, form.level)
    set_layout.move_in_layout(asked.archive, asked.visitor, key, change, base=form.on_revision, now=asked.now)
    return Done(go=asked.at(f"/sets/{key}/layout?piece={form.piece}"), said=f"{form.piece} was moved.")


@screen.file(f"{PLACE}/{{key}}/layout/document", right=READ)
def layout_document(asked: Asked, key: str) -> Sending:
    """The layout of a set as a document."""
    seen = set_layout.see_layout(asked.archive, asked.visitor, key)
    if seen.layout is None:
        raise NotThere("this set was not laid out yet", resource=key)
    return Sending(to_yaml(seen.layout).encode(), "application/yaml", saved_as=f"{key}-layout.yaml")


def _measured(text: str) -> Iterator[tuple[str, tuple[float, float]]]:
    """Names with length and width in mm, one a line."""
    for number, line in enumerate(filter(str.strip, text.splitlines()), start=1):
        parts = [part.strip().removesuffix("mm").strip() for part in line.split(";")]
        try:
            name, long, wide = parts[0], float(parts[1]), float(parts[2])
            fits = len(parts) == _PARTS_OF_A_LINE and 0.0 < long <= LONGEST_MM and 0.0 < wide <= LONGEST_MM
        except (ValueError, IndexError):
            fits = False
        if not fits:
            told = f"line {number}: expected a name, a length and a width in mm, semicolons between"
            raise BadDocument([Fault("measured", told)])
        yield name, (long, wide)

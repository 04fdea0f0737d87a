"""What the paper of a month is made from: figures, drawings and tables in their order, ready to be set."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.aids.count_sheet import SheetSize


@dataclass(frozen=True)
class MonthFigure:
    """One figure that is read first: what it is of, the figure, and what stands beside it."""

    label: str
    figure: str
    beside: str


@dataclass(frozen=True)
class MonthPicture:
    """A drawing, what it shows in words for those who hear it, and the sentences below it."""

    svg: str
    alt: str
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class MonthChart:
    """One way of counting: its heading, and the drawings below it."""

    heading: str
    pictures: tuple[MonthPicture, ...]


@dataclass(frozen=True)
class MonthTable:
    """A table; of a cell of several lines the first leads, and one that begins with a mark is loud.

    Attributes:
        heading: above it.
        columns: the heads.
        widths: how wide each column is beside the others.
        rows: as many cells as there are columns.
        empty: what is said where there are no rows.
        more: what is said below it, such as how many are not listed.
    """

    heading: str
    columns: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]
    empty: str
    more: str = ""


@dataclass(frozen=True)
class MonthRequest:
    """A month of a department.

    Attributes:
        title: of which month.
        about: lines below the title: whose, from when until when.
        figures: what is read first.
        first: the charts that stand right below them.
        tables: what is to be seen to, and what corrections came to.
        charts: the other ways of counting.
        made: when it was made.
        live_url: where the living page is; empty without a server.
        code: what the code says without one.
        size: of the paper.
    """

    title: str
    about: tuple[str, ...]
    figures: tuple[MonthFigure, ...]
    first: tuple[MonthChart, ...]
    tables: tuple[MonthTable, ...]
    charts: tuple[MonthChart, ...]
    made: str
    code: str
    live_url: str = ""
    size: SheetSize = SheetSize.a4

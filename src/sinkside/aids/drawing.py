"""Small SVG drawings as element trees, so that every text is escaped by construction."""

from __future__ import annotations

from xml.etree import ElementTree as ET

Element = ET.Element


def svg(*, width: float, height: float, key: str, title: str, description: str, classes: str = "") -> Element:
    """An SVG root that is one picture for those who hear it: its title and description name it.

    Args:
        width: of the view box, in user units.
        height: of the view box, in user units.
        key: what makes the ids of title and description unique on a page.
        title: what the picture is.
        description: what it shows, in words.
        classes: for the style sheet.
    """
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {_short(width)} {_short(height)}",
            "role": "img",
            "aria-labelledby": f"{key}-title {key}-desc",
            "class": classes,
        },
    )
    ET.SubElement(root, "title", {"id": f"{key}-title"}).text = title
    ET.SubElement(root, "desc", {"id": f"{key}-desc"}).text = description
    return root


def add(parent: Element, tag: str, *, text: str | None = None, **attributes: float | str) -> Element:
    """A child element; `class_` is written `class`, underscores as hyphens, numbers to a tenth."""
    written = {
        name.rstrip("_").replace("_", "-"): value if isinstance(value, str) else _short(value)
        for name, value in attributes.items()
    }
    child = ET.SubElement(parent, tag, written)
    child.text = text
    return child


def markup(root: Element) -> str:
    """The drawing as text that can stand in an HTML page."""
    return ET.tostring(root, encoding="unicode")


def _short(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def with_style(svg: str, style: str) -> str:
    """A drawing that brings its own style, for where no style sheet is.

    >>> with_style('<svg class="plot"><text>a</text></svg>', ".a { fill: red; }")
    '<svg class="plot"><style>.a { fill: red; }</style><text>a</text></svg>'
    """
    head, end, body = svg.partition(">")
    return f"{head}{end}<style>{style}</style>{body}"

"""Templates show what their page declares, escape what people write, and need no inline script or style."""

from __future__ import annotations

import dataclasses
import inspect
import re
from pathlib import Path
from typing import Any, get_type_hints

import pytest
from jinja2 import nodes

from sinkside.web.app import find_screens
from sinkside.web.error_page import ErrorPage
from sinkside.web.rendering import make_environment
from sinkside.web.shell import Shell
from web.conftest import House

TEMPLATES = Path(inspect.getfile(Shell)).parent / "templates"
ENVIRONMENT = make_environment()
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"


def _pages() -> list[tuple[str, Any]]:
    """Every template with the dataclass that it shows."""
    found: dict[str, Any] = {"error.html": ErrorPage}
    for screen in find_screens():
        for declared in screen.declared:
            if declared.template:
                found[declared.template] = get_type_hints(declared.view)["return"]
    return sorted(found.items(), key=lambda item: item[0])


PAGES = _pages()


def _attributes(template: str, name: str) -> set[str]:
    """What a template and its parts take from one of its variables."""
    tree = ENVIRONMENT.parse((TEMPLATES / template).read_text("utf-8"))
    return {
        found.attr
        for found in tree.find_all(nodes.Getattr)
        if isinstance(found.node, nodes.Name) and found.node.name == name
    }


def _declared(kind: type) -> set[str]:
    fields = {field.name for field in dataclasses.fields(kind)}
    return fields | {name for name, _ in inspect.getmembers(kind) if not name.startswith("_")}


@pytest.mark.parametrize(("template", "page"), PAGES, ids=[name for name, _ in PAGES])
def test_a_template_shows_only_what_its_page_declares(template: str, page: type) -> None:
    """Every field that a template takes is declared by its page's dataclass, frozen and documented."""
    assert dataclasses.is_dataclass(page)
    assert page.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert page.__doc__
    assert not page.__doc__.startswith(f"{page.__name__}(")
    assert "title" in _declared(page)
    assert _attributes(template, "page") <= _declared(page)
    assert _attributes(template, "shell") <= _declared(Shell)


def test_templates_know_nothing_but_page_and_shell() -> None:
    """No template leans on a variable that nobody declares."""
    from jinja2 import meta

    allowed = {"page", "shell", "static"}  # and the parts that a template imports
    for path in sorted(TEMPLATES.rglob("*.html")):
        tree = ENVIRONMENT.parse(path.read_text("utf-8"))
        parts = {found.target for found in tree.find_all(nodes.Import)}
        assert meta.find_undeclared_variables(tree) <= allowed | parts, path.name


def test_every_template_is_shown_by_somebody() -> None:
    """There is no template that no page uses."""
    shown = {name for name, _ in PAGES} | {"base.html"}
    extended = {
        str(node.template.value)
        for path in TEMPLATES.glob("*.html")
        for node in ENVIRONMENT.parse(path.read_text("utf-8")).find_all(nodes.Extends)
        if isinstance(node.template, nodes.Const)
    }
    assert {path.name for path in TEMPLATES.glob("*.html")} <= shown | extended


def test_templates_carry_nothing_inline() -> None:
    """No template has an inline script, style or handler, which the content policy would forbid."""
    inline = re.compile(r"<style|\sstyle=|\son[a-z]+=|javascript:|\|\s*safe\b", re.IGNORECASE)
    for path in TEMPLATES.rglob("*.html"):
        text = path.read_text("utf-8")
        assert not inline.search(text), path.name
        assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", text)), path.name


def test_names_are_never_markup(fresh: House) -> None:
    """A person whose name is a script is shown as text, on every page that shows them."""
    caller = fresh.caller("administrator")
    added = caller.post(
        "/at/valley/people/new", {"name": HOSTILE, "sign_in": "mallory", "roles": "technician"}
    )
    assert added.status_code == 200
    person = caller.get("/api/at/valley/people").json()["people"][0]["address"]
    for address in ("/at/valley/people", "/at/valley/record", person):
        shown = caller.get(address)
        assert shown.status_code == 200
        assert "<script>alert" not in shown.text
        assert "<img src=x" not in shown.text
    assert "&lt;script&gt;" in caller.get("/at/valley/people").text


def test_what_was_typed_is_kept_and_escaped_when_a_form_is_refused(fresh: House) -> None:
    """A refused form comes back with the sentence beside its field and the other fields as typed."""
    caller = fresh.caller("administrator")
    answer = caller.post("/at/valley/people/new", {"name": HOSTILE, "sign_in": ""})
    assert answer.status_code == 422
    assert 'aria-invalid="true"' in answer.text
    assert "<script>alert" not in answer.text
    assert "&lt;script&gt;alert(1)" in answer.text

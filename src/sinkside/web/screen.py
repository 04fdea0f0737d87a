"""How a screen declares its pages, acts and files: once, for people under / and for programs under /api."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, BinaryIO, Final, Protocol

from pydantic import BaseModel

from sinkside.desk.uploads import Upload as HandedIn

#: Rights that belong to no department: anybody at all, or anybody who is signed in.
ANYBODY: Final = "anybody"
SIGNED_IN: Final = "signed-in"

#: Every page of a department lives under its id, so that a link says where it leads.
DEPARTMENT: Final = "/at/{department}"

View = Callable[..., Any]


class Page(Protocol):
    """What a view answers: a frozen dataclass, documented, with everything its template shows."""

    @property
    def title(self) -> str:
        """The heading of the page, and its title in the browser."""


@dataclass(frozen=True)
class Option:
    """One of several that a form offers: what is sent, and what people read."""

    id: str
    words: str

    def __iter__(self) -> Iterator[str]:
        """Both, as the form parts take them."""
        yield self.id
        yield self.words


#: What the places in the head of a page are grouped by, in their order, and how a group is called.
GROUPS: Final = {
    "today": "Today",
    "bench": "Bench",
    "instructions": "Instructions",
    "machines": "Machines",
    "people": "People",
    "proof": "Proof",
}


@dataclass(frozen=True)
class Nav:
    """A place in the head of every page: its words, where among the others it stands, and in which group."""

    label: str
    order: int
    group: str


@dataclass(frozen=True)
class Done:
    """What came of an act: where to go next, and one sentence of what was done."""

    go: str
    said: str = ""


@dataclass(frozen=True)
class SessionOpened(Done):
    """Somebody was let in; the token goes into a cookie and nowhere else."""

    token: str = ""
    shared_tablet: bool = False


@dataclass(frozen=True)
class SessionClosed(Done):
    """Somebody left; the cookie goes."""


@dataclass(frozen=True)
class LookChosen(Done):
    """A look was chosen for this browser."""

    look: str = "auto"


@dataclass(frozen=True)
class Sending:
    """A file that a view hands out, whole or part by part; `saved_as` offers it for saving under a name."""

    data: bytes | Iterator[bytes]
    media_type: str
    saved_as: str = ""


@dataclass(frozen=True)
class Upload:
    """A file that came with a form; its content stays on disk until it is read."""

    name: str
    media_type: str
    size: int
    file: BinaryIO

    def handed_in(self) -> HandedIn:
        """The file as the desk takes it, read whole."""
        self.file.seek(0)
        return HandedIn(self.name, self.media_type, self.file.read())


class Form(BaseModel):
    """What a form or a program sends to an act; every field is checked before the act sees it."""

    model_config = {"extra": "forbid", "frozen": True}


@dataclass(frozen=True)
class Declared:
    """One page, act or file: address, right, view, and how it is shown."""

    kind: str
    path: str
    right: str
    view: View
    template: str = ""
    form: type[Form] | None = None
    page: View | None = None
    page_template: str = ""
    uploads: str = ""
    nav: Nav | None = None


@dataclass
class Screen:
    """One screen: its declared pages, acts and files, in order.

    A view takes `asked` first, then what its address names, then what a query may say (keyword-only, with a
    default); an act takes its form after `asked`, and after that its uploads, if it declares any.
    """

    name: str
    declared: list[Declared] = field(default_factory=list)

    def page(
        self, path: str, *, right: str, template: str, nav: Nav | None = None, asked_on: View | None = None
    ) -> Callable[[View], View]:
        """Declare a page: GET `path` as HTML, GET `/api` + `path` as JSON of the same dataclass.

        Args:
            path: the address.
            right: who may.
            template: how it is shown.
            nav: its place in the head of every page, if it has one.
            asked_on: the page whose form asks for it; shown again, with what was typed, where it refuses.
        """

        def keep(view: View) -> View:
            kept = Declared(
                "page",
                path,
                right,
                view,
                template=template,
                nav=nav,
                page=asked_on,
                page_template=self._template_of(asked_on),
            )
            self.declared.append(kept)
            return view

        return keep

    def act(
        self,
        path: str,
        *,
        right: str,
        form: type[Form] | None = None,
        page: View | None = None,
        template: str = "",
        uploads: str = "",
    ) -> Callable[[View], View]:
        """Declare an act: POST `path` from a form, POST `/api` + `path` from a program.

        Args:
            path: the address.
            right: who may.
            form: what is sent; its fields are the form's.
            page: the page that the form stands on; shown again, with what was typed, where the act refuses.
            template: where the act answers with a page instead of `Done` (a secret that is shown once).
            uploads: the name of the file field, where files are sent; the view gets a tuple of `Upload`.
        """

        def keep(view: View) -> View:
            self.declared.append(
                Declared(
                    "act",
                    path,
                    right,
                    view,
                    template=template,
                    form=form,
                    page=page,
                    page_template=self._template_of(page),
                    uploads=uploads,
                )
            )
            return view

        return keep

    def _template_of(self, page: View | None) -> str:
        return next((one.template for one in self.declared if one.view is page), "")

    def file(self, path: str, *, right: str) -> Callable[[View], View]:
        """Declare a file: GET `path` answers with the `Sending` of the view; the same under `/api`."""

        def keep(view: View) -> View:
            self.declared.append(Declared("file", path, right, view))
            return view

        return keep

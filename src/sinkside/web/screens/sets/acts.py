"""What is done to a set as a whole: changed, looked at, split, taken out of use; and its comparison."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import Field

from sinkside.desk import set_editing, sets
from sinkside.desk.people import names_of
from sinkside.desk.set_editing import CorrectSet
from sinkside.sets import SetChange
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Done, Form, Option
from sinkside.web.screens.sets.page import Number, set_page
from sinkside.web.screens.sets.shelf import EDIT, PLACE, READ, SetForm, screen

_KINDS = {"added": "new", "removed": "gone", "changed": "changed"}


class OnRevision(Form):
    """The revision that the person had before them."""

    on_revision: int = Field(ge=1, le=1_000_000)


class CorrectForm(SetForm, OnRevision):
    """The set as a whole, as the person had it before them."""


class EndForm(OnRevision):
    """Why a set is used no longer."""

    why: str = Field(max_length=2000)


@dataclass(frozen=True)
class SetChangeShown:
    """One difference: whether new, gone or changed; of which device; what of it; how it was and is."""

    kind: str
    thing: str
    what: str
    before: str
    after: str


@dataclass(frozen=True)
class SetChangesPage:
    """What changed between two revisions of a set; `choices` are the revisions, the latest first.

    `before` is 0 where nothing was kept before; `why` is what was said of the later one.
    """

    title: str
    address: str
    set_address: str
    set_name: str
    before: int
    after: int
    choices: tuple[Option, ...]
    changes: tuple[SetChangeShown, ...]
    made: str
    why: str


@screen.act(f"{PLACE}/{{key}}", right=EDIT, form=CorrectForm, page=set_page)
def correct(asked: Asked, form: CorrectForm, key: str) -> Done:
    """Change what is said of a set as a whole."""
    number = set_editing.edit_set(
        asked.archive,
        asked.visitor,
        key,
        CorrectSet(form.fields),
        base=form.on_revision,
        now=asked.now,
        why=form.why,
    )
    return changed(asked, key, number)


@screen.act(f"{PLACE}/{{key}}/look", right=EDIT, form=OnRevision, page=set_page)
def look(asked: Asked, form: OnRevision, key: str) -> Done:
    """Keep that somebody looked at the set again and leaves it as it is."""
    sets.look_at(asked.archive, asked.visitor, key, base=form.on_revision, now=asked.now)
    return Done(go=asked.at(f"/sets/{key}"), said=f"Looked at by {asked.someone.name}; it stays as it is.")


@screen.act(f"{PLACE}/{{key}}/split", right=EDIT, form=OnRevision, page=set_page)
def split(asked: Asked, form: OnRevision, key: str) -> Done:
    """Part the set into one set for each cycle."""
    made = sets.split_set(asked.archive, asked.visitor, key, base=form.on_revision, now=asked.now)
    said = f"Split into {len(made)} sets, by {asked.someone.name}. Weigh and count each of them."
    return Done(go=asked.at(f"/sets/{key}"), said=said)


@screen.act(f"{PLACE}/{{key}}/out-of-use", right=EDIT, form=EndForm, page=set_page)
def end(asked: Asked, form: EndForm, key: str) -> Done:
    """Keep that the set is used no longer."""
    sets.take_out_of_use(
        asked.archive, asked.visitor, key, base=form.on_revision, why=form.why, now=asked.now
    )
    return Done(go=asked.at("/sets"), said=f"Out of use, by {asked.someone.name}.")


@screen.page(f"{PLACE}/{{key}}/changes", right=READ, template="set_changes.html")
def changes(asked: Asked, key: str, *, before: Number = None, after: Number = None) -> SetChangesPage:
    """What changed between two revisions: the latest and the one before it, unless told."""
    found = sets.compare_revisions(asked.archive, asked.visitor, key, before=before, after=after)
    opened = sets.open_set(asked.archive, asked.visitor, key)
    names = names_of(asked.archive, {one.by for one in opened.history})
    words = {
        one.number: f"Revision {one.number} · {shown_moment(one.at, asked.visitor.zone)} · {names[one.by]}"
        for one in opened.history
    }
    address = asked.at(f"/sets/{key}")
    return SetChangesPage(
        title="What changed",
        address=f"{address}/changes",
        set_address=address,
        set_name=opened.document.name,
        before=found.before.number if found.before else 0,
        after=found.after.number,
        choices=tuple(Option(str(number), words[number]) for number in sorted(words, reverse=True)),
        changes=tuple(_shown(one, opened.document.name) for one in found.changes),
        made=words[found.after.number],
        why=found.after.note,
    )


def changed(asked: Asked, key: str, number: int) -> Done:
    """What is said after a change."""
    said = f"Changed, by {asked.someone.name}; this is revision {number}."
    return Done(go=asked.at(f"/sets/{key}"), said=said)


def _shown(one: SetChange, name: str) -> SetChangeShown:
    return SetChangeShown(_KINDS[one.kind], one.thing or name, one.what, one.before, one.after)

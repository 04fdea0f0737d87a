"""`sinkside serve`: the house in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DatabaseUrl
from sinkside.cli.output import say, show

if TYPE_CHECKING:
    from sinkside.desk.ports import Archive


def serve(
    workspace: Annotated[
        Path | None,
        typer.Option(
            "--workspace",
            metavar="FOLDER",
            envvar="SINKSIDE_WORKSPACE",
            help="The folder that holds the house; made if missing. ./house unless told.",
        ),
    ] = None,
    host: Annotated[str | None, typer.Option("--host", help="The address to listen on.")] = None,
    port: Annotated[int | None, typer.Option("--port", help="The port; 0 takes a free one.")] = None,
    database: DatabaseUrl = None,
    demo: Annotated[
        bool,
        typer.Option(
            "--demo", help="Serve an invented house, ./demo-house unless told, with a sign-in for each role."
        ),
    ] = False,
) -> None:
    """Serve a workspace to browsers, with its worker; on this machine alone unless told."""
    from sinkside import wiring
    from sinkside.errors import BadInput
    from sinkside.web.answering import House
    from sinkside.web.serving import only_server
    from sinkside.web.serving import serve as serve_house

    folder = workspace or Path("demo-house" if demo else "house")
    is_new = not wiring.is_workspace(folder)
    if is_new:
        wiring.make_workspace(folder, database=database or "")
    settings = wiring.settings_of(folder, {"host": host, "port": port, "database": database})
    archive = wiring.open_to_work(folder, database=settings.database)
    with only_server(folder), wiring.served_alone(folder, database=settings.database):
        if demo:
            _prepare_demo(archive, folder, is_new=is_new)
        elif _is_demo(folder):
            raise BadInput("this is a demo house; serve it with --demo", resource=str(folder))
        serve_house(House(folder, archive, settings, demo=demo), say=_tell)


def _prepare_demo(archive: Archive, folder: Path, *, is_new: bool) -> None:
    from sinkside import wiring
    from sinkside.demo import house
    from sinkside.errors import BadInput

    if is_new:
        say(f"making an invented house in {folder}")
        house.fill_house(archive, now=wiring.now())
        house.mark_demo(folder)
    elif not house.is_demo(folder):
        raise BadInput("no demo made this workspace; name another folder", resource=str(folder))
    show("Sign in as (the passwords are new with each start):")
    for one in house.new_passwords(archive, now=wiring.now()):
        show(f"  {one.sign_in:<24} {one.password:<28} {one.name}")


def _is_demo(folder: Path) -> bool:
    from sinkside.demo.house import is_demo

    return is_demo(folder)


def _tell(sentence: str) -> None:
    # A first start is often piped into a log or a script: the address has to come out at once.
    typer.echo(sentence)

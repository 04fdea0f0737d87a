"""The `sinkside` command: its verbs, and the one place where errors become a sentence and an exit status.

Exit status: 0 all is well; 1 something needs a person (a stop, a conflict, a cycle that does not meet);
2 the input or the command cannot be used.
"""

from __future__ import annotations

import sys
from typing import Annotated

import typer
from typer.exceptions import TyperException

from sinkside import __version__
from sinkside.cli.archive_traces import archive_traces
from sinkside.cli.demo import demo
from sinkside.cli.department import department_verbs
from sinkside.cli.draft import draft
from sinkside.cli.fit import fit
from sinkside.cli.judge import judge
from sinkside.cli.keeping import backup, check, move, restore, upgrade
from sinkside.cli.limits import limits
from sinkside.cli.lumens import lumens
from sinkside.cli.moisture import moisture
from sinkside.cli.output import let_go_of_output, say
from sinkside.cli.print_deviations import deviations
from sinkside.cli.print_evidence import evidence
from sinkside.cli.print_paper import print_verbs
from sinkside.cli.print_sets import count_sheet, downtime, labels, load_label
from sinkside.cli.questions import questions
from sinkside.cli.report import report
from sinkside.cli.review import review
from sinkside.cli.route import route
from sinkside.cli.schema import schema
from sinkside.cli.serve import serve
from sinkside.cli.sets import set_verbs
from sinkside.cli.simulate import simulate
from sinkside.cli.worker import worker
from sinkside.errors import SinksideError

app = typer.Typer(
    name="sinkside",
    help="From a maker's processing instruction to a checked route, papers and cycle verdicts.",
    epilog="The maker's current instruction and local policy govern; release by a qualified person.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for verb in (
    demo,
    draft,
    review,
    questions,
    route,
    fit,
    lumens,
    moisture,
    judge,
    simulate,
    report,
    limits,
    schema,
    serve,
    worker,
    backup,
    restore,
    check,
    upgrade,
    move,
    archive_traces,
):
    app.command()(verb)
for paper in (count_sheet, labels, load_label, downtime, evidence, deviations):
    print_verbs.command()(paper)
app.add_typer(print_verbs, name="print")
app.add_typer(department_verbs, name="department")
app.add_typer(set_verbs, name="set")


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"sinkside {__version__}")
        raise typer.Exit


@app.callback()
def sinkside(
    version: Annotated[
        bool,
        typer.Option("--version", help="Print the version and stop.", callback=_print_version, is_eager=True),
    ] = False,
) -> None:
    """From a maker's processing instruction to a checked route, papers and cycle verdicts."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command and exit with its status."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: list[str]) -> int:
    """Run the command; errors become one sentence on standard error."""
    try:
        status = app(args=arguments, standalone_mode=False)
    except TyperException as error:
        if error.format_message():
            say(f"{error.format_message()} (see: sinkside --help)")
        return 2
    except SinksideError as error:
        say(str(error))
        let_go_of_output()
        return 2
    except typer.Abort:
        say("stopped")
        return 130
    except BrokenPipeError:
        # The reader of our output went away, as `| head` does; nothing is wrong.
        let_go_of_output()
        return 0
    return status if isinstance(status, int) else 0

"""The ``voicelog`` command."""

import os
import sys

import typer

from voicelog import __version__
from voicelog.cli import common, plan
from voicelog.cli.check import check
from voicelog.cli.demo import demo
from voicelog.cli.hear import hear
from voicelog.cli.listen import listen
from voicelog.cli.model import model
from voicelog.cli.normal import normal
from voicelog.cli.say import say
from voicelog.cli.today import today
from voicelog.errors import VoicelogError

app = typer.Typer(
    name="voicelog",
    help="Hands-free, offline voice log for tracheostomy suctioning at home.",
    epilog=common.CAUTION,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command()(hear)
app.command()(say)
app.command()(listen)
app.command()(today)
app.command()(normal)
app.command()(demo)
app.command()(model)
app.command()(check)
app.add_typer(plan.app, name="plan")


def _version(wanted: bool) -> None:
    if wanted:
        common.out.print(__version__)
        raise typer.Exit


@app.callback()
def _root(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Show the version."
    ),
) -> None:
    pass


def main() -> None:
    """Run the command; a failure the user can mend is one sentence."""
    try:
        app()
    except VoicelogError as error:
        common.err.print(str(error))
        sys.exit(1)
    except KeyboardInterrupt:
        sys.exit(130)
    except Exception as error:
        if os.environ.get("VOICELOG_DEBUG"):
            raise
        common.err.print(
            f"Something went wrong inside voicelog ({error}). Nothing already logged is lost; "
            "set VOICELOG_DEBUG=1 and try again to see more."
        )
        sys.exit(70)


if __name__ == "__main__":
    main()

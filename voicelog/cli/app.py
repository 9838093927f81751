"""The ``voicelog`` command."""

import io
import os
import sys
from collections.abc import Sequence

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

MENDABLE, UNFORESEEN = 1, 70
"""Exit codes: the message names the fix; a fault of the program (as in BSD's sysexits.h)."""

app = typer.Typer(
    name="voicelog",
    help="Hands-free, offline voice log for tracheostomy suctioning at home.",
    epilog=common.CAUTION,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
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


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and exit; a failure is one sentence, never a traceback.

    Args:
        arguments: instead of the command line's.

    Raises:
        SystemExit: always, with the exit code.
        Exception: an unforeseen one, where VOICELOG_DEBUG is set.
    """
    _take_any_letter()
    try:
        app(args=arguments, prog_name="voicelog")
    except VoicelogError as error:
        common.err.print(" ".join(str(error).split()))
        sys.exit(MENDABLE)
    except Exception as error:
        if os.environ.get("VOICELOG_DEBUG"):
            raise
        common.err.print(
            f"Something went wrong inside voicelog: {_short(error)}. Nothing already logged is "
            "lost. Set VOICELOG_DEBUG=1 and try again to see more."
        )
        sys.exit(UNFORESEEN)


def _take_any_letter() -> None:
    """Let a terminal that lacks a letter show another one instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _short(error: Exception) -> str:
    said = " ".join(str(error).split())[:200].rstrip(".")
    return f"{type(error).__name__}, {said}" if said else type(error).__name__


if __name__ == "__main__":
    main()

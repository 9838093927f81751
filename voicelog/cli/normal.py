"""``voicelog normal``: what is usual for this child, and what has changed."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from voicelog.baseline.learner import Learner
from voicelog.cli import common
from voicelog.cli.session import companion
from voicelog.errors import VoicelogError
from voicelog.journal.store import Journal
from voicelog.report.normal import normal_page


class PictureNotWrittenError(VoicelogError, OSError):
    """The picture's file cannot be written."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"The picture cannot be written to {path} ({why}): choose another place.")


def normal(
    picture: Annotated[
        Path | None, typer.Option(help="Also draw it into this .png or .svg file.")
    ] = None,
) -> None:
    """Show what is usual, what changed and what is due."""
    plan = common.my_plan()
    path = common.settings().journal_path
    with Journal.open(path, child=plan.child.name, read_only=True) as journal:
        known = companion(plan, journal, common.language(plan))
    now = datetime.now(UTC)
    common.out.print(normal_page(known.view(now), known.words, known.stock(now)))
    if picture is not None:
        _draw(known.learner, now, picture)
    common.out.print(common.CAUTION)


def _draw(learner: Learner, now: datetime, picture: Path) -> None:
    from voicelog.baseline.view import View
    from voicelog.report.normal_plot import draw_normal, save_picture

    try:
        save_picture(draw_normal(View(learner, now)), picture)
    except VoicelogError:
        raise
    except OSError as error:
        raise PictureNotWrittenError(picture, error.strerror or str(error)) from error
    common.out.print(f"Drawn: {picture}")

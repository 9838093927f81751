"""``voicelog today``: what was logged since midnight."""

from datetime import UTC, datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import typer
from rich.table import Table

from voicelog.cli import common
from voicelog.cli.cautions import show_cautions_once
from voicelog.dialogue import load_replies
from voicelog.dialogue.phrasing import Phrasing
from voicelog.journal.store import Journal
from voicelog.report.day import lines, midnight


def today(
    days: Annotated[int, typer.Option(help="How many days back, today included.", min=1)] = 1,
) -> None:
    """Show what was logged today."""
    plan = common.my_plan()
    path = common.settings().journal_path
    with Journal.open(path, child=plan.child.name, read_only=True) as journal:
        phrasing = Phrasing(load_replies(common.language(plan)))
        zone = ZoneInfo(plan.home.zone)
        show_cautions_once(plan)
        common.out.print(table(journal, phrasing, zone, days, datetime.now(UTC)))


def table(journal: Journal, phrasing: Phrasing, zone: ZoneInfo, days: int, now: datetime) -> Table:
    """Return the procedures and events of the last ``days`` local days."""
    since = midnight(now, zone, days)
    shown = Table(title=f"{journal.child}, since {since:%A %d %B}", box=None, padding=(0, 2))
    for heading in ("time", "what", "who"):
        shown.add_column(heading, no_wrap=heading == "time")
    for line in lines(journal.procedures(since), journal.events(since), phrasing, zone):
        stamp = f"{line.at:%H:%M}" if days == 1 else f"{line.at:%a %H:%M}"
        shown.add_row(stamp, line.what, line.who)
    if not shown.row_count:
        shown.add_row("", "nothing yet", "")
    return shown

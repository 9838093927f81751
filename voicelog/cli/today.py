"""``voicelog today``: what was logged since midnight."""

from datetime import UTC, datetime
from typing import Annotated
from zoneinfo import ZoneInfo

import typer
from rich.table import Table

from voicelog.careplan import load_plan
from voicelog.cli import common
from voicelog.entries import Slots
from voicelog.journal.store import Journal

SHOWN = ("passes", "colour", "thickness", "amount", "odour", "saline_drops")


def today(
    days: Annotated[int, typer.Option(help="How many days back, today included.")] = 1,
) -> None:
    """Show what was logged today."""
    chosen = common.settings()
    plan = load_plan(chosen.plan_path)
    with Journal.open(chosen.journal_path, child=plan.child.name, read_only=True) as journal:
        common.out.print(table(journal, plan.home.zone, days))


def table(journal: Journal, zone: str, days: int, now: datetime | None = None) -> Table:
    """Return the procedures and events of the last ``days`` local days."""
    local = ZoneInfo(zone)
    moment = now or datetime.now(UTC)
    midnight = moment.astimezone(local).replace(hour=0, minute=0, second=0, microsecond=0)
    since = datetime.fromordinal(midnight.toordinal() - days + 1).replace(tzinfo=local)
    shown = Table(title=f"{journal.child}, since {since:%a %d %b}")
    for heading in ("time", "what", *(name.replace("_", " ") for name in SHOWN), "more", "who"):
        shown.add_column(heading)
    rows: list[tuple[datetime, list[str]]] = []
    for procedure in journal.procedures(since=since):
        name = "suction" if procedure.complete else "suction (not finished)"
        rows.append((procedure.started, _row(name, procedure.slots, procedure.caregiver)))
    for event in journal.events(since=since):
        slots = dict(event.slots)
        name = str(slots.pop("action", event.kind)).replace("_", " ")
        rows.append((event.at, _row(name, slots, event.caregiver, event.text)))
    for at, cells in sorted(rows, key=lambda row: row[0]):
        shown.add_row(f"{at.astimezone(local):%H:%M}", *cells)
    return shown


def _row(name: str, slots: Slots, who: str, text: str = "") -> list[str]:
    more = ", ".join(
        f"{slot.replace('_', ' ')} {value}" for slot, value in slots.items() if slot not in SHOWN
    )
    return [name, *(str(slots.get(slot, "")) for slot in SHOWN), " ".join((more, text)).strip(), who]

"""What must be said before the log is first relied on."""

from contextlib import suppress

from rich.console import Console

from voicelog.careplan import CarePlan
from voicelog.cli import common

MARK = "cautions-shown"
"""Name of the empty file that remembers that they were shown."""


def cautions(plan: CarePlan | None = None) -> tuple[str, ...]:
    """Return the cautions, a sentence or two a line.

    Args:
        plan: names the emergency number, where it has one.
    """
    number = plan.phones.emergency if plan else None
    called = number or "your local emergency number"
    return (
        "Before you rely on voicelog:",
        "- It keeps a record. It is not a medical device.",
        "- Your care team, the child's care plan and your local rules come first.",
        f"- In an emergency follow the child's emergency plan and call {called}.",
        "- It can mishear. Check what it says back, and put wrong entries right.",
    )


def show_cautions(plan: CarePlan | None = None, to: Console = common.out) -> None:
    """Print the cautions."""
    for line in cautions(plan):
        to.print(line)


def show_cautions_once(plan: CarePlan | None = None, to: Console = common.err) -> bool:
    """Print the cautions the first time that the user's log or a demo is looked at.

    The mark lies in the user's folder, which is not made for it: whoever has no plan
    or log yet sees them again.

    Args:
        plan: names the emergency number, where it has one.
        to: where; by default out of the way of a command's output.

    Returns:
        Whether they were printed.
    """
    mark = common.settings().home / MARK
    if mark.exists():
        return False
    show_cautions(plan, to)
    with suppress(OSError):  # then they are shown again: that does no harm
        mark.touch(mode=0o600)
    return True

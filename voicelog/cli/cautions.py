"""What must be said before the log is first relied on."""

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


def show_cautions(plan: CarePlan | None = None) -> None:
    """Print the cautions."""
    for line in cautions(plan):
        common.out.print(line)


def show_cautions_once(plan: CarePlan) -> None:
    """Print the cautions the first time, later only the short one."""
    mark = common.settings().home / MARK
    if mark.exists():
        common.out.print(common.CAUTION)
        return
    show_cautions(plan)
    try:
        mark.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        mark.touch(mode=0o600)
    except OSError:
        return  # then they are shown again: that does no harm

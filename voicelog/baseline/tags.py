"""Context said by voice: days that are not like others and do not teach the normal."""

from collections.abc import Iterable

from voicelog.entries import Event

# A tag covers its own local day.  A fever or a cold that goes on is said again,
# or given a length with the slot "tag_days".


def tagged_days(events: Iterable[Event]) -> dict[int, frozenset[str]]:
    """Return the tags of each tagged local day, by ordinal.

    Events carry the slot ``tag`` ("sick", "humid day", ...) and may carry
    ``tag_days``, the number of days from that one on.
    """
    days: dict[int, frozenset[str]] = {}
    for event in events:
        tag = event.slots.get("tag")
        length = event.slots.get("tag_days", 1)
        if not isinstance(tag, str) or not isinstance(length, (int, float)):
            continue
        first = event.at.toordinal()
        for day in range(first, first + max(1, int(length))):
            days[day] = days.get(day, frozenset()) | {tag}
    return days

from tests.baseline.make import at, event
from voicelog.baseline.tags import tagged_days


def test_a_tag_covers_its_own_local_day() -> None:
    day = at(2026, 3, 8).toordinal()
    found = tagged_days([event(at(2026, 3, 8, 23, 50), tag="sick")])
    assert found == {day: frozenset({"sick"})}


def test_tags_add_up_and_may_last() -> None:
    day = at(2026, 3, 8).toordinal()
    found = tagged_days(
        [
            event(at(2026, 3, 8, 9), tag="travel", tag_days=3),
            event(at(2026, 3, 9, 9), tag="fever"),
            event(at(2026, 3, 9, 9), tag=3),
            event(at(2026, 3, 9, 9), tag="sick", tag_days="long"),
        ]
    )
    assert found == {
        day: frozenset({"travel"}),
        day + 1: frozenset({"travel", "fever"}),
        day + 2: frozenset({"travel"}),
    }

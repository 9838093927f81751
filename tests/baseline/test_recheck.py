from datetime import timedelta

from tests.baseline.make import CHICAGO, at, procedure, steady
from voicelog.baseline.learner import Learner
from voicelog.baseline.recheck import checks, usual_high
from voicelog.baseline.scales import COLOUR
from voicelog.baseline.settings import Settings
from voicelog.baseline.view import View

SETTINGS = Settings(zone=CHICAGO, recheck_minutes=15)


def view(procedures, now) -> View:
    learner = Learner(SETTINGS)
    learner.fill(procedures)
    return View(learner, now)


def day(*said) -> list:
    """Procedures of 5 January: (hour, minute, colour)."""
    return [procedure(at(2026, 1, 5, h, m), colour=colour) for h, m, colour in said]


def test_off_colour_is_looked_at_again_after_the_plans_minutes() -> None:
    (check,) = checks(view(day((14, 0, "yellow")), at(2026, 1, 5, 14, 5)), "colour")
    assert check.value == "yellow"
    assert check.due == at(2026, 1, 5, 14, 15)
    assert check.seen is None
    assert not check.morning


def test_still_so_at_the_recheck() -> None:
    said = day((14, 0, "yellow"), (14, 10, "yellow"), (14, 20, "green"), (14, 40, "green"))
    (check,) = checks(view(said, at(2026, 1, 5, 15)), "colour")
    assert (check.seen, check.still) == ("green", True)  # 14:10 was too early to count


def test_better_closes_the_check_even_early() -> None:
    (check,) = checks(view(day((14, 0, "yellow"), (14, 5, "white")), at(2026, 1, 5, 15)), "colour")
    assert (check.seen, check.still) == ("white", False)


def test_a_new_check_only_after_it_was_better() -> None:
    said = day((14, 0, "yellow"), (15, 0, "yellow"), (16, 0, "clear"), (17, 0, "green"))
    found = checks(view(said, at(2026, 1, 5, 18)), "colour")
    assert [(c.value, c.seen, c.still) for c in found] == [
        ("yellow", "yellow", True),
        ("green", None, False),
    ]


def test_the_morning_waits_until_it_is_over() -> None:
    """Expected after waking: looked at again at 9:00, two hours after the plan's 7:00."""
    said = day((7, 20, "yellow"), (7, 50, "yellow"), (8, 30, "cloudy"))
    (check,) = checks(view(said, at(2026, 1, 5, 8, 40)), "colour")
    assert check.morning
    assert check.seen is None
    assert check.due == at(2026, 1, 5, 9)
    later = checks(view(said + day((9, 30, "yellow")), at(2026, 1, 5, 10)), "colour")
    assert (later[0].seen, later[0].still) == ("yellow", True)


def test_the_childs_own_usual_decides_what_is_off() -> None:
    usual = steady(at(2026, 1, 1), 20, colour="yellow", thickness="normal")
    learner_view = view(usual, at(2026, 1, 20, 23))
    assert usual_high(learner_view, "colour") == COLOUR["yellow"]
    assert checks(learner_view, "colour") == []
    white = view(steady(at(2026, 1, 1), 20, colour="clear"), at(2026, 1, 20, 23))
    assert usual_high(white, "colour") == COLOUR["white"]  # never stricter than white


def test_a_check_over_the_clock_change_is_in_real_minutes() -> None:
    said = [procedure(at(2026, 3, 8, 1, 50), thickness="thick")]
    (check,) = checks(view(said, at(2026, 3, 8, 3, 1)), "thickness")
    assert check.due.timestamp() - said[0].started.timestamp() == timedelta(minutes=15).seconds
    assert check.due.astimezone(CHICAGO).hour == 3
    assert check.key == f"thickness:{int(said[0].started.timestamp())}"

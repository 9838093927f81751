from datetime import timedelta

import pytest

from tests.baseline.make import CHICAGO, at, procedure, steady
from voicelog.baseline.invented import Story, invent
from voicelog.baseline.learner import Learner
from voicelog.baseline.settings import Settings
from voicelog.baseline.today import MOST_WORDS, how_is_today, usual_by_now
from voicelog.baseline.view import View
from voicelog.baseline.words import load_words
from voicelog.voice.espeak import bundled
from voicelog.voice.renderer import Renderer

WORDS = load_words()
SETTINGS = Settings(zone=CHICAGO, contact="the on-call nurse, 555 0142")


def view(procedures, now, settings=SETTINGS) -> View:
    learner = Learner(settings)
    learner.fill(procedures)
    return View(learner, now)


def test_while_learning() -> None:
    text = how_is_today(view(steady(at(2026, 1, 1), 5), at(2026, 1, 5, 13)), WORDS)
    assert text == "5 so far today. I am still learning what is usual. Nothing stands out."


def test_a_usual_day() -> None:
    now = view(steady(at(2026, 1, 1), 30), at(2026, 1, 30, 13))
    assert how_is_today(now, WORDS).startswith("5 so far today. Usual by now is 2 to 8.")
    usual = usual_by_now(now)
    assert usual is not None
    assert usual.value == pytest.approx(5, abs=0.6)


def test_nothing_yet_and_one() -> None:
    procedures = steady(at(2026, 1, 1), 29, hours=(8, 10, 12, 14, 16, 18, 20))
    early = view(procedures, at(2026, 1, 30, 7))
    assert how_is_today(early, WORDS).startswith("Nothing logged yet today.")
    one = view([*procedures, procedure(at(2026, 1, 30, 8))], at(2026, 1, 30, 9))
    assert how_is_today(one, WORDS).startswith("One so far today.")


def test_what_comes_later_today_is_not_counted_yet() -> None:
    text = how_is_today(view(steady(at(2026, 1, 1), 30), at(2026, 1, 30, 9)), WORDS)
    assert text.startswith("3 so far today.")


def bad_day() -> View:
    story = Story()
    procedures, events = invent(1, story)
    now = at(2026, 1, 5, 20) + timedelta(days=33)
    learner = Learner(SETTINGS)
    learner.fill([p for p in procedures if p.started <= now], [e for e in events if e.at <= now])
    return View(learner, now)


def test_a_bad_day_is_told_shortest_first_with_whom_to_call() -> None:
    text = how_is_today(bad_day(), WORDS)
    assert "Still green at the re-check." in text
    assert "More often than usual." in text
    assert "more to look at." in text
    assert text.endswith("Call the on-call nurse, 555 0142 if worried.")
    assert len(text.split()) <= MOST_WORDS


def test_it_takes_under_fifteen_seconds_to_say() -> None:
    """Spoken by the real voice at its default 160 words a minute."""
    renderer = Renderer(bundled())
    try:
        sound = renderer.render(how_is_today(bad_day(), WORDS), "en", 160, 1.0)
    finally:
        renderer.close()
    assert 5.0 < len(sound.samples) / sound.rate < 15.0

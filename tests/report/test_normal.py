from datetime import timedelta
from io import StringIO

import pytest
from rich.console import Console

from tests.baseline.make import CHICAGO, at
from voicelog.baseline.invented import invent
from voicelog.baseline.learner import Learner
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import supplies
from voicelog.baseline.view import View
from voicelog.baseline.words import load_words
from voicelog.report.normal import days_strip, normal_page, spark

WORDS = load_words()


@pytest.fixture(scope="module")
def view() -> View:
    procedures, events = invent(1)
    now = at(2026, 1, 5, 20) + timedelta(days=36)
    learner = Learner(Settings(zone=CHICAGO, contact="555 0142"))
    learner.fill([p for p in procedures if p.started <= now], [e for e in events if e.at <= now])
    return View(learner, now)


def shown(page, width: int = 100) -> str:
    console = Console(width=width, record=True, file=StringIO())
    console.print(page)
    return console.export_text()


def test_spark_scales_to_the_most() -> None:
    assert spark([0, 4, 8]) == " ▄█"
    assert spark([1, 1], top=8) == "▁▁"
    assert spark([]) == ""
    assert spark([0, 0]) == "  "


def test_the_page_has_the_normal_the_hours_the_days_and_the_findings(view) -> None:
    learner = view.learner
    stock = supplies(learner.history, learner.count.pool, view.settings, view.now.date())
    text = shown(normal_page(view, WORDS, stock))
    assert text.startswith("Usually 7 to")
    assert text.count("█") > 100
    for hour in ("00", "07", "23"):
        assert f"\n  {hour}" in text or f"\n{hour}" in text or f" {hour} " in text
    assert "▲" in text  # the rise of the infection
    assert "catheters" in text
    assert "More often than usual" in text
    assert "If you are worried, call 555 0142." in text


def test_the_page_fits_a_narrow_terminal(view) -> None:
    assert max(map(len, shown(normal_page(view, WORDS), 80).splitlines())) <= 80


def test_while_learning_there_is_a_page_too() -> None:
    text = shown(normal_page(View(Learner(Settings(zone=CHICAGO)), at(2026, 1, 5)), WORDS))
    assert "Still learning what is usual: 0 of 14 days." in text
    assert "No whole day yet." in text


def test_part_days_and_falls_are_marked(view) -> None:
    step = view.learner.steps[-1]
    marked = days_strip((step._replace(exposure=0.4), step._replace(fall_new=True)))
    assert marked.plain.splitlines()[2] == "?▼"

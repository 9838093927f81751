from datetime import date

from tests.baseline.make import CHICAGO, at, steady
from voicelog.baseline.fluids import Intake
from voicelog.baseline.learner import Learner
from voicelog.baseline.sentences import (
    fluid_sentences,
    normal_sentences,
    oxygen_sentence,
    supply_sentences,
)
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import Supply
from voicelog.baseline.view import View
from voicelog.baseline.words import load_words

WORDS = load_words()
SETTINGS = Settings(zone=CHICAGO)


def view(procedures) -> View:
    learner = Learner(SETTINGS)
    learner.fill(procedures)
    return View(learner, at(2026, 2, 1, 12))


def test_learning_says_how_far() -> None:
    assert normal_sentences(view(steady(at(2026, 1, 1), 10)), WORDS) == [
        "Still learning what is usual: 9 of 14 days."
    ]


def test_the_normal_is_one_sentence_with_its_range_first() -> None:
    said = normal_sentences(
        view(steady(at(2026, 1, 1), 31, colour="clear", depth_cm=6.0, saline_drops=2)), WORDS
    )
    assert said[0] == "Usually 6 to 14 times a day, from 30 days."
    assert "Morning: about 2 times." in said
    assert "Colour: usually clear." in said
    assert "Depth: usually 6 cm." in said
    assert "Saline: at 100 percent of times." in said


def test_supplies() -> None:
    supply = Supply("catheters", 41.6, None, 12, 3.5, 3, 4, date(2026, 2, 4), date(2026, 2, 3))
    now = view([])
    assert supply_sentences([supply], now, WORDS) == [
        "Catheters: about 42 left, 3 to 4 days. Order by 3 February."
    ]
    late = Supply("catheters", 20, None, 12, 1.7, 1, 2, date(2026, 2, 2), date(2026, 2, 1))
    assert supply_sentences([late], now, WORDS)[0].endswith("Order today.")


def test_oxygen_is_never_rounded_up() -> None:
    assert oxygen_sentence(15.9, WORDS) == (
        "The cylinder lasts about 15 minutes, with 200 psi kept back."
    )
    assert oxygen_sentence(576, WORDS) == (
        "The cylinder lasts about 9 hours, with 200 psi kept back."
    )


def test_the_published_rule_is_only_for_comparison() -> None:
    assert fluid_sentences(Intake(450, 900, 840), WORDS) == [
        "450 of 900 millilitres so far, 50 percent of the plan.",
        "For comparison only: a general rule gives 840 for this weight.",
    ]
    assert fluid_sentences(Intake(450, None, None), WORDS) == [
        "450 millilitres so far. The plan has no target."
    ]

import pytest

from tests.dialogue.bedside import BARE_PLAN, MANNERS, Bedside, setting

FIFTEEN, FIFTY = {"pressure_mmhg": 15}, {"pressure_mmhg": 50}
LEFT_OUT = "I left the rest out. Say it again any time."


@pytest.fixture
def bed() -> Bedside:
    bed = Bedside()
    bed.say(action="start_suction")
    return bed


def test_a_question_names_both(bed: Bedside) -> None:
    assert bed.doubt(FIFTEEN, FIFTY) == ["Fifteen, or fifty?"]
    assert bed.state.live == "asking"
    assert bed.state.expected == {"pressure_mmhg", "answer"}
    assert bed.kinds == ["open"]


@pytest.mark.parametrize(
    ("answer", "stored"),
    [
        ({"answer": "first"}, 15),
        ({"answer": "second"}, 50),
        ({"pressure_mmhg": 50}, 50),
        ({"pressure_mmhg": 90}, 90),
    ],
)
def test_answers(bed: Bedside, answer: dict[str, int | str], stored: int) -> None:
    bed.doubt(FIFTEEN, FIFTY, text="pressure fif")
    bed.say("an answer", **answer)
    assert bed.rows[-1].entry.slots == {"pressure_mmhg": stored}
    assert bed.rows[-1].heard.text == "pressure fif / an answer"
    assert bed.rows[-1].heard.confidence == 0.5
    assert bed.state.live == "open"


def test_neither_leaves_it_out(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    assert bed.say(answer="neither") == [LEFT_OUT]
    assert bed.kinds == ["open"]


def test_what_was_clear_is_said_and_kept(bed: Bedside) -> None:
    assert bed.doubt(FIFTEEN, FIFTY, known={"colour": "white", "passes": 2}) == [
        "Heard two passes, white.",
        "Fifteen, or fifty?",
    ]
    bed.say(answer="second")
    assert bed.rows[-1].entry.slots == {"passes": 2, "colour": "white", "pressure_mmhg": 50}


def test_what_was_clear_is_kept_without_an_answer(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"colour": "white"})
    assert bed.hear(12) == ["Fifteen, or fifty?"]
    assert bed.hear(12) == [LEFT_OUT, "White. Saved."]
    assert bed.state.asking is None


def test_it_gives_up_politely_after_two_tries(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"colour": "white"})
    assert bed.mumble() == ["Fifteen, or fifty?"]
    assert bed.mumble() == [LEFT_OUT, "White. Saved."]


def test_the_same_doubt_again_is_a_try(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"colour": "white"})
    assert bed.doubt(FIFTEEN, FIFTY, known={"thickness": "thin"}) == ["Fifteen, or fifty?"]
    assert bed.doubt(FIFTEEN, FIFTY) == [LEFT_OUT, "White, thin. Saved."]


def test_another_doubt_waits_for_its_turn(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    bed.doubt({"spo2": 90}, {"spo2": 99}, known={"colour": "white"})
    assert bed.say(answer="first") == [
        "Pressure fifteen. Saved.",
        "Pressure 15 is below the plan's 80.",
        "Heard white.",
        "Ninety, or ninety nine?",
    ]
    assert bed.say(answer="second") == ["White, sats ninety nine. Saved."]


def test_a_limit_never_decides() -> None:
    """One meaning within the limits, one far outside: both are named, in the order given."""
    for plan in (None, BARE_PLAN):
        bed = Bedside(setting=setting(plan))
        bed.say(action="start_suction")
        assert bed.doubt({"pressure_mmhg": 190}, {"pressure_mmhg": 90}) == [
            "One hundred ninety, or ninety?"
        ]
        assert bed.say(answer="first")[0] == "Pressure one hundred ninety. Saved."


def test_different_slots_are_named_with_their_names(bed: Bedside) -> None:
    said = bed.doubt({"spo2": 94}, {"heart_rate": 94})
    assert said == ["Sats ninety four, or heart rate ninety four?"]


def test_whole_alternatives_are_named_by_what_differs(bed: Bedside) -> None:
    said = bed.doubt(
        {"colour": "white", "passes": 2},
        {"colour": "white", "passes": 3},
        known={"colour": "white"},
    )
    assert said == ["Heard white.", "Two, or three?"]


def test_one_inside_another_is_named_in_full(bed: Bedside) -> None:
    said = bed.doubt({"colour": "white"}, {"colour": "white", "passes": 2})
    assert said == ["White, or white, two passes?"]


def test_a_number_that_could_be_many_things(bed: Bedside) -> None:
    many = [{slot: 15} for slot in ("pressure_mmhg", "heart_rate", "resp_rate", "passes")]
    assert bed.doubt(*many) == ["Fifteen what?"]
    assert bed.say(resp_rate=15)[0] == "Breathing rate fifteen. Saved."


def test_words_left_over_make_what_was_read_doubtful(bed: Bedside) -> None:
    assert bed.doubt(known={"spo2": 90}) == ["Sats ninety. Is that right?"]
    assert bed.say(answer="yes")[0] == "Sats ninety. Saved."
    bed.doubt(known={"spo2": 90})
    assert bed.say(spo2=94) == ["Sats ninety four, was ninety. Saved."]


def test_what_is_not_confirmed_is_dropped_aloud(bed: Bedside) -> None:
    bed.doubt(known={"spo2": 90})
    assert bed.say(answer="no") == ["Dropped, not saved: sats ninety."]
    assert bed.kinds == ["open"]


@pytest.mark.parametrize("answer", [{"answer": "no"}, {"action": "undo"}, {"action": "finish"}])
def test_what_was_done_is_named_with_the_values_that_are_dropped(
    bed: Bedside, answer: dict[str, int | str]
) -> None:
    known = {"action": "stoma_care", "stoma": "red"}
    assert bed.doubt(known=known) == ["Stoma care, stoma red. Is that right?"]
    assert bed.say(**answer)[0] == "Dropped, not saved: stoma care, stoma red."


def test_undo_drops_what_was_only_asked_about(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"colour": "white"})
    assert bed.say(action="undo") == ["Dropped, not saved: white, pressure fifteen."]
    assert bed.kinds == ["open"]


def test_finish_keeps_what_was_clear_first(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"colour": "white", "passes": 1, "thickness": "thin"})
    said = bed.say(action="finish")
    assert said == [LEFT_OUT, "One pass, white, thin. Saved.", "Saved: one pass, white, thin."]


def test_other_values_meanwhile_are_kept_and_it_is_asked_again(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    assert bed.say(colour="white") == ["White. Saved.", "Fifteen, or fifty?"]


def test_a_pass_meanwhile_is_timed_at_once(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    bed.say(action="pass_start")
    assert bed.state.running is not None
    assert bed.state.asking is not None


def test_a_pass_among_doubtful_words_is_timed_at_once(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY, known={"action": "pass_start"})
    assert bed.state.running is not None
    bed.wait(5)
    bed.say(action="pass_end", after=0)
    bed.say(answer="second")
    assert [list(slots) for slots in bed.stored] == [["pass_seconds"], ["pressure_mmhg"]]


def test_actions_in_doubt_are_named_and_done(bed: Bedside) -> None:
    assert bed.doubt({"action": "pass_start"}, {"action": "finish"}) == ["Pass, or finish?"]
    asked = bed.at
    bed.say(answer="first", after=3)
    assert bed.state.running is not None
    assert bed.state.running.since == asked


def test_an_action_in_doubt_is_answered_by_naming_it(bed: Bedside) -> None:
    bed.doubt({"action": "tie_change"}, {"action": "tube_change"}, known={"colour": "white"})
    assert bed.say(action="tube_change") == ["Tube change. Saved.", "White. Saved."]


def test_answering_with_more_than_the_answer(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    bed.say(pressure_mmhg=50, colour="white", action="finish", passes=1, thickness="thin")
    assert bed.kinds[-1] == "close"
    assert bed.stored == [
        {"pressure_mmhg": 50, "colour": "white", "passes": 1, "thickness": "thin"}
    ]


def test_an_action_in_doubt_and_another_said_with_the_answer_are_both_done(bed: Bedside) -> None:
    bed.doubt({"action": "tie_change"}, {"action": "tube_change"})
    bed.say(answer="first", action="stoma_care")
    assert [slots["action"] for slots in bed.stored] == ["tie_change", "stoma_care"]


def test_no_may_be_a_value_of_what_was_asked() -> None:
    asking = Bedside(setting=setting(manners=MANNERS.model_copy(update={"required": ("odour",)})))
    asking.say(action="start_suction")
    assert asking.say(action="finish") == ["Any smell?"]
    assert asking.doubt({"odour": "none"}, {"answer": "no"})[0] == "No smell. Saved."


def test_a_doubtful_answer_to_a_missing_value(bed: Bedside) -> None:
    bed.say(action="finish")
    assert bed.doubt({"passes": 2}, {"passes": 3}) == ["Two, or three?"]
    assert bed.say(answer="second") == ["Three passes. Saved.", "What colour?"]


def test_doubt_when_idle_becomes_a_whole_procedure_once_settled() -> None:
    bed = Bedside()
    bed.doubt({"passes": 2}, {"passes": 3}, known={"colour": "white"})
    assert bed.say(answer="first") == ["Two passes, white. Saved."]
    assert bed.kinds == ["open", "values", "close"]


def test_an_answer_nobody_asked_for_is_not_caught(bed: Bedside) -> None:
    assert bed.say(answer="yes") == ["I didn't catch that."]
    assert Bedside().say(answer="yes") == []


def test_third_of_two_is_asked_again(bed: Bedside) -> None:
    bed.doubt(FIFTEEN, FIFTY)
    assert bed.say(answer="third") == ["Fifteen, or fifty?"]


def test_a_question_waits_for_the_read_back(bed: Bedside) -> None:
    bed.holding = True
    assert bed.say(action="finish", colour="white") == []
    assert [a.text for a in bed.release() if hasattr(a, "text")] == [
        "White. Saved.",
        "How many passes?",
    ]


def test_a_question_does_not_wait_for_ever(bed: Bedside) -> None:
    bed.holding = True
    bed.say(action="finish", colour="white")
    assert bed.hear(5) == ["Please wait. Not saved yet.", "How many passes?"]

import pytest

from tests.dialogue.bedside import BARE_PLAN, NIGHT, Bedside, setting


def test_opening_saves_first_then_says_the_childs_own_limits() -> None:
    bed = Bedside()
    assert bed.say(action="start_suction") == [
        "Started. Depth six point five. Pressure eighty to one hundred. Passes under ten seconds."
    ]
    assert bed.kinds == ["open"]


def test_limits_that_are_not_the_plans_are_said_to_be_published() -> None:
    """Pass under 10 s: common practice.  Pressure 80 to 100 for infants: NTSP, Ireton 2007."""
    bed = Bedside(setting=setting(BARE_PLAN))
    assert bed.say(action="start_suction") == [
        "Started. Pressure eighty to one hundred, U K safety project. "
        "Passes under ten seconds, common practice."
    ]


def test_a_limit_half_the_plans_is_not_mixed_with_a_published_half() -> None:
    plan = {**BARE_PLAN, "suction": {"pressure_mmhg_high": 90}}
    said = Bedside(setting=setting(plan)).say(action="start_suction")
    assert "Pressure up to ninety." in said[0]


def test_at_night_the_opening_is_shorter() -> None:
    bed = Bedside(start=NIGHT)
    assert bed.say(action="start_suction") == ["Started. Passes under ten seconds."]


def test_nothing_is_said_before_the_journal_answers() -> None:
    bed = Bedside(holding=True)
    assert bed.say(action="start_suction") == []
    assert bed.hear(1) == []
    assert bed.state.suction is not None


def test_opening_twice_keeps_the_first() -> None:
    bed = Bedside()
    bed.say(action="start_suction")
    assert bed.say(action="start_suction", spo2=94) == [
        "Suction is open since 14:00. Say finish to close it.",
        "Sats ninety four. Saved.",
    ]
    assert bed.kinds == ["open", "values"]


@pytest.mark.parametrize("action", [{}, {"action": "start_suction"}, {"action": "finish"}])
def test_results_told_when_idle_make_a_whole_procedure(action: dict[str, str]) -> None:
    bed = Bedside()
    said = bed.say(**action, passes=2, colour="white", thickness="thick", saline_drops=3)
    assert said == ["Two passes, white, thick, three drops. Saved."]
    assert bed.kinds == ["open", "values", "close"]
    first = bed.rows[0].uuid
    assert [row.entry.procedure for row in bed.rows] == [None, first, first]
    assert bed.state.suction is None


def test_a_whole_procedure_is_read_back_only_when_all_of_it_is_stored() -> None:
    bed = Bedside(holding=True)
    assert bed.say(passes=2, colour="white") == []
    for _ in range(2):
        commit = bed.held.pop()
        assert bed.answer(commit) == [bed.held[-1]]
    assert bed.release()[-1].text == "Two passes, white. Saved."  # type: ignore[union-attr]


def test_a_reading_when_idle_is_logged_without_a_procedure() -> None:
    bed = Bedside()
    assert bed.say(spo2=94) == ["Sats ninety four. Saved."]
    assert bed.kinds == ["values"]
    assert bed.rows[0].entry.procedure is None


def test_settings_said_with_the_start_open_a_procedure() -> None:
    bed = Bedside()
    said = bed.say(action="start_suction", pressure_mmhg=90)
    assert said[1:] == ["Pressure ninety. Saved."]
    assert bed.kinds == ["open", "values"]
    assert bed.state.suction is not None


def test_the_wake_phrase_alone_listens_for_a_while() -> None:
    bed = Bedside()
    bed.say("bedside log")
    assert bed.lines[-2:] == ["    * listening tone", "    * listen: open"]
    bed.wait(14)
    assert bed.state.live == "open"
    bed.wait(2)
    assert bed.state.live == "idle"


def test_the_same_whole_procedure_at_once_again_is_asked_about() -> None:
    bed = Bedside()
    bed.say(passes=1, colour="white")
    assert bed.say(passes=1, colour="white") == ["Same as just now. Log it again?"]
    assert bed.hear(13) == ["Not logged again."]
    assert bed.kinds.count("open") == 1
    bed.say(passes=1, colour="white", after=0)
    assert bed.say(answer="yes") == ["One pass, white. Saved."]
    assert bed.kinds.count("open") == 2


def test_the_same_values_later_are_a_new_procedure() -> None:
    bed = Bedside()
    bed.say(passes=1, colour="white")
    bed.wait(600, step=60)
    assert bed.say(passes=1, colour="white") == ["One pass, white. Saved."]


def test_other_values_at_once_are_not_a_repeat() -> None:
    bed = Bedside()
    bed.say(passes=1, colour="white")
    assert bed.say(passes=2, colour="white") == ["Two passes, white. Saved."]

import pytest

from tests.dialogue.bedside import BARE_PLAN, NIGHT, Bedside, setting, spoken, tones
from voicelog.dialogue.actions import StartClock, StopClock


def opened(**kwargs: object) -> Bedside:
    bed = Bedside(**kwargs)  # type: ignore[arg-type]
    bed.say(action="start_suction")
    return bed


def timed(bed: Bedside, seconds: float) -> list[str]:
    bed.say(action="pass_start")
    bed.wait(seconds, step=0.1)
    return bed.say(action="pass_end", after=0)


def test_a_pass_is_timed_to_a_tenth_and_read_back() -> None:
    bed = opened()
    assert timed(bed, 8.26) == ["Pass one, eight point three seconds. Saved."]
    assert bed.rows[-1].entry.slots == {"pass_seconds": 8.3}
    assert bed.rows[-1].entry.procedure == bed.rows[0].uuid
    assert timed(bed, 6) == ["Pass two, six seconds. Saved."]


def test_the_clock_starts_and_stops() -> None:
    bed = opened()
    timed(bed, 3)
    clocks = [a for a in bed.actions if isinstance(a, StartClock | StopClock)]
    assert clocks == [StartClock("pass"), StopClock("pass")]


def test_a_soft_tone_two_seconds_before_the_limit_and_a_clear_one_at_it() -> None:
    bed = opened()
    bed.say(action="pass_start")
    heard = []
    for _ in range(120):
        heard += [(round(bed.at, 1), tone) for tone in tones(bed.wait(0.1, step=0.1))]
    start = bed.state.running.since  # type: ignore[union-attr]
    assert [(round(at - start, 1), tone) for at, tone in heard] == [(8.0, "soft"), (10.0, "clear")]


def test_a_late_tick_plays_only_the_clear_tone() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert tones(bed.wait(11, step=11)) == ["clear"]


def test_the_published_limit_drives_the_tones_where_the_plan_has_none() -> None:
    """Common practice: under 10 s."""
    bed = Bedside(setting=setting(BARE_PLAN))
    bed.say(action="start_suction")
    bed.say(action="pass_start")
    assert tones(bed.wait(10, step=0.5)) == ["soft", "clear"]


def test_a_pass_over_the_limit_is_said_with_whose_limit() -> None:
    assert timed(opened(), 13)[1:] == ["Pass time 13 is above the plan's 10."]


def test_a_pass_at_the_plans_limit_is_within_it() -> None:
    assert timed(opened(), 10) == ["Pass one, ten seconds. Saved."]


def test_more_passes_than_the_plan_allows_is_said() -> None:
    bed = opened()
    for _ in range(3):
        assert len(timed(bed, 5)) == 1
    assert timed(bed, 5)[1:] == ["Passes 4 are above the plan's 3."]


def test_pass_when_idle_opens_a_procedure_without_delay() -> None:
    bed = Bedside(holding=True)
    bed.say(action="pass_start")
    assert bed.state.running is not None
    bed.wait(5)
    bed.say(action="pass_end", after=0)
    bed.release()
    assert bed.kinds == ["open", "pass"]


def test_a_second_pass_while_one_runs_is_asked_about() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.say(action="pass_start", after=7) == ["A pass is running. Out now, or a new pass?"]
    assert bed.state.live == "asking"


def test_pass_said_over_and_over_is_one_question() -> None:
    bed = opened()
    for _ in range(3):
        bed.say(action="pass_start", after=3)
    assert bed.state.waiting == ()
    bed.say(action="pass_end", after=3)
    assert bed.state.asking is None


def test_it_may_have_been_out_and_then_counts_from_when_it_was_said() -> None:
    bed = opened()
    bed.say(action="pass_start")
    bed.say(action="pass_start", after=7)
    assert bed.say(answer="first", after=4) == ["Pass one, seven seconds. Saved."]


def test_out_said_in_answer_counts_from_now() -> None:
    bed = opened()
    bed.say(action="pass_start")
    bed.say(action="pass_start", after=7)
    assert bed.say(action="pass_end", after=2) == ["Pass one, nine seconds. Saved."]
    assert bed.state.asking is None


def test_it_may_have_been_a_new_pass_and_the_first_is_not_guessed() -> None:
    bed = opened()
    bed.say(action="pass_start")
    bed.say(action="pass_start", after=7)
    bed.say(answer="second", after=1)
    assert bed.say(action="pass_end", after=5) == ["Pass one, six seconds. Saved."]
    assert bed.say(action="finish") == ["How many passes?"]


def test_no_answer_leaves_the_clock_running() -> None:
    bed = opened()
    bed.say(action="pass_start")
    bed.say(action="pass_start", after=7)
    bed.wait(20)
    assert bed.state.running is not None
    assert bed.state.asking is None


def test_a_forgotten_pass_is_stopped_and_never_stored_as_timed() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.hear(61) == ["Pass clock stopped. That time is not kept."]
    assert bed.state.running is None
    assert bed.say(action="pass_end") == ["No pass is running."]
    assert bed.kinds == ["open"]


def test_a_forgotten_pass_is_asked_for_at_the_end_even_beside_timed_ones() -> None:
    bed = opened()
    timed(bed, 5)
    bed.say(action="pass_start")
    bed.wait(61)
    bed.say(colour="white", thickness="thin")
    assert bed.say(action="finish") == ["How many passes?"]
    assert bed.say(passes=2)[0] == "Two passes. Saved."


def test_out_long_after_with_no_tick_between_is_forgotten_too() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.say(action="pass_end", after=300) == ["Pass clock stopped. That time is not kept."]
    assert bed.kinds == ["open"]


def test_a_pass_of_no_length_is_not_stored() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.say(action="pass_end", after=0.3) == ["That pass was too short. Not saved."]
    assert bed.kinds == ["open"]


def test_out_with_no_pass_running() -> None:
    assert opened().say(action="pass_end") == ["No pass is running."]


def test_undo_takes_back_a_running_pass() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.say(action="undo") == ["Pass dropped."]
    assert bed.state.running is None


def test_finish_during_a_pass_stops_its_clock_and_asks_for_the_count() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert bed.say(action="finish", after=5) == [
        "Pass clock stopped. That time is not kept.",
        "How many passes?",
    ]


def test_a_pass_after_finish_takes_the_finish_back() -> None:
    bed = opened()
    bed.say(action="finish")
    bed.say(action="pass_start")
    assert bed.state.asking is None
    bed.wait(20)
    assert bed.state.suction is not None
    assert bed.state.running is not None


def test_values_said_with_out_are_logged_too() -> None:
    bed = opened()
    bed.say(action="pass_start")
    said = bed.say(action="pass_end", colour="white", after=6)
    assert said == ["Pass one, six seconds. Saved.", "White. Saved."]


class TestMismatch:
    """Passes said and passes timed."""

    @pytest.fixture
    def bed(self) -> Bedside:
        bed = opened()
        for _ in range(3):
            timed(bed, 5)
        return bed

    def test_it_is_asked_and_nothing_is_stored_yet(self, bed: Bedside) -> None:
        assert bed.say(passes=2) == ["You said two passes. I timed three passes. Which is right?"]
        assert "values" not in bed.kinds

    def test_the_other_values_are_stored_meanwhile(self, bed: Bedside) -> None:
        said = bed.say(passes=2, colour="white")
        assert said[0] == "White. Saved."
        assert said[1].startswith("You said two passes.")

    @pytest.mark.parametrize(
        ("answer", "stored"),
        [({"answer": "first"}, 2), ({"answer": "second"}, 3), ({"passes": 4}, 4)],
    )
    def test_the_answer_is_stored_and_not_asked_again(
        self, bed: Bedside, answer: dict[str, int | str], stored: int
    ) -> None:
        bed.say(passes=2)
        bed.say(**answer)
        assert bed.rows[-1].entry.slots == {"passes": stored}
        bed.say(colour="white", thickness="thick")
        assert bed.say(action="finish")[0].startswith("Saved: ")

    def test_without_an_answer_it_is_stored_as_said_and_pointed_out(self, bed: Bedside) -> None:
        bed.say(passes=2)
        assert bed.hear(12) == ["You said two passes. I timed three passes. Which is right?"]
        assert bed.hear(12) == ["I timed three passes.", "Two passes. Saved."]

    def test_neither_asks_for_the_number(self, bed: Bedside) -> None:
        bed.say(passes=2)
        assert bed.say(answer="neither") == ["How many passes?"]
        assert bed.say(passes=4) == ["Four passes. Saved.", "Passes 4 are above the plan's 3."]

    def test_a_pass_timed_after_the_count_was_said_is_noticed_at_the_end(self) -> None:
        bed = opened()
        timed(bed, 5)
        bed.say(passes=1, colour="white", thickness="thin")
        timed(bed, 5)
        said = bed.say(action="finish")
        assert said == ["You said one pass. I timed two passes. Which is right?"]
        assert bed.say(answer="second") == [
            "Two passes, was one. Saved.",
            "Saved: two passes, white, thin.",
        ]

    def test_a_corrected_count_is_stored_and_the_timed_one_told(self, bed: Bedside) -> None:
        bed.say(passes=3)
        said = bed.say(action="correct", passes=2)
        assert said == ["Two passes, was three. Saved.", "I timed three passes."]


def test_at_night_the_read_back_of_a_pass_is_shorter_and_quiet() -> None:
    bed = opened(start=NIGHT)
    bed.say(action="pass_start")
    bed.wait(5)
    actions = bed.say(action="pass_end", after=0)
    assert actions == ["Five seconds. Saved."]
    assert bed.lines[-1].startswith("    ~")


def test_tones_do_not_repeat() -> None:
    bed = opened()
    bed.say(action="pass_start")
    assert tones(bed.wait(30, step=0.5)) == ["soft", "clear"]
    assert spoken(bed.actions)[1:] == []

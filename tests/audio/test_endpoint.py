"""Where utterances begin and end, with a detector whose probabilities are written down."""

from collections.abc import Iterable, Sequence

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tests.audio.fakes import Open, Written
from voicelog.audio.endpoint import OFF, ON, ONSET_WINDOWS, Endpointer, segments, windows
from voicelog.audio.events import (
    LIVE,
    Event,
    Pause,
    Resumed,
    SpeechEnd,
    SpeechStart,
    Waits,
    WaitsError,
)
from voicelog.audio.sound import WINDOW, WINDOW_MS, Samples

PAUSE, END, HOLD, PREROLL, BLIP = 5, 13, 16, 10, 4  # LIVE in whole windows of 32 ms
LOST = -1.0


def window(probability: float, index: int = 0) -> Samples:
    made = np.full(WINDOW, index, dtype=np.float32)
    made[0] = probability
    return made


def play(probabilities: Iterable[float], waits: Waits = LIVE, *, flush: bool = True) -> list[Event]:
    endpointer = Endpointer(Written(), waits, Open())
    events: list[Event] = []
    for index, probability in enumerate(probabilities):
        events += endpointer.feed(window(probability, index), lost=probability == LOST)
    return events + list(endpointer.flush()) if flush else events


def kinds(events: Sequence[Event]) -> list[type]:
    return [type(event) for event in events]


def ends(events: Sequence[Event]) -> list[SpeechEnd]:
    return [event for event in events if isinstance(event, SpeechEnd)]


def indices(audio: Samples) -> list[int]:
    """Return which fed windows an utterance's audio is made of."""
    return [int(index) for index in audio.reshape(-1, WINDOW)[:, 1]]


def test_an_utterance_starts_pauses_and_ends() -> None:
    events = play([0.0] * 20 + [0.9] * 10 + [0.0] * 30, flush=False)
    assert kinds(events) == [SpeechStart, Pause, SpeechEnd]
    start, pause, end = events
    assert isinstance(start, SpeechStart)
    assert isinstance(pause, Pause)
    assert isinstance(end, SpeechEnd)
    assert start.ms == end.start_ms == 20 * WINDOW_MS
    assert end.end_ms == 30 * WINDOW_MS
    assert pause.ms - end.end_ms == PAUSE * WINDOW_MS == 160
    assert indices(end.audio) == list(range(21 - PREROLL, 30 + PAUSE))
    assert not end.cut


def test_the_end_is_told_after_the_wait_and_not_before() -> None:
    speech = [0.9] * 10 + [0.0] * (END - 1)
    assert not ends(play(speech, flush=False))
    assert ends(play([*speech, 0.0], flush=False))


def test_what_sounds_unfinished_is_waited_for_longer() -> None:
    endpointer = Endpointer(Written(), LIVE, Open())
    for index, probability in enumerate([0.9] * 10 + [0.0] * (HOLD - 1)):
        assert not ends(endpointer.feed(window(probability, index), hold=True))
    assert ends(endpointer.feed(window(0.0), hold=True))


def test_the_end_carries_the_audio_that_the_pause_promised() -> None:
    pause, end = (e for e in play([0.9] * 9 + [0.0] * 20) if isinstance(e, Pause | SpeechEnd))
    assert np.array_equal(pause.audio, end.audio)


def test_speech_after_a_pause_drops_the_promise() -> None:
    events = play([0.9] * 10 + [0.0] * (END - 1) + [0.9] * 10 + [0.0] * 20)
    assert kinds(events) == [SpeechStart, Pause, Resumed, Pause, SpeechEnd]
    assert len(indices(ends(events)[0].audio)) == 10 + END - 1 + 10 + PAUSE


def test_a_short_dip_is_not_even_a_pause() -> None:
    events = play([0.9] * 10 + [0.0] * (PAUSE - 1) + [0.9] * 10 + [0.0] * 20)
    assert kinds(events) == [SpeechStart, Pause, SpeechEnd]


def test_a_blip_is_dropped() -> None:
    assert play([0.0] * 9 + [0.9] * (BLIP - 1) + [0.0] * 40) == []
    assert kinds(play([0.0] * 9 + [0.9] * BLIP + [0.0] * 40)) == [SpeechStart, Pause, SpeechEnd]


def test_a_slow_rise_counts_as_speech() -> None:
    """A soft "four" rises past OFF one window before ON: measured on recorded digits."""
    events = play([0.0] * 9 + [0.34, 0.56, 0.42, 0.25, 0.16] + [0.05] * 30)
    assert ends(events)[0].start_ms == 9 * WINDOW_MS


def test_between_the_thresholds_speech_goes_on_but_does_not_begin() -> None:
    between = (ON + OFF) / 2
    assert play([between] * 50) == []
    assert ends(play([0.9] + [between] * 30 + [0.0] * 20))[0].end_ms == 31 * WINDOW_MS


def test_a_stream_that_stops_mid_word_is_flushed() -> None:
    events = play([0.0] * 9 + [0.9] * 10)
    assert kinds(events) == [SpeechStart, SpeechEnd]
    assert not ends(events)[0].cut


def test_the_cap_cuts_and_so_is_what_follows_without_a_silence() -> None:
    waits = Waits(cap_ms=3200)
    events = ends(play([0.9] * 150 + [0.0] * 20 + [0.9] * 10 + [0.0] * 20, waits))
    assert [end.cut for end in events] == [True, True, False]
    assert len(events[0].audio) == 100 * WINDOW


def test_a_word_after_the_cap_and_a_short_gap_is_still_cut() -> None:
    waits = Waits(cap_ms=3200, hold_ms=HOLD * WINDOW_MS)
    events = ends(play([0.9] * 100 + [0.0] * (HOLD - 1) + [0.9] * 10 + [0.0] * 20, waits))
    assert [end.cut for end in events] == [True, True]
    events = ends(play([0.9] * 100 + [0.0] * HOLD + [0.9] * 10 + [0.0] * 20, waits))
    assert [end.cut for end in events] == [True, False]


def test_an_utterance_that_loses_samples_is_cut() -> None:
    """ "one hundred [lost] twenty" must never be heard as 100, nor as 20."""
    words = [0.9] * 20 + [LOST] * 5 + [0.0] * (HOLD - 1) + [0.9] * 10 + [0.0] * 20
    first, second = ends(play(words))
    assert first.cut
    assert second.cut


def test_words_that_began_while_nobody_listened_are_cut() -> None:
    for gap in range(ONSET_WINDOWS + 2):
        (end,) = ends(play([0.0] * 30 + [LOST] * 40 + [0.0] * gap + [0.9] * 10 + [0.0] * 20))
        assert end.cut == (gap < ONSET_WINDOWS)


def test_lost_samples_are_never_handed_out() -> None:
    events = play([0.0] * 5 + [LOST] * 5 + [0.0] * 5 + [0.9] * 9 + [0.0] * 20)
    assert indices(ends(events)[0].audio) == list(range(10, 24 + PAUSE))


def test_time_runs_on_while_samples_are_lost() -> None:
    events = play([0.0] * 30 + [LOST] * 40 + [0.0] * 30 + [0.9] * 9 + [0.0] * 20)
    assert ends(events)[0].start_ms == 100 * WINDOW_MS


def test_reset_forgets_an_open_utterance() -> None:
    endpointer = Endpointer(Written(), LIVE, Open())
    for _ in range(10):
        endpointer.feed(window(0.9))
    assert endpointer.speaking
    endpointer.reset()
    assert not endpointer.speaking
    assert endpointer.ms == 0
    assert endpointer.flush() == ()


@pytest.mark.parametrize(
    "waits",
    [
        Waits(pause_ms=600),
        Waits(pause_ms=0),
        Waits(cap_ms=500),
        Waits(end_ms=100),
        Waits(hold_ms=400),
    ],
)
def test_waits_that_contradict_one_another_are_refused(waits: Waits) -> None:
    with pytest.raises(WaitsError, match="change the settings"):
        Endpointer(Written(), waits)


probability = st.sampled_from([0.0, 0.0, 0.3, 0.9, 0.9, LOST])
stretch = st.tuples(probability, st.integers(1, 25))
streams = st.lists(stretch, max_size=30).map(lambda runs: [p for p, n in runs for _ in range(n)])
CAPPED = Waits(cap_ms=1600)


@given(streams)
@example([0.9] * 50 + [0.0] * 15 + [0.9] * 10)
def test_events_follow_the_grammar(stream: list[float]) -> None:
    """SpeechStart (Pause Resumed)* [Pause] SpeechEnd, again and again."""
    letters = {SpeechStart: "S", Pause: "P", Resumed: "R", SpeechEnd: "E"}
    told = "".join(letters[kind] for kind in kinds(play(stream, CAPPED)))
    assert told.replace("PR", "").replace("PE", "E").replace("SE", "") == ""


@given(streams)
def test_utterances_are_whole_stretches_of_the_stream_in_order(stream: list[float]) -> None:
    seen = -1
    for end in ends(play(stream, CAPPED)):
        handed = indices(end.audio)
        assert handed[0] > seen, "no window is handed out twice"
        assert handed == list(range(handed[0], handed[-1] + 1))
        assert all(stream[index] != LOST for index in handed)
        seen = handed[-1]


@given(streams)
def test_no_speech_is_swallowed(stream: list[float]) -> None:
    """Four sure windows in a row are in some utterance, when none are lost and none capped."""
    heard = [0.0 if p == LOST else p for p in stream]
    handed = {
        index for end in ends(play(heard, Waits(cap_ms=60_000))) for index in indices(end.audio)
    }
    for index in range(len(heard) - BLIP):
        if heard[index : index + BLIP] == [0.9] * BLIP:
            assert handed.issuperset(range(index, index + BLIP))


@given(streams)
def test_an_utterance_beside_lost_samples_is_marked(stream: list[float]) -> None:
    for end in ends(play(stream, CAPPED)):
        first, last = indices(end.audio)[0], indices(end.audio)[-1]
        if stream[last + 1 : last + 2] == [LOST] and stream[last] != 0.0:
            assert end.cut
        if first and stream[first - 1] == LOST and stream[first] == 0.9:
            assert end.cut


@given(st.integers(0, 3 * WINDOW))
def test_windows_cover_everything_and_pad_the_last(length: int) -> None:
    audio = np.arange(1, length + 1, dtype=np.float32)
    parts = list(windows(audio))
    assert all(part.shape == (WINDOW,) for part in parts)
    joined = np.concatenate([*parts, np.zeros(0, np.float32)])
    assert np.array_equal(joined[:length], audio)
    assert not joined[length:].any()


def test_segments_of_nothing_are_none() -> None:
    assert segments(np.zeros(0, np.float32), vad=Written()) == []


def test_segments_keep_a_pause_of_0_7_s_together_and_part_at_1_s() -> None:
    def spoken(gap_ms: int) -> Samples:
        gap = [0.0] * (gap_ms // WINDOW_MS)
        stream = [0.0] * 20 + [0.9] * 12 + gap + [0.9] * 12 + [0.0] * 40
        return np.concatenate([window(p, 1) for p in stream])

    assert len(segments(spoken(700), vad=Written())) == 1
    assert len(segments(spoken(1000), vad=Written())) == 2

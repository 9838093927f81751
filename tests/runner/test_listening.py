"""The live loop, with a scripted voice detector: what is decoded, when, and what is not."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event
from time import sleep

import numpy as np
import pytest

from tests.audio.fakes import Open, Written
from tests.runner.bedroom import Bedroom, bedroom
from voicelog.audio.endpoint import Endpointer
from voicelog.audio.events import Waits
from voicelog.audio.sound import WINDOW
from voicelog.audio.source import BLOCK_S, Block
from voicelog.grammar import Grammar, Live
from voicelog.recognition.protocol import (
    Audio,
    NoLongerWantedError,
    Recognition,
    Wanted,
    always,
)
from voicelog.runner.listening import Listener

TWO = Recognition(outcome="understood", slots={"passes": 2}, text="two passes", confidence=0.99)
SPEECH, QUIET, LOST = 0.9, 0.0, -1.0


def block(number: int, probability: float) -> Block:
    samples = np.full(WINDOW, max(0.0, probability), np.float32)
    at = (number + 1) * BLOCK_S
    return Block(samples, number * 32, at, lost=probability == LOST)


@dataclass
class Ear:
    """A recogniser that answers from a list and keeps what it was asked."""

    answers: list[Recognition | Exception]
    asked: list[tuple[int, Live, frozenset[str]]] = field(default_factory=list)
    name: str = "ear"
    expecting: list[tuple[Live, frozenset[str]]] = field(default_factory=list)

    def expect(self, live: Live, expected: frozenset[str]) -> None:
        self.expecting.append((live, expected))

    def decode(
        self,
        audio: Audio,
        live: Live = "open",
        expected: frozenset[str] = frozenset(),
        wanted: Wanted = always,
    ) -> Recognition:
        self.asked.append((len(audio) // WINDOW, live, expected))
        return self.answer(audio, wanted)

    def answer(self, audio: Audio, wanted: Wanted) -> Recognition:
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer


@dataclass
class Bed:
    """A listener at an open procedure; the source moves the conversation's clock."""

    room: Bedroom
    ear: Ear
    shown: list[Recognition] = field(default_factory=list)

    def play(self, *probabilities: float, waits: Waits | None = None) -> None:
        listener = Listener(
            self.room.talk,
            self.ear,
            Endpointer(Written(), waits or Waits(), Open()),
            heard=self.shown.append,
        )
        listener.run(self.blocks(probabilities))

    def blocks(self, probabilities: tuple[float, ...]) -> Iterator[Block]:
        begin = self.room.clock.seconds
        for number, probability in enumerate(probabilities):
            made = block(number, probability)
            self.room.clock.seconds = begin + made.at
            yield made


SAID = [SPEECH] * 20
SILENCE = [QUIET] * 30


@pytest.fixture
def bed(tmp_path: Path, english: Grammar) -> Iterator[Bed]:
    with bedroom(tmp_path / "journal.sqlite", english) as room:
        room.hear("start suction")
        yield Bed(room, Ear([]))


def test_an_utterance_is_shown_stored_and_answered(bed: Bed) -> None:
    bed.ear.answers = [TWO]
    bed.play(*SILENCE, *SAID, *SILENCE)
    assert bed.room.stored == [{"passes": 2}]
    assert bed.room.replies()[-1] == "Two passes. Saved."
    assert bed.shown == [TWO]


def test_decoding_begins_in_the_pause_and_only_once(bed: Bed) -> None:
    bed.ear.answers = [TWO]
    bed.play(*SAID, *SILENCE)
    assert len(bed.ear.asked) == 1


def test_the_recogniser_gets_ready_for_what_is_listened_for_next(bed: Bed) -> None:
    done = Recognition(outcome="understood", slots={"action": "finish"}, confidence=0.99)
    bed.ear.answers = [TWO, TWO, done]
    bed.play(*SAID, *SILENCE, *SAID, *SILENCE, *SAID, *SILENCE)
    first, *rest = bed.ear.expecting
    assert first == ("open", frozenset())
    assert rest[-1] == (bed.room.talk.live, bed.room.talk.expected)
    assert len(bed.ear.expecting) == len(set(bed.ear.expecting)), "nothing twice in a row"


def test_what_was_decoded_before_a_pause_ended_is_thrown_away(bed: Bed) -> None:
    """ "One hundred", a breath, "and ten": the first half must not be stored."""
    half = Recognition(outcome="understood", slots={"pressure_mmhg": 100}, confidence=0.99)
    whole = Recognition(outcome="understood", slots={"pressure_mmhg": 110}, confidence=0.99)

    class Both(Ear):
        def answer(self, audio: Audio, wanted: Wanted) -> Recognition:
            return whole if len(audio) // WINDOW > 35 else half

    bed.ear = Both([])
    bed.play(*SAID, *[QUIET] * 10, *SAID, *SILENCE)
    assert bed.room.stored == [{"pressure_mmhg": 110}]
    assert bed.shown == [whole]


@pytest.mark.parametrize(
    ("said", "asked"), [("pressure one hundred", 1), ("pressure ninety five", 2)]
)
def test_a_number_that_may_go_on_is_waited_for(
    bed: Bed, english: Grammar, said: str, asked: int
) -> None:
    """The silence is longer than the usual wait; the decoding is over well before its end."""
    decoded = Event()
    found = Recognition(outcome="understood", slots={"pressure_mmhg": 100}, text=said)

    class Ready(Ear):
        def answer(self, audio: Audio, wanted: Wanted) -> Recognition:
            decoded.set()
            return found

    bed.ear = Ready([])
    ended: list[Recognition] = []
    sound = bed.blocks((*SAID, *[QUIET] * 18, *SAID, *SILENCE))

    def paced() -> Iterator[Block]:
        for number, made in enumerate(sound):
            if number == len(SAID) + 10:
                assert decoded.wait(5)
                sleep(0.05)  # the future is done only after the answer
            yield made

    endpointer = Endpointer(Written(), Waits(), Open())
    Listener(bed.room.talk, bed.ear, endpointer, ended.append, english.unfinished).run(paced())
    assert len(ended) == asked


def test_a_decoding_that_speech_went_on_over_is_told_to_stop(bed: Bed) -> None:
    """It would keep the whole utterance waiting."""
    started, stopped = Event(), Event()

    class Patient(Ear):
        def answer(self, audio: Audio, wanted: Wanted) -> Recognition:
            if started.is_set():
                return TWO
            started.set()
            while wanted():
                sleep(0.001)
            stopped.set()
            raise NoLongerWantedError

    sound = bed.blocks((*SAID, *[QUIET] * 10, *SAID, *SILENCE))

    def paced() -> Iterator[Block]:
        for number, made in enumerate(sound):
            if number == len(SAID) + 10:
                assert started.wait(5)
            yield made

    Listener(bed.room.talk, Patient([]), Endpointer(Written(), Waits(), Open())).run(paced())
    assert stopped.is_set()
    assert bed.room.stored == [{"passes": 2}]


def test_the_source_may_end_in_an_utterance(bed: Bed) -> None:
    bed.ear.answers = [TWO]
    bed.play(*SAID)
    assert bed.room.stored == [{"passes": 2}]


@pytest.mark.parametrize(
    "sound",
    [
        pytest.param([*SAID, *[LOST] * 5, *SILENCE], id="cut at its end"),
        pytest.param([*[LOST] * 5, *SAID, *SILENCE], id="cut at its beginning"),
        pytest.param([*SAID, *[LOST] * 5, *SAID, *SILENCE], id="cut in its middle"),
        pytest.param([*[LOST] * 5, *SAID], id="cut, and the source ends"),
        pytest.param([*SAID, LOST], id="the source ends in lost sound"),
    ],
)
def test_what_was_cut_never_becomes_an_entry(bed: Bed, sound: list[float]) -> None:
    bed.ear.answers = [TWO] * 5
    bed.play(*sound)
    assert bed.room.stored == []
    assert bed.shown == []
    assert "I didn't catch that." in bed.room.replies()


def test_what_is_too_long_never_becomes_an_entry(bed: Bed) -> None:
    bed.ear.answers = [TWO] * 5
    bed.play(*[SPEECH] * 250, *SILENCE, waits=Waits(cap_ms=3200))
    assert bed.room.stored == []
    bed.play(*SILENCE, *SAID, *SILENCE)
    assert bed.room.stored == [{"passes": 2}], "what comes after is heard again"


def test_a_question_put_meanwhile_lets_it_be_decoded_again(bed: Bed) -> None:
    """The grammar that was live in the pause is not the one that is live at the end."""
    talk = bed.room.talk

    started = Event()

    class Turns(Ear):
        def answer(self, audio: Audio, wanted: Wanted) -> Recognition:
            found = super().answer(audio, wanted)
            talk.expected = frozenset({"colour"})
            started.set()
            return found

    wrong = Recognition(outcome="understood", slots={"passes": 9}, confidence=0.99)
    bed.ear = Turns([wrong, TWO])
    sound = bed.blocks((*SAID, *SILENCE))

    def paced() -> Iterator[Block]:
        for number, made in enumerate(sound):
            if number == len(SAID) + 12:
                assert started.wait(5)  # the first decoding is over before the end is told
            yield made

    Listener(talk, bed.ear, Endpointer(Written(), Waits(), Open())).run(paced())
    assert [expected for _, _, expected in bed.ear.asked] == [
        frozenset(),
        frozenset({"colour"}),
    ]
    assert bed.room.stored == [{"passes": 2}]


def test_a_recogniser_that_fails_once_ends_nothing(bed: Bed) -> None:
    bed.ear.answers = [RuntimeError("out of memory"), TWO]
    bed.play(*SAID, *SILENCE, *SAID, *SILENCE)
    assert bed.room.trouble == ["The recogniser failed (out of memory): say it again."]
    assert "I can't make out words now. Use the keys." in bed.room.replies()
    assert bed.room.stored == [{"passes": 2}]


def test_time_passes_while_nobody_speaks(bed: Bed) -> None:
    """The tones of a pass come although nothing is heard."""
    bed.room.hear("pass")
    bed.play(*[QUIET] * 340)
    tones = [kind for what, kind in bed.room.mouth.said if what == "tone"]
    assert tones[-2:] == ["soft", "clear"]


def test_blanked_sound_is_time_too(bed: Bed) -> None:
    bed.room.hear("pass")
    bed.play(*[LOST] * 340)
    tones = [kind for what, kind in bed.room.mouth.said if what == "tone"]
    assert tones[-2:] == ["soft", "clear"]

"""Speaking aloud: in order, the microphone deaf meanwhile, an urgent sentence first."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from threading import Event, Semaphore

import numpy as np
import pytest

from voicelog.audio.sound import WINDOW, Sound
from voicelog.audio.source import BLOCK_S, Block, Gate
from voicelog.errors import VoicelogError
from voicelog.runner.speaking import QUIET_GAIN, SpokenMouth
from voicelog.voice.speech import TextVoice

PATIENCE = 10.0
"""Seconds after which a thread that never comes fails a test."""


@dataclass
class Box:
    """A player that plays at once, or waits to be let go; notes whether the room was deaf."""

    holding: bool = False
    deaf: bool = False
    log: list[tuple[str, bool, float]] = field(default_factory=list)
    playing: Semaphore = field(default_factory=lambda: Semaphore(0))
    stopped: Event = field(default_factory=Event)

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        what = "tone" if len(sound.samples) else "words"
        self.log.append((what, self.deaf, gain))
        self.playing.release()
        if self.holding:
            assert self.stopped.wait(PATIENCE)
            self.holding = False
            return False
        return True

    def stop(self) -> None:
        self.stopped.set()

    @contextmanager
    def shut(self) -> Iterator[None]:
        self.deaf = True
        yield
        self.deaf = False


@dataclass
class Spoken:
    """A mouth, and what came out of it."""

    box: Box = field(default_factory=Box)
    voice: TextVoice = field(default_factory=TextVoice)
    shown: list[str] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.mouth = SpokenMouth(
            self.voice, self.box, self.box.shut, self.shown.append, self.failed.append
        )


def test_sentences_are_shown_and_spoken_in_order() -> None:
    spoken = Spoken()
    for text in ("One.", "Two.", "Three."):
        spoken.mouth.say(text)
    spoken.mouth.close()
    assert spoken.voice.said == spoken.shown == ["One.", "Two.", "Three."]
    assert spoken.failed == []


def test_the_microphone_is_deaf_for_words_and_open_for_tones() -> None:
    spoken = Spoken()
    spoken.mouth.say("Two passes. Saved.")
    spoken.mouth.tone("soft")
    spoken.mouth.close()
    assert spoken.box.log == [("words", True, 1.0), ("tone", False, 1.0)]
    assert not spoken.box.deaf


def test_a_quiet_sentence_is_quieter() -> None:
    spoken = Spoken()
    spoken.mouth.say("Saved.", "quiet")
    spoken.mouth.close()
    assert spoken.box.log == [("words", True, QUIET_GAIN)]


def test_an_urgent_sentence_ends_what_is_said_and_leaves_out_what_waits() -> None:
    spoken = Spoken(Box(holding=True))
    spoken.mouth.say("A long story.")
    assert spoken.box.playing.acquire(timeout=PATIENCE)
    spoken.mouth.say("More of it.")
    spoken.mouth.tone("soft")
    spoken.mouth.say("Follow the emergency plan.", urgent=True)
    spoken.mouth.say("Emergency time saved.")
    spoken.mouth.close()
    assert spoken.box.stopped.is_set()
    assert spoken.shown == [
        "A long story.",
        "Follow the emergency plan.",
        "Emergency time saved.",
    ]
    assert len(spoken.box.log) == 3


@dataclass
class Slow:
    """A player that forgets, when it begins, that it was told to stop, as real ones do."""

    coming: Event = field(default_factory=Event)
    told: Event = field(default_factory=Event)
    ended: list[bool] = field(default_factory=list)

    def play(self, sound: Sound, *, gain: float = 1.0) -> bool:
        if self.coming.is_set():  # the second sentence
            return True
        self.coming.set()
        assert self.told.wait(PATIENCE)
        self.told.clear()
        self.ended.append(self.told.wait(1.0))
        return False

    def stop(self) -> None:
        self.told.set()


def test_something_urgent_in_the_instant_before_a_sentence_is_played() -> None:
    player = Slow()
    mouth = SpokenMouth(TextVoice(), player, nullcontext)
    mouth.say("A long sentence.")
    assert player.coming.wait(PATIENCE)
    mouth.say("Urgent.", urgent=True)
    mouth.close()
    assert player.ended == [True]


def test_something_urgent_while_a_sentence_is_rendered() -> None:
    rendering, go_on = Event(), Event()

    class Slow(TextVoice):
        def say(self, text: str) -> Sound:
            if text == "Old.":
                rendering.set()
                assert go_on.wait(PATIENCE)
            return super().say(text)

    spoken = Spoken(voice=Slow())
    spoken.mouth.say("Old.")
    assert rendering.wait(PATIENCE)
    spoken.mouth.say("Now.", urgent=True)
    go_on.set()
    spoken.mouth.close()
    assert spoken.voice.said == ["Old.", "Now."]
    assert len(spoken.box.log) == 1, "only the urgent one was played"


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (VoicelogError("There is no speaker: plug one in."), "There is no speaker: plug one in."),
        (OSError("gone"), "The reply was not spoken (gone): look at the screen instead."),
    ],
    ids=["foreseen", "unforeseen"],
)
def test_a_sentence_that_fails_is_told_and_shown_and_the_next_is_spoken(
    error: Exception, told: str
) -> None:
    class Hoarse(TextVoice):
        def say(self, text: str) -> Sound:
            if text == "Bad.":
                raise error
            return super().say(text)

    spoken = Spoken(voice=Hoarse())
    spoken.mouth.say("Bad.")
    spoken.mouth.say("Good.")
    spoken.mouth.close()
    assert spoken.failed == [told]
    assert spoken.shown == ["Bad.", "Good."]
    assert spoken.voice.said == ["Good."]
    assert not spoken.box.deaf


def test_the_real_gate_hears_nothing_of_what_the_mouth_says() -> None:
    """Every block in the air while a sentence plays, and shortly after, comes out silent."""

    class Room:
        now = 0.0

        def __iter__(self) -> Iterator[Block]:
            for number in range(100):
                self.now = (number + 1) * BLOCK_S
                yield Block(np.ones(WINDOW, np.float32), number * 32, self.now)

        def clock(self) -> float:
            return self.now

        def close(self) -> None:
            pass

    room = Room()
    gate = Gate(room, tail_s=0.2)
    box = Box(holding=True)
    mouth = SpokenMouth(TextVoice(), box, gate.deaf)
    lost: list[bool] = []
    for number, block in enumerate(gate):
        lost.append(block.lost)
        assert block.lost != block.samples.any()
        if number == 20:
            mouth.say("Two passes. Saved.")
            assert box.playing.acquire(timeout=PATIENCE)
        if number == 60:
            box.stop()
            mouth.close()
    assert not any(lost[:21])
    assert all(lost[21:67]), "40 blocks of speech and 0.2 s for the room to fall silent"
    assert not any(lost[69:])

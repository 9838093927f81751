"""A recording played into a conversation, with the time of the recording."""

from collections.abc import Callable, Iterable

from voicelog.audio.endpoint import Segment
from voicelog.recognition.protocol import Recogniser, Recognition
from voicelog.runner.clock import PlayedClock
from voicelog.runner.conversation import Conversation
from voicelog.runner.recording import decoded

TICK = 0.1
AFTERWARDS = 40.0
"""Seconds of silence after the last utterance, in which open questions run out."""


def replay(
    talk: Conversation,
    clock: PlayedClock,
    parts: Iterable[Segment],
    recogniser: Recogniser,
    heard: Callable[[Segment, Recognition], None] = lambda part, found: None,
) -> None:
    """Play the utterances of one recording into ``talk``.

    Args:
        clock: the clock ``talk`` was made with.
        heard: told each utterance before it is acted on.
    """
    begin = clock.seconds
    for part in parts:
        _pass_time(talk, clock, begin + part.end_ms / 1000)
        found = decoded(part, recogniser, talk.live, talk.expected)
        heard(part, found)
        talk.hear(found)


def settle(talk: Conversation, clock: PlayedClock) -> None:
    """Let the time pass in which unanswered questions run out."""
    _pass_time(talk, clock, clock.seconds + AFTERWARDS)


def _pass_time(talk: Conversation, clock: PlayedClock, until: float) -> None:
    while clock.seconds < until:
        clock.seconds = min(until, clock.seconds + TICK)
        talk.tick()

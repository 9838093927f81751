"""The live loop: windows in, utterances decoded while the wait for their end still runs."""

from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event

from voicelog.audio.endpoint import Endpointer
from voicelog.audio.events import Pause, Resumed, SpeechEnd, SpeechStart
from voicelog.audio.source import Block
from voicelog.grammar import Live
from voicelog.recognition.protocol import Audio, Recogniser, Recognition
from voicelog.runner.conversation import Conversation

TICK_SECONDS = 0.1


@dataclass(slots=True)
class _Guess:
    """A decoding begun before the end of speech was sure, under what was live then."""

    future: Future[Recognition]
    live: Live
    expected: frozenset[str]
    dropped: Event


@dataclass(slots=True)
class Listener:
    """Feeds a source's windows to the endpointer and its utterances to the conversation.

    Args:
        talk: the conversation.
        recogniser: decodes utterances.
        endpointer: finds them.
        heard: told each utterance before it is acted on, for the screen.
        unfinished: tells whether a text breaks off, so that its speaker is given more time.
    """

    talk: Conversation
    recogniser: Recogniser
    endpointer: Endpointer
    heard: Callable[[Recognition], None] = lambda found: None
    unfinished: Callable[[str], bool] = lambda text: False
    _pool: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(max_workers=1, thread_name_prefix="decode")
    )
    _guess: _Guess | None = None
    _ready: tuple[Live, frozenset[str]] | None = None
    _ticked: float = float("-inf")

    def run(self, source: Iterable[Block]) -> None:
        """Listen until the source ends, then take what was still being said."""
        with self._pool:
            self._get_ready()
            for block in source:
                hold = self._holds()
                for event in self.endpointer.feed(block.samples, lost=block.lost, hold=hold):
                    self._take(event)
                if block.at - self._ticked >= TICK_SECONDS:
                    self._ticked = block.at
                    self.talk.tick()
            for event in self.endpointer.flush():
                self._take(event)

    def _take(self, event: SpeechStart | Pause | Resumed | SpeechEnd) -> None:
        match event:
            case Pause():
                self._guess = self._begin(event.audio)
            case SpeechStart() | Resumed():
                self._drop()
            case SpeechEnd():
                self._finish(event)

    def _drop(self) -> None:
        """Forget a decoding whose audio turned out not to be all, so that it makes room."""
        guess, self._guess = self._guess, None
        if guess is not None:
            guess.dropped.set()
            guess.future.cancel()

    def _holds(self) -> bool:
        """Tell whether the end of speech is worth waiting for longer.

        Nothing is lost by that while the decoding still runs.
        """
        if self._guess is None:
            return False
        future = self._guess.future
        if not future.done():
            return True
        return future.exception() is None and self.unfinished(future.result().text)

    def _begin(self, audio: Audio) -> _Guess:
        live, expected, dropped = self.talk.live, self.talk.expected, Event()
        future = self._pool.submit(
            self.recogniser.decode, audio, live, expected, lambda: not dropped.is_set()
        )
        return _Guess(future, live, expected, dropped)

    def _finish(self, event: SpeechEnd) -> None:
        if event.cut:
            # Words may be missing at either side: such speech is never stored.
            self._drop()
            self.talk.hear(Recognition(outcome="not_understood"))
            return
        guess, self._guess = self._guess, None
        state = (self.talk.live, self.talk.expected)
        if guess is None or (guess.live, guess.expected) != state:
            guess = self._begin(event.audio)
        try:
            found = guess.future.result()
        except Exception as error:  # noqa: BLE001  (one bad moment must not end the night)
            self.talk.trouble(f"The recogniser failed ({error}): say it again.")
            self.talk.fault("recogniser")
            return
        self.heard(found)
        self.talk.hear(found)
        self._get_ready()

    def _get_ready(self) -> None:
        """Let the recogniser get ready for what comes next, while the answer is spoken."""
        state = (self.talk.live, self.talk.expected)
        if state != self._ready:
            self._ready = state
            self._pool.submit(self.recogniser.expect, *state)

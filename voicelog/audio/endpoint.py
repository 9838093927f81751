"""Where an utterance begins, pauses and ends, one 32 ms window at a time.

The endpointer reads no clock and no device: time is counted in windows.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from voicelog.audio.events import (
    FILES,
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
from voicelog.audio.vad import NoiseFloor, SileroVad, Vad

ON = 0.5
"""Probability at which speech begins (the detector's published default)."""

OFF = 0.2
"""Probability below which speech pauses; lower than ON so that word ends are kept."""

ONSET_WINDOWS = 4
"""Windows that the detector may need before it is sure: speech found this soon after a
stretch that was not heard may have begun inside it."""


@dataclass(eq=False)
class _Utterance:
    """Speech being collected; counts are windows."""

    windows: list[Samples]
    start: int
    last: int
    voiced: int
    cut: bool
    announced: bool = False
    paused: bool = False


@dataclass(eq=False)
class Endpointer:
    """Turns windows into events; feed it every window of a stream in order.

    Args:
        vad: the voice activity detector.
        waits: how long to wait for what.
        floor: the noise floor.

    """

    vad: Vad = field(default_factory=SileroVad)
    waits: Waits = LIVE
    floor: NoiseFloor = field(default_factory=NoiseFloor)

    def __post_init__(self) -> None:
        lengths = (self.waits.pause_ms, self.waits.end_ms, self.waits.hold_ms)
        if not 0 < lengths[0] <= lengths[1] <= lengths[2] < self.waits.cap_ms:
            raise WaitsError(self.waits)
        self._preroll: deque[Samples] = deque(maxlen=_windows(self.waits.preroll_ms))
        self.reset()

    def reset(self) -> None:
        """Forget everything, as for a new stream."""
        self.vad.reset()
        self.floor.reset()
        self._preroll.clear()
        self._now = 0
        self._rising = 0
        self._doubt = 0
        self._utterance: _Utterance | None = None

    @property
    def ms(self) -> int:
        """Milliseconds fed so far."""
        return self._now * WINDOW_MS

    @property
    def speaking(self) -> bool:
        """Whether an utterance is open."""
        return self._utterance is not None and self._utterance.announced

    def feed(self, window: Samples, *, lost: bool = False, hold: bool = False) -> tuple[Event, ...]:
        """Take the next 512 samples and return what they led to, in order.

        Args:
            window: float32, 512 samples at 16 kHz.
            lost: these samples are not what the room sounded like (blanked or missing).
            hold: what was said so far sounds unfinished, so that its end is waited for longer.

        Raises:
            WindowSizeError: the window is not 512 samples.

        """
        if lost:
            return self._lose()
        probability = self.vad(window)
        loud = self.floor.above(window)
        self._now += 1
        if self._utterance is None:
            return self._listen(window, probability if loud else 0.0)
        if loud and probability >= OFF:
            return self._go_on(self._utterance, window)
        wait = self.waits.hold_ms if hold else self.waits.end_ms
        return self._wait(self._utterance, window, _windows(wait))

    def flush(self) -> tuple[Event, ...]:
        """Close the stream: an utterance still open ends here, whole as far as it goes."""
        utterance, self._utterance = self._utterance, None
        if utterance is None or not self._long_enough(utterance):
            return ()
        return (*self._announce(utterance), self._end(utterance))

    def _lose(self) -> tuple[Event, ...]:
        """Take note of missing samples: what was being said is cut, what follows may be."""
        utterance, self._utterance = self._utterance, None
        self.vad.reset()
        self._now += 1
        self._rising = 0
        self._preroll.clear()
        self._doubt = max(self._doubt, ONSET_WINDOWS)
        if utterance is None:
            return ()
        self._doubt = _windows(self.waits.hold_ms)
        return (self._end(utterance, cut=True),) if utterance.announced else ()

    def _listen(self, window: Samples, probability: float) -> tuple[Event, ...]:
        """Wait for speech."""
        self._rising = self._rising + 1 if probability >= OFF else 0
        self._preroll.append(window)
        doubtful, self._doubt = self._doubt > 0, max(0, self._doubt - 1)
        if probability < ON:
            return ()
        self._utterance = _Utterance(
            windows=list(self._preroll),
            start=self._now - self._rising,
            last=self._now,
            voiced=self._rising,
            cut=doubtful,
        )
        self._preroll.clear()
        self._rising = 0
        return self._announce(self._utterance)

    def _wait(self, utterance: _Utterance, window: Samples, most: int) -> tuple[Event, ...]:
        """Add a silent window to the open utterance; so many in a row end it."""
        utterance.windows.append(window)
        quiet = self._now - utterance.last
        if quiet == _windows(self.waits.pause_ms):
            if not self._long_enough(utterance):
                self._leave(utterance)
                return ()
            utterance.paused = True
            return (Pause(self._audio(utterance), self.ms),)
        if quiet >= most:
            self._leave(utterance)
            self._doubt = 0
            return (self._end(utterance),)
        return ()

    def _go_on(self, utterance: _Utterance, window: Samples) -> tuple[Event, ...]:
        """Speech continues: resume after a pause, announce when long enough, obey the cap."""
        utterance.windows.append(window)
        utterance.last = self._now
        utterance.voiced += 1
        events: tuple[Event, ...] = (Resumed(self.ms),) if utterance.paused else ()
        utterance.paused = False
        events += self._announce(utterance)
        if len(utterance.windows) >= _windows(self.waits.cap_ms):
            self._utterance = None
            self._doubt = _windows(self.waits.hold_ms)
            events += (self._end(utterance, cut=True),)
        return events

    def _announce(self, utterance: _Utterance) -> tuple[Event, ...]:
        if utterance.announced or not self._long_enough(utterance):
            return ()
        utterance.announced = True
        return (SpeechStart(utterance.start * WINDOW_MS),)

    def _long_enough(self, utterance: _Utterance) -> bool:
        return utterance.voiced >= _windows(self.waits.blip_ms)

    def _leave(self, utterance: _Utterance) -> None:
        """Go back to waiting; the silence not handed out becomes the next pre-roll."""
        self._utterance = None
        self._preroll.extend(utterance.windows[self._kept(utterance) :])

    def _kept(self, utterance: _Utterance) -> int:
        """Count the windows up to the pause after the last speech."""
        quiet = self._now - utterance.last
        return len(utterance.windows) - max(0, quiet - _windows(self.waits.pause_ms))

    def _audio(self, utterance: _Utterance) -> Samples:
        return np.concatenate(utterance.windows[: self._kept(utterance)])

    def _end(self, utterance: _Utterance, *, cut: bool = False) -> SpeechEnd:
        return SpeechEnd(
            audio=self._audio(utterance),
            start_ms=utterance.start * WINDOW_MS,
            end_ms=utterance.last * WINDOW_MS,
            cut=cut or utterance.cut,
        )


@dataclass(frozen=True, eq=False)
class Segment:
    """One utterance of a recording; see :class:`SpeechEnd` for ``audio`` and ``cut``."""

    start_ms: int
    end_ms: int
    audio: Samples
    cut: bool = False


def segments(audio: Samples, *, vad: Vad | None = None, waits: Waits = FILES) -> list[Segment]:
    """Return the utterances of a whole recording, none when nobody speaks.

    Args:
        audio: float32 mono at 16 kHz, any length; the last window is padded with silence.
        vad: the voice activity detector, Silero's by default.
        waits: how long a pause inside an utterance may be, and so on.

    """
    endpointer = Endpointer(vad or SileroVad(), waits)
    events = [event for window in windows(audio) for event in endpointer.feed(window)]
    return [
        Segment(event.start_ms, event.end_ms, event.audio, event.cut)
        for event in (*events, *endpointer.flush())
        if isinstance(event, SpeechEnd)
    ]


def windows(audio: Samples) -> Iterator[Samples]:
    """Yield consecutive 512-sample windows, the last padded with silence."""
    for start in range(0, len(audio), WINDOW):
        window = audio[start : start + WINDOW]
        yield np.pad(window, (0, WINDOW - len(window))) if len(window) < WINDOW else window


def _windows(milliseconds: int) -> int:
    return -(-milliseconds // WINDOW_MS)

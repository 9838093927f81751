"""A sound driver that lives in memory, with the behaviour of sounddevice that we rely on."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from types import ModuleType, SimpleNamespace, TracebackType
from typing import Any, Self

import numpy as np

from voicelog.audio.sound import Samples
from voicelog.audio.vad import NoiseFloor


class PortAudioError(Exception):
    """As sounddevice.PortAudioError."""


def device(index: int, name: str, ins: int, outs: int, rate: float = 48_000.0) -> dict[str, Any]:
    return {
        "index": index,
        "name": name,
        "max_input_channels": ins,
        "max_output_channels": outs,
        "default_samplerate": rate,
    }


@dataclass
class FakeSound(ModuleType):
    """Set the fields, then put it into ``sys.modules["sounddevice"]``.

    Args:
        devices: what is plugged in.
        formats: (channels, rate) that the microphone takes.
        hears: mono sound at the stream's rate that the microphone gives, then nothing.
        overflow_at: numbers of the callbacks that report lost samples.
        busy: opening a stream fails.
        dead: streams open but never call back.

    """

    devices: list[dict[str, Any]] = field(default_factory=list)
    formats: set[tuple[int, int]] = field(default_factory=lambda: {(1, 16_000)})
    hears: Any = field(default_factory=lambda: np.zeros(0, np.float32))
    overflow_at: set[int] = field(default_factory=set)
    busy: bool = False
    dead: bool = False
    played: list[Any] = field(default_factory=list)
    opened: list[dict[str, Any]] = field(default_factory=list)
    restarted: int = 0
    pace: float = 0.0

    def __post_init__(self) -> None:
        super().__init__("sounddevice")
        self.PortAudioError = PortAudioError

    @property
    def default(self) -> SimpleNamespace:
        def first(key: str) -> int:
            return next((d["index"] for d in self.devices if d[key]), -1)

        return SimpleNamespace(device=[first("max_input_channels"), first("max_output_channels")])

    def query_devices(self, wanted: int | str | None = None, kind: str | None = None) -> Any:
        if kind is None:
            return self.devices
        usable = [d for d in self.devices if d[f"max_{kind}_channels"]]
        if wanted is None and not usable:
            raise PortAudioError("Error querying device -1")
        for found in usable:
            if wanted is None or found["index"] == wanted or str(wanted) in found["name"]:
                return found
        raise ValueError(f"No {kind} device matching {wanted!r}")

    def check_input_settings(self, **asked: Any) -> None:
        if (asked["channels"], asked["samplerate"]) not in self.formats:
            raise PortAudioError("Invalid sample rate")

    def InputStream(self, **asked: Any) -> "FakeStream":  # noqa: N802
        return self._open(asked, self._listen)

    def OutputStream(self, **asked: Any) -> "FakeStream":  # noqa: N802
        return self._open(asked, self._speak)

    def _terminate(self) -> None:
        self.restarted += 1

    def _initialize(self) -> None:
        self.restarted += 1

    def _open(self, asked: dict[str, Any], run: Callable[["FakeStream"], None]) -> "FakeStream":
        if self.busy:
            raise PortAudioError("Device unavailable")
        self.opened.append(asked)
        return FakeStream(asked, run)

    def _listen(self, stream: "FakeStream") -> None:
        size, channels = stream.asked["blocksize"], stream.asked["channels"]
        for number, start in enumerate(range(0, len(self.hears) - size + 1, size)):
            if stream.ended.is_set() or self.dead:
                return
            heard = np.repeat(self.hears[start : start + size, None], channels, axis=1)
            status = SimpleNamespace(input_overflow=number in self.overflow_at)
            times = SimpleNamespace(currentTime=1.0, inputBufferAdcTime=0.95)
            stream.asked["callback"](heard.astype(np.float32), size, times, status)
            time.sleep(self.pace)

    def _speak(self, stream: "FakeStream") -> None:
        while not (stream.ended.is_set() or self.dead):
            out = np.full((480, 1), np.nan, np.float32)
            stream.asked["callback"](out, 480, None, None)
            self.played.append(out[:, 0].copy())
            time.sleep(self.pace)
            if not out.any():
                time.sleep(0.001)


class FakeStream:
    """Calls back from a thread of its own between start and close."""

    latency = 0.01

    def __init__(self, asked: dict[str, Any], run: Callable[["FakeStream"], None]) -> None:
        self.asked = asked
        self.ended = threading.Event()
        self._thread = threading.Thread(target=run, args=(self,))

    def start(self) -> None:
        self._thread.start()

    def abort(self, *, ignore_errors: bool) -> None:
        self.close(ignore_errors=ignore_errors)

    def close(self, *, ignore_errors: bool = True) -> None:
        self.ended.set()
        if self._thread.ident is not None:
            self._thread.join()

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, _type: type | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        self.close()


class Written:
    """Reads the probability from the window's own first sample."""

    def __call__(self, window: Samples) -> float:
        return float(window[0])

    def reset(self) -> None:
        pass


class Open(NoiseFloor):
    """A floor that lets everything through."""

    def above(self, window: Samples) -> bool:
        return True

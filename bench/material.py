"""What the bench listens to: rendered clips, and recordings of people.

A ``Clip`` is one sound with its truth.  Recorded digits are put into frames
because the log never takes a bare digit: a synthetic voice says "depth" or
"millilitres", a person says the number.  Telephone-band recordings get a frame
in the same band, so that the joint is in loudness and band the same.
"""

import json
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from bench.noise import headset
from bench.sound import RATE, active_rms, level, trim
from bench.speak import speak
from bench.utterances import split_of
from bench.voices import CACHE, VOICES

FRAME_VOICE = next(v for v in VOICES if v.name == "kokoro:am_michael")
GAP_S = 0.08


class NoClipsError(FileNotFoundError):
    """The corpus has not been rendered."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"No clips at {path}: run 'python -m bench.synth' first.")


@dataclass(frozen=True)
class Clip:
    """One sound and what must become of it.

    Args:
        key: unique name, seeds the noise.
        text: the words said ("" if unknown).
        truths: acceptable entries, the expected one first; empty for ``expect`` "nothing".
        expect: "entry", "ask" or "nothing".
        group: what it is reported under.
        info: the rest of its manifest line.
    """

    key: str
    text: str
    truths: tuple[dict[str, Any], ...]
    expect: str
    group: str
    live: str
    parts: tuple[Path | str, ...]
    info: dict[str, Any] = field(default_factory=dict)

    def load(self) -> np.ndarray:
        """The sound: float32 mono 16 kHz; words among ``parts`` are said by the frame voice."""
        if len(self.parts) == 1 and isinstance(self.parts[0], Path):
            return read(self.parts[0])
        narrow = self.info.get("source", "").startswith("fsdd")
        gap = np.zeros(round(GAP_S * RATE), np.float32)
        pieces: list[np.ndarray] = []
        for part in self.parts:
            sound = read(part) if isinstance(part, Path) else frame_word(part)
            sound = level(trim(sound, pad_s=0.02))
            if narrow and not isinstance(part, Path):
                sound = headset(sound) * active_rms(sound) / active_rms(headset(sound))
            pieces += [sound, gap]
        return np.pad(np.concatenate(pieces[:-1]), round(0.3 * RATE))


def read(path: Path) -> np.ndarray:
    """A 16 kHz mono file as float32."""
    audio, rate = soundfile.read(path, dtype="float32")
    if rate != RATE or audio.ndim != 1:
        raise ValueError(f"{path} must be 16 kHz mono")
    return audio


def frame_word(words: str) -> np.ndarray:
    """A frame word from the cache, rendered on first use."""
    path = CACHE / "frames" / f"{words.replace(' ', '_')}.flac"
    if not path.exists():
        audio, rate = speak(FRAME_VOICE, words)
        path.parent.mkdir(parents=True, exist_ok=True)
        soundfile.write(path, soxr.resample(audio, rate, RATE), RATE)
    return read(path)


def synthetic(
    split: str | None = None, cache: Path = CACHE, manifest: str = "manifest.jsonl"
) -> list[Clip]:
    """The rendered corpus, in the manifest's order."""
    path = cache / manifest
    if not path.exists():
        raise NoClipsError(path)
    lines = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    return [
        Clip(
            key=line["file"],
            text=line["text"],
            truths=(line["slots"], *line["also"]) if line["expect"] == "entry" else (),
            expect=line["expect"],
            group=line["style"],
            live=line["live"],
            parts=(cache / line["file"],),
            info=line,
        )
        for line in lines
        if split in (None, "all", line["split"])
    ]


def _frames(digits: str) -> Iterator[tuple[str, str, str, int]]:
    """(words before, words after, slot, value) that fit a spoken digit string."""
    value = int(digits)
    if len(digits) == 1:
        yield "depth", "", "depth_cm", value
        yield "", "drops", "saline_drops", value
        if value:
            yield "", "passes" if value > 1 else "pass", "passes", value
    else:
        yield "fluid", "millilitres", "fluid_ml", value
        if 40 <= value <= 240:
            yield "heart rate", "", "heart_rate", value
        if 60 <= value <= 100:
            yield "sats", "", "spo2", value
        if 10 <= value <= 70:
            yield "breathing rate", "", "resp_rate", value


def _lines(folder: Path, split: str) -> list[dict[str, Any]]:
    """The recordings of ``split`` ("dev", "test" or "all"); a person is in one half only."""
    text = (folder / "manifest.jsonl").read_text("utf-8")
    lines = [json.loads(line) for line in text.splitlines()]
    return [x for x in lines if split in ("all", split_of(f"recorded:{x['voice'] or x['file']}"))]


KEPT_DIGITS = 4
"""One in so many framed digits is for the confidence; those of the others that are of the
development half teach the model."""


def framed_digits(folder: Path, split: str = "dev") -> list[Clip]:
    """Recorded digits inside synthetic frames, in the order of a hash; no depth is zero."""
    found = []
    for line in _lines(folder, split):
        if line["set"] != "human_digits":
            continue
        for before, after, slot, value in _frames(line["digits"]):
            if slot == "depth_cm" and not value:
                continue
            parts = tuple(p for p in (before, folder / line["file"], after) if p)
            found.append(
                Clip(
                    key=f"{line['file']}#{slot}",
                    text=" ".join((before, line["text"], after)).strip(),
                    truths=({slot: value},),
                    expect="entry",
                    group="digit" if len(line["digits"]) == 1 else "digit_string",
                    live="open",
                    parts=parts,
                    info=line,
                )
            )
    return sorted(found, key=lambda clip: zlib.crc32(clip.key.encode()))


def outside(folder: Path, split: str = "dev") -> list[Clip]:
    """Recorded meetings, read speech and noises: nothing may be stored from them."""
    return [
        Clip(
            key=line["file"],
            text=line["text"] or "",
            truths=(),
            expect="nothing",
            group=line["style"],
            live="open",
            parts=(folder / line["file"],),
            info=line,
        )
        for line in _lines(folder, split)
        if line["set"] in ("out_of_domain", "non_speech")
    ]

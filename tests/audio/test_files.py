"""Sound files: any rate and channels in, 16 kHz mono out, one error for each fault."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st

from voicelog.audio import files
from voicelog.audio.sound import RATE, Samples
from voicelog.errors import VoicelogError


def sine(rate: int, seconds: float = 1.0, hertz: float = 440.0) -> Samples:
    times = np.arange(round(rate * seconds)) / rate
    return (0.5 * np.sin(2 * np.pi * hertz * times)).astype(np.float32)


def loudest_hertz(samples: Samples) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
    return float(np.argmax(spectrum)) * RATE / len(samples)


@pytest.mark.parametrize("suffix", ["wav", "flac"])
@pytest.mark.parametrize("channels", [1, 2, 6])
@pytest.mark.parametrize("rate", [8_000, 16_000, 22_050, 44_100, 48_000])
def test_any_rate_and_channels_become_16_khz_mono(
    tmp_path: Path, suffix: str, channels: int, rate: int
) -> None:
    path = tmp_path / f"tone.{suffix}"
    soundfile.write(path, np.tile(sine(rate)[:, None], (1, channels)), rate)
    samples = files.read(path)
    assert samples.dtype == np.float32
    assert samples.ndim == 1
    assert abs(len(samples) - RATE) <= 1
    assert loudest_hertz(samples) == pytest.approx(440, abs=1.5)
    middle = samples[2000:-2000]
    assert np.sqrt(np.mean(middle**2)) == pytest.approx(0.5 / np.sqrt(2), rel=0.02)


def test_channels_are_averaged(tmp_path: Path) -> None:
    left = sine(RATE)
    soundfile.write(tmp_path / "two.wav", np.stack([left, np.zeros_like(left)], 1), RATE)
    assert files.read(tmp_path / "two.wav") == pytest.approx(left / 2, abs=1e-4)


def test_samples_at_16_khz_come_through_unchanged(tmp_path: Path) -> None:
    left = sine(RATE, 0.3)
    soundfile.write(tmp_path / "a.wav", left, RATE, subtype="FLOAT")
    assert np.array_equal(files.read(tmp_path / "a.wav"), left)


def test_silence_is_read(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "quiet.wav", np.zeros(RATE, np.float32), RATE)
    assert not files.read(tmp_path / "quiet.wav").any()


def test_a_long_file_comes_in_pieces_and_reads_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "long.flac"
    soundfile.write(path, sine(44_100, 3.3), 44_100)
    whole = files.read(path)
    monkeypatch.setattr(files, "CHUNK_SECONDS", 1)
    pieces = list(files.stream(path))
    assert len(pieces) == 4
    assert np.concatenate(pieces) == pytest.approx(whole, abs=1e-6)


def test_missing(tmp_path: Path) -> None:
    with pytest.raises(files.SoundFileMissingError, match=r"no file .*gone\.wav"):
        files.read(tmp_path / "gone.wav")


def test_zero_bytes(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").touch()
    with pytest.raises(files.SoundFileEmptyError, match="empty"):
        files.read(tmp_path / "empty.wav")


@pytest.mark.parametrize("suffix", ["wav", "flac"])
def test_zero_frames(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"none.{suffix}"
    soundfile.write(path, np.zeros(0, np.float32), RATE)
    with pytest.raises(files.SoundFileEmptyError):
        files.read(path)


@pytest.mark.parametrize("content", [b"two passes white thick\n" * 50, b"\x00" * 5000, b"{}"])
def test_not_sound(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "notes.wav").write_bytes(content)
    with pytest.raises(files.NotSoundFileError, match="not a sound file"):
        files.read(tmp_path / "notes.wav")


def test_a_folder_is_not_sound(tmp_path: Path) -> None:
    with pytest.raises(files.NotSoundFileError):
        files.read(tmp_path)


@settings(max_examples=25, deadline=None)
@given(kept=st.floats(0.0, 0.999))
def test_a_wav_cut_anywhere_is_never_read_as_whole(
    tmp_path_factory: pytest.TempPathFactory, kept: float
) -> None:
    path = tmp_path_factory.mktemp("cut") / "cut.wav"
    soundfile.write(path, sine(RATE), RATE)
    whole = path.read_bytes()
    path.write_bytes(whole[: max(1, int(len(whole) * kept))])
    with pytest.raises(files.SoundFileError) as caught:
        files.read(path)
    if kept > 0.01:
        assert isinstance(caught.value, files.SoundFileTruncatedError)


@pytest.mark.parametrize("kept", [0.3, 0.5, 0.8, 0.99])
def test_a_flac_cut_short_is_told(tmp_path: Path, kept: float) -> None:
    path = tmp_path / "cut.flac"
    noise = np.random.default_rng(1).normal(0, 0.1, 3 * RATE).astype(np.float32)
    soundfile.write(path, noise, RATE)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(files.SoundFileTruncatedError, match="cut short"):
        files.read(path)


def test_a_wav_of_unknown_length_is_read(tmp_path: Path) -> None:
    """Recorders that write to a pipe cannot go back and fill in the size."""
    path = tmp_path / "pipe.wav"
    soundfile.write(path, sine(RATE), RATE)
    content = bytearray(path.read_bytes())
    at = content.index(b"data") + 4
    content[at : at + 4] = b"\xff\xff\xff\xff"
    path.write_bytes(content)
    assert len(files.read(path)) == RATE


def test_damage_inside_is_told(tmp_path: Path) -> None:
    path = tmp_path / "bad.flac"
    noise = np.random.default_rng(1).normal(0, 0.1, 20 * RATE).astype(np.float32)
    soundfile.write(path, noise, RATE)
    content = bytearray(path.read_bytes())
    content[20_000:25_000] = bytes(5_000)
    path.write_bytes(content)
    with pytest.raises(files.SoundFileUnreadableError, match="damaged"):
        files.read(path)


def test_values_that_are_not_numbers_are_told(tmp_path: Path) -> None:
    samples = sine(RATE)
    samples[100] = np.nan
    soundfile.write(tmp_path / "nan.wav", samples, RATE, subtype="FLOAT")
    with pytest.raises(files.SoundFileUnreadableError, match="not numbers"):
        files.read(tmp_path / "nan.wav")


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Patched, because the superuser may read everything."""

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(files.SoundFileUnreadableError, match="Permission denied"):
        files.read(tmp_path / "private.wav")


def test_every_fault_is_one_plain_sentence(tmp_path: Path) -> None:
    for error in (
        files.SoundFileMissingError(tmp_path),
        files.SoundFileEmptyError(tmp_path),
        files.NotSoundFileError(tmp_path),
        files.SoundFileTruncatedError(tmp_path),
        files.SoundFileUnreadableError(tmp_path, "why"),
    ):
        assert isinstance(error, VoicelogError)
        assert ": " in str(error)
        assert str(error).endswith(".")
        assert "\n" not in str(error)

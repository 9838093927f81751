"""Kept sentences: least recently used in memory, fixed ones on disk for their owner alone."""

import os
import stat
from pathlib import Path

import numpy as np
import pytest

from voicelog.audio.sound import Sound
from voicelog.voice import cache as module
from voicelog.voice.cache import SpeechCache, key_of


def sound(value: float = 0.5, length: int = 2000) -> Sound:
    return Sound(np.full(length, value, np.float32), 22_050)


def test_the_least_recently_used_goes_first() -> None:
    cache = SpeechCache(sentences=2)
    for name in "ab":
        cache.put(name, sound())
    cache.get("a")
    cache.put("c", sound())
    assert cache.get("a") is not None
    assert cache.get("b") is None
    assert cache.get("c") is not None


def test_only_fixed_sentences_reach_the_disk(tmp_path: Path) -> None:
    folder = tmp_path / "speech"
    cache = SpeechCache(folder)
    cache.put("said", sound())
    cache.put("fixed", sound(0.25), fixed=True)
    assert [path.name for path in folder.iterdir()] == ["fixed.wav"]
    later = SpeechCache(folder)
    assert later.get("said") is None
    found = later.get("fixed")
    assert found is not None
    assert found.rate == 22_050
    assert found.samples == pytest.approx(sound(0.25).samples, abs=1e-4)


@pytest.mark.skipif(os.name != "posix", reason="file modes are POSIX")
def test_files_and_folder_are_for_their_owner(tmp_path: Path) -> None:
    folder = tmp_path / "speech"
    SpeechCache(folder).put("k", sound(), fixed=True)
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / "k.wav").stat().st_mode) == 0o600


@pytest.mark.skipif(os.name != "posix", reason="file modes are POSIX")
def test_a_folder_that_others_may_write_to_is_not_used(tmp_path: Path) -> None:
    folder = tmp_path / "speech"
    SpeechCache(folder).put("k", sound(), fixed=True)
    folder.chmod(0o777)
    assert SpeechCache(folder).get("k") is None


def test_a_folder_that_cannot_be_made_is_no_error(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    cache = SpeechCache(tmp_path / "file" / "speech")
    cache.put("k", sound(), fixed=True)
    assert cache.get("k") is not None
    assert not cache.on_disk("k")


@pytest.mark.parametrize("kept", [0, 20, 44, 1000])
def test_a_damaged_file_is_as_good_as_none(tmp_path: Path, kept: int) -> None:
    SpeechCache(tmp_path / "s").put("k", sound(), fixed=True)
    path = tmp_path / "s" / "k.wav"
    path.write_bytes(path.read_bytes()[:kept])
    assert SpeechCache(tmp_path / "s").get("k") is None


def test_a_full_disk_is_no_error_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    cache = SpeechCache(tmp_path / "s")
    monkeypatch.setattr(Path, "replace", full)
    cache.put("k", sound(), fixed=True)
    assert list((tmp_path / "s").iterdir()) == []
    assert cache.get("k") is not None


def test_pruning_keeps_the_newest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "FILES_KEPT", 2)
    cache = SpeechCache(tmp_path / "s")
    for age, name in enumerate("abc"):
        cache.put(name, sound(), fixed=True)
        os.utime(tmp_path / "s" / f"{name}.wav", (1000 + age, 1000 + age))
    cache.prune()
    assert sorted(path.stem for path in (tmp_path / "s").iterdir()) == ["b", "c"]


def test_the_key_depends_on_everything_that_is_heard() -> None:
    keys = {
        key_of("a", "e", "v", 160, 1.0),
        key_of("b", "e", "v", 160, 1.0),
        key_of("a", "f", "v", 160, 1.0),
        key_of("a", "e", "w", 160, 1.0),
        key_of("a", "e", "v", 161, 1.0),
        key_of("a", "e", "v", 160, 0.9),
    }
    assert len(keys) == 6

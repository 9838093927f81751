"""A clip sounds the same in every run, and each condition does what its name says."""

import json

import numpy as np
import pytest
import soundfile

from bench import material
from bench.conditions import NAMES, Conditions, UnknownConditionError, snr_of
from bench.sound import RATE, active_rms


def speech(seconds=1.5, seed=3):
    rng = np.random.default_rng(seed)
    gate = (np.arange(round(seconds * RATE)) // 3200) % 5 < 3
    return (rng.standard_normal(len(gate)) * gate * 0.05).astype(np.float32)


@pytest.fixture(scope="module")
def conditions():
    return Conditions([speech(1.0, seed) for seed in range(6)])


@pytest.mark.parametrize("name", NAMES)
def test_every_condition_repeats_and_stays_in_range(conditions, name):
    audio = speech()
    first = conditions.apply(name, "a.flac", audio)
    again = conditions.apply(name, "a.flac", audio)
    assert np.array_equal(first, again)
    assert first.dtype == np.float32
    assert len(first) >= len(audio)
    assert np.abs(first).max() <= 1.0
    assert np.isfinite(first).all()
    assert np.array_equal(first, audio) == (name == "clean")


def test_noise_differs_from_clip_to_clip(conditions):
    audio = speech()
    one, other = (conditions.apply("pump10", key, audio) for key in ("a", "b"))
    assert not np.array_equal(one, other)


def test_lower_ratio_is_noisier(conditions):
    audio = speech()
    pauses = (np.arange(len(audio)) // 3200) % 5 >= 3

    def noise_in_pauses(name):
        heard = conditions.apply(name, "a", audio)
        return np.sqrt(np.mean(heard[pauses] ** 2)) / active_rms(heard)

    assert noise_in_pauses("pump5") > 2 * noise_in_pauses("pump20")


@pytest.mark.parametrize("name", ["pump", "train10", "", "room+train10"])
def test_unknown_condition_is_refused_by_name(conditions, name):
    with pytest.raises(UnknownConditionError, match="unknown"):
        conditions.apply(name, "a", speech())


def test_snr_of():
    assert snr_of("pump10") == ("pump", 10)
    assert snr_of("babble0") == ("babble", 0)
    assert snr_of("room+pump10") is None
    assert snr_of("clean") is None


@pytest.fixture
def recordings(tmp_path, monkeypatch):
    """Two digits and one meeting; frame words are a buzz instead of a voice."""
    lines = [
        {"file": "d7.flac", "set": "human_digits", "text": "seven", "digits": "7"},
        {"file": "d92.flac", "set": "human_digits", "text": "nine two", "digits": "92"},
        {"file": "m.flac", "set": "out_of_domain", "text": None, "style": "meeting"},
    ]
    for line in lines:
        line |= {"source": "fsdd", "voice": "someone"}
        soundfile.write(tmp_path / line["file"], speech(0.8), RATE)
    (tmp_path / "manifest.jsonl").write_text("".join(json.dumps(x) + "\n" for x in lines), "utf-8")
    monkeypatch.setattr(material, "frame_word", lambda words: speech(0.5, len(words)))
    return tmp_path


def test_digits_get_every_frame_that_fits(recordings):
    clips = material.framed_digits(recordings, "all")
    found = [(c.text, c.truths[0]) for c in clips]
    expected = [
        ("depth seven", {"depth_cm": 7}),
        ("seven drops", {"saline_drops": 7}),
        ("seven passes", {"passes": 7}),
        ("fluid nine two millilitres", {"fluid_ml": 92}),
        ("heart rate nine two", {"heart_rate": 92}),
        ("sats nine two", {"spo2": 92}),
    ]
    assert sorted(found, key=str) == sorted(expected, key=str)
    for clip in clips:
        assert len(clip.load()) > 1.2 * RATE
        assert 0.01 < active_rms(clip.load()) < 0.2


def test_recordings_of_others_have_no_truth(recordings):
    (clip,) = material.outside(recordings, "all")
    assert clip.expect == "nothing"
    assert clip.truths == ()
    assert len(clip.load()) == round(0.8 * RATE)


def test_a_person_is_in_one_half_only(tmp_path):
    lines = [
        {"file": f"{n}.flac", "set": "out_of_domain", "text": "", "style": "read", "source": "x"}
        | {"voice": f"person {n % 20}"}
        for n in range(60)
    ]
    (tmp_path / "manifest.jsonl").write_text("".join(json.dumps(x) + "\n" for x in lines), "utf-8")
    dev, test = ({c.info["voice"] for c in material.outside(tmp_path, s)} for s in ("dev", "test"))
    assert dev
    assert test
    assert not dev & test
    assert len(material.outside(tmp_path, "all")) == 60


def test_missing_manifest_says_what_to_do(tmp_path):
    with pytest.raises(material.NoClipsError, match=r"bench\.synth"):
        material.synthetic(cache=tmp_path)

"""The mouth that keeps what would have been said."""

from voicelog.runner.mouth import Mouth, SilentMouth


def test_sentences_and_tones_are_kept_in_order() -> None:
    mouth = SilentMouth()
    speaks: Mouth = mouth
    speaks.say("Started.")
    speaks.tone("soft")
    speaks.say("Not saved.", "quiet", urgent=True)
    assert mouth.said == [("say", "Started."), ("tone", "soft"), ("say", "Not saved.")]


def test_two_mouths_share_nothing() -> None:
    one, other = SilentMouth(), SilentMouth()
    one.say("Saved.")
    assert other.said == []

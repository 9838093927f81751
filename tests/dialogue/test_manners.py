from pathlib import Path

import pytest

from voicelog.dialogue import Manners, load_manners
from voicelog.dialogue.manners import MannersBrokenError


def test_the_file_and_the_defaults_say_the_same() -> None:
    assert load_manners() == Manners()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("answer_wait: 0", "answer_wait"),
        ("anser_wait: 5", "anser_wait"),
        ("required: [", "broken"),
        ("[]", "broken"),
    ],
)
def test_a_broken_file_is_refused(tmp_path: Path, text: str, why: str) -> None:
    (tmp_path / "_dialogue.yaml").write_text(text)
    with pytest.raises(MannersBrokenError, match=why):
        load_manners(tmp_path)


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(MannersBrokenError, match="cannot be read"):
        load_manners(tmp_path)

"""Options that take one of a few words."""

import pytest

from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("say", "--state", "bogus", "x"), "'bogus' is none; give one of idle, open."),
        (("hear", "--state", "bogus", "x"), "'bogus' is none; give one of idle, open."),
        (("hear", "--engine", "ear", "x"), "'ear' is none; give one of moonshine, vosk."),
        (
            ("plan", "new", "R", "--age", "old"),
            "'old' is none; give one of neonate, infant, child, adolescent.",
        ),
    ],
)
def test_another_word_is_told_with_those_there_are(
    run: Run, arguments: tuple[str, ...], told: str
) -> None:
    ran = run(*arguments)
    assert ran.code == 2
    last = ran.err.splitlines()[-1]
    assert last.startswith("Error: Invalid value for '--")
    assert last.endswith(f": {told}")


def test_the_words_are_in_the_help(run: Run) -> None:
    assert "<idle|open>" in run("say", "--help").out

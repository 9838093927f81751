"""Words that stand outside phrases, found as whole sequences."""

from voicelog.grammar.lexicon import Lexicon, inside, longest

FILLERS = {"you": (("you", "know"),), "um": (("um",),)}


def test_the_longest_sequence_counts() -> None:
    table = {"no": (("no",), ("no", "wait"))}
    assert longest(table, ["no", "wait", "two"], 0) == 2
    assert longest(table, ["no", "two"], 0) == 1
    assert longest(table, ["two"], 0) == 0


def test_a_word_is_inside_a_sequence_that_began_before_it() -> None:
    words = ["um", "you", "know", "white"]
    assert [inside(FILLERS, words, at) for at in range(4)] == [True, True, True, False]


def test_figures_and_number_words_count() -> None:
    lexicon = Lexicon(FILLERS, {}, frozenset({"two"}), frozenset())
    assert lexicon.counts("two")
    assert lexicon.counts("37.5")
    assert not lexicon.counts("white")

"""Words with a part to play outside phrases."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from voicelog.entries import Slots


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Words with a part to play outside phrases.

    ``fillers``, ``blockers`` and ``questions`` map a first word to whole word sequences.
    ``harmless`` words may be skipped; ``cues`` announce a number ("pressure", "drops"), so that
    skipping one means its number was lost. ``differences`` stand before a change ("up one
    litre"); ``beside`` maps a slot to those whose bare number, right beside it, may be about it
    ("coughed ten seconds"), and ``leading`` words may begin such a number, ``lasting`` ones
    after a comma too; one that ends in an ``owning`` word ("nine deep") is not bare. A word of
    ``past`` beside ``day_parts`` tells of an earlier time, ``habits`` by themselves; ``mixed``
    maps an action to the slots whose value may belong to it, and ``elsewhere`` tells what such
    a value means then. ``tags`` end a question, unless it only makes one of the ``requests``;
    ``carried`` maps a slot to the slots and first words that, right after its bare number, tell
    what it is, and the least it may be ("ninety four on two litres"). ``rates`` maps a slot to
    words that make a rate of its number, if it has no unit. ``waits`` maps a slot to the most
    that is a wait when said bare ("two secs"), and ``aims`` begin what a phrase is for ("passes
    for the zoo"). ``selves`` are the speaker ("i'm wheezy"), ``turns`` take back what was said,
    if strange words follow ("but that's the light"), ``orders`` tell another to do it;
    ``trailing`` words may go on with what was said; ``links`` say a value of the word before
    them ("the yoghurt is thick"), as do words with an ending of ``linking`` ("homework's
    done"); ``listed`` words fill their slots in a list, beside a slot of ``listing``, between
    ``joins`` or commas; ``closing`` words at the end correct nothing, ``counted`` ones may
    repeat what they follow ("three drops twice"), ``reworded`` ones need a value before
    ("yellow i mean") and other words may go on with ``unended`` ones ("it smells of soap").
    There may be some "of" the slots in ``measured``, unless a ``single`` word stands before.
    ``figured`` writes the numbers among words in figures.
    """

    fillers: dict[str, tuple[tuple[str, ...], ...]]
    blockers: dict[str, tuple[tuple[str, ...], ...]]
    counting: frozenset[str]
    idle_words: frozenset[str]
    questions: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    of: frozenset[str] = frozenset()
    harmless: frozenset[str] = frozenset()
    cues: frozenset[str] = frozenset()
    differences: frozenset[str] = frozenset()
    beside: dict[str, tuple[str, ...]] = field(default_factory=dict)
    leading: frozenset[str] = frozenset()
    lasting: frozenset[str] = frozenset()
    owning: frozenset[str] = frozenset()
    day_parts: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    past: frozenset[str] = frozenset()
    habits: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    mixed: dict[str, tuple[str, ...]] = field(default_factory=dict)
    elsewhere: dict[str, dict[str, dict[str, Slots]]] = field(default_factory=dict)
    tags: frozenset[str] = frozenset()
    requests: frozenset[str] = frozenset()
    waits: dict[str, int] = field(default_factory=dict)
    carried: dict[str, dict[str, int]] = field(default_factory=dict)
    rates: dict[str, frozenset[str]] = field(default_factory=dict)
    aims: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    selves: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    orders: dict[str, tuple[tuple[str, ...], ...]] = field(default_factory=dict)
    turns: frozenset[str] = frozenset()
    trailing: frozenset[str] = frozenset()
    links: frozenset[str] = frozenset()
    linking: tuple[str, ...] = ()
    listed: dict[str, tuple[str, ...]] = field(default_factory=dict)
    listing: frozenset[str] = frozenset()
    joins: frozenset[str] = frozenset()
    measured: dict[str, tuple[str, ...]] = field(default_factory=dict)
    single: frozenset[str] = frozenset()
    closing: frozenset[str] = frozenset()
    counted: frozenset[str] = frozenset()
    reworded: frozenset[str] = frozenset()
    unended: dict[str, tuple[str, ...]] = field(default_factory=dict)
    figured: Callable[[list[str]], list[str]] = list

    def counts(self, word: str) -> bool:
        """Tell whether ``word`` is, or belongs to, a number."""
        return word in self.counting or word[0].isdigit()


def longest(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> int:
    """Return the length of the longest of these sentences that stands at ``words[at]``."""
    options = table.get(words[at], ())
    return max((len(o) for o in options if tuple(words[at : at + len(o)]) == o), default=0)


def inside(table: dict[str, tuple[tuple[str, ...], ...]], words: Sequence[str], at: int) -> bool:
    """Tell whether ``words[at]`` is part of one of these sentences."""
    return any(at < start + longest(table, words, start) for start in range(at + 1))

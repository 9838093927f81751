"""The grammar's words as a Vosk model has them.

A model hears only words of its vocabulary and drops all others without telling.
Where a language's blanks are free, a word the model lacks is put together from
words it has ("많아요" from "많" and "아요") and joined again after decoding.
"""

from collections.abc import Callable

from voicelog.grammar.template import Alt, Hole, Node, Seq, Word

Spoken = tuple[str, ...]


class ModelWords:
    """Spells the grammar's words with a model's, and back.

    Args:
        has: whether the model knows a word.
        parts: a word may be put together from several.
    """

    def __init__(self, has: Callable[[str], bool], *, parts: bool) -> None:
        self._has, self._parts = has, parts
        self._spelt: dict[str, Spoken] = {}
        self._whole: dict[Spoken, str] = {}

    def has(self, word: str) -> bool:
        """Tell whether the model knows ``word`` itself."""
        return self._has(word)

    def spell(self, word: str) -> Spoken:
        """Return the model's words for one of ours, () where it has none."""
        if word not in self._spelt:
            spelt = (word,) if self._has(word) else self._put_together(word)
            self._spelt[word] = spelt
            if len(spelt) > 1:
                self._whole[spelt] = word
        return self._spelt[word]

    def _put_together(self, word: str) -> Spoken:
        """Return the fewest parts, the first as long as can be."""
        if not self._parts:
            return ()
        best: dict[int, Spoken] = {0: ()}
        for end in range(1, len(word) + 1):
            ways = [
                (*best[at], word[at:end])
                for at in range(end)
                if at in best and self._has(word[at:end])
            ]
            if ways:
                best[end] = min(ways, key=lambda way: (len(way), [-len(part) for part in way]))
        return best.get(len(word), ())

    def join(self, text: str) -> str:
        """Return a decoded text with the words that ``spell`` took apart whole again."""
        heard, found = tuple(text.split()), []
        longest = max(map(len, self._whole), default=1)
        at = 0
        while at < len(heard):
            sizes = range(min(longest, len(heard) - at), 1, -1)
            size = next((n for n in sizes if heard[at : at + n] in self._whole), 1)
            part = heard[at : at + size]
            found.append(self._whole.get(part, part[0]))
            at += size
        return " ".join(found)

    def prune(self, node: Node) -> Node | None:
        """Return the ways to say ``node`` that the model can hear, None where there is none."""
        if isinstance(node, Word):
            return node if self.spell(node.text) else None
        if isinstance(node, Hole):
            return node
        kept = [
            self.prune(part) for part in (node.parts if isinstance(node, Seq) else node.options)
        ]
        left = tuple(part for part in kept if part is not None)
        if isinstance(node, Seq):
            return Seq(left) if len(left) == len(kept) else None
        return Alt(left) if left else None

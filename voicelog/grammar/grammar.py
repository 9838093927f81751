"""One language's grammar: the parser, the decoder's mask and sample sentences from one source."""

from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path
from random import Random

from voicelog.entries import SlotValue
from voicelog.grammar import sample, template, tokens
from voicelog.grammar.fuzzy import FuzzyWords
from voicelog.grammar.judge import Live, Parse
from voicelog.grammar.lexicon import Lexicon
from voicelog.grammar.mask import MaskWriter
from voicelog.grammar.network import Label, Network, Reader, Reading
from voicelog.grammar.numbers import Numbers
from voicelog.grammar.parse import Parser
from voicelog.grammar.phrases import TEXT, WAKE, Phrase, phrases_of
from voicelog.grammar.spacing import Spacing
from voicelog.grammar.spec import LanguageSpec, NumberSpec, load_spec


class Grammar:
    """Everything that can be understood in one language.

    Args:
        spec: the checked grammar files.
        names: caregivers who may say who they are.
        child: what the child is called.
    """

    def __init__(self, spec: LanguageSpec, names: Iterable[str] = (), child: str = "") -> None:
        self.spec = spec
        self.names = tuple(names)
        self.child = child.lower()
        self.numbers = Numbers(spec.numbers)
        self.phrases = phrases_of(spec, self.names)

    @property
    def version(self) -> str:
        """Language and digest of the files, stored with every row."""
        return self.spec.version

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of the phrases, without number words."""
        found: set[str] = set()
        for phrase in self.phrases:
            found |= phrase.words
        return frozenset(found)

    @cached_property
    def parser(self) -> Parser:
        """The parser, built when it is first needed."""
        language = self.spec.language
        network = Network(self._readers(), self._floats, self._counted, self.numbers.opens)
        for phrase in self.phrases:
            label = Label(phrase.slot, phrase.spec, phrase.fixed, phrase.asked)
            network.add(phrase.tree, label)
        lexicon = Lexicon(
            fillers=_by_first(language.fillers),
            blockers=_by_first(language.blockers),
            questions=_by_first(language.questions),
            counting=self.numbers.counting | frozenset(self.numbers.file.point),
            of=frozenset(language.of),
            idle_words=frozenset(language.idle.words),
            harmless=self.spec.skipping.words,
            differences=frozenset(self.spec.skipping.differences),
            beside=self.spec.skipping.beside,
            leading=frozenset(self.spec.skipping.leading),
            lasting=frozenset(self.spec.skipping.lasting),
            owning=frozenset(self.spec.skipping.owning),
            cues=self._cues(),
            day_parts=_by_first(self.spec.skipping.day_parts),
            past=frozenset(self.spec.skipping.past),
            habits=_by_first(self.spec.skipping.habits),
            mixed=self.spec.skipping.mixed,
            elsewhere=self.spec.skipping.elsewhere,
            tags=frozenset(self.spec.skipping.tags),
            requests=frozenset(self.spec.skipping.requests),
            waits=self.spec.skipping.waits,
            carried=self.spec.skipping.carried,
            rates=self.spec.skipping.rates,
            aims=_by_first(self.spec.skipping.aims),
            selves=_by_first(self.spec.skipping.selves),
            orders=_by_first(self.spec.skipping.orders),
            turns=frozenset(self.spec.skipping.turns),
            trailing=frozenset(self.spec.skipping.trailing),
            links=frozenset(self.spec.skipping.links),
            linking=tuple(language.contractions),
            listed=self.spec.skipping.listed,
            listing=frozenset(self.spec.skipping.listing),
            joins=frozenset(self.spec.skipping.joins),
            measured=self.spec.skipping.measured,
            single=frozenset(self.spec.skipping.single),
            closing=frozenset(self.spec.skipping.closing),
            counted=frozenset(self.spec.skipping.counted),
            reworded=frozenset(self.spec.skipping.reworded),
            unended=self.spec.skipping.unended,
            figured=self.numbers.figured,
        )
        fuzzy = FuzzyWords(self.vocabulary, self.numbers.words, language.never_merge)
        return Parser(network, lexicon, fuzzy)

    def _cues(self) -> frozenset[str]:
        """Return the words that announce a number."""
        found: set[str] = set()
        for phrase in self.phrases:
            if phrase.spec is not None and phrase.spec.number is not None and phrase.hole:
                found |= template.needed(phrase.tree)
        skipping = self.spec.skipping
        return frozenset(found) - skipping.words - skipping.idle - self.numbers.words

    @cached_property
    def spellings(self) -> dict[str, str]:
        """Spellings of the language, and contractions of its own words: "temp's" to "temp is".

        Those of caregivers' names and of blockers too: the stoma in "stoma's red" must not be
        passed over.
        """
        language = self.spec.language
        apart = {word for word in language.blockers if word.isalpha()}
        kept = self.vocabulary | {*language.blockers, *language.questions}
        short = {
            cue + ending: f"{cue} {word}"
            for cue in self._cues() | apart | {name.lower() for name in self.names}
            for ending, word in language.contractions.items()
        }
        known = {word: said for word, said in short.items() if word not in kept}
        return {**known, **language.spellings}

    @cached_property
    def _named(self) -> dict[str, str]:
        """The spellings, and the child's name as the word for any: "mia's ties" to "baby's ties".

        Not where it means something else too ("will", "grace"), or is a caregiver's.
        """
        language, name = self.spec.language, self.child
        elsewhere = self.vocabulary | self.spec.skipping.words | self.numbers.words
        elsewhere |= {*language.blockers, *language.questions}
        if not language.child or not name.isalpha() or name in elsewhere:
            return self.spellings
        endings = ("", *language.contractions)
        return {**{name + end: language.child + end for end in endings}, **self.spellings}

    @cached_property
    def _floating(self) -> frozenset[str]:
        return self.spec.skipping.floats

    @cached_property
    def _breaths(self) -> frozenset[str]:
        return self.spec.skipping.breaths

    @property
    def _counted(self) -> frozenset[str]:
        """The holes that are numbers."""
        said = [p for p in self.phrases if p.spec is not None and p.spec.number is not None]
        return frozenset(phrase.hole for phrase in said if phrase.hole)

    def _floats(self, words: list[str], at: int) -> bool:
        """Tell whether ``words[at]`` may be passed over inside a phrase."""
        word = words[at]
        if word in self._floating:
            return True
        following = words[at + 1] if at + 1 < len(words) else ""
        return word not in self.vocabulary and any(
            word.endswith(ending) and following in before.split()
            for ending, before in self.spec.skipping.doing.items()
        )

    def _readers(self) -> dict[str, Reader]:
        readers: dict[str, Reader] = {TEXT: _rest}
        for phrase in self.phrases:
            spec = phrase.spec.number if phrase.spec is not None else None
            if phrase.hole and phrase.hole not in readers:
                readers[phrase.hole] = _value_reader(phrase) if spec is None else self._number(spec)
        return readers

    def _number(self, spec: NumberSpec) -> Reader:
        def read(words: list[str], at: int) -> list[Reading]:
            return list(self.numbers.read(words, at, spec))

        return read

    def parse(
        self,
        text: str,
        live: Live = "open",
        expected: Iterable[str] = (),
        *,
        strict: bool = False,
    ) -> Parse:
        """Return what ``text`` means.

        Args:
            text: a sentence, written or recognised.
            live: "idle" hears only the wake phrase and start words.
            expected: slots that were asked for, so that a bare value is enough.
            strict: refuse unknown words and likenesses (the decoder's own text has none).
        """
        words = self._words(text, self._named)
        found = self.parser.parse(text, words, live, frozenset(expected), strict=strict)
        if found.note and self._named is not self.spellings:  # a note keeps the name
            words = self._words(text, self.spellings)
            return self.parser.parse(text, words, live, frozenset(expected), strict=strict)
        return found

    def _words(self, text: str, spellings: Mapping[str, str]) -> tokens.Words:
        words = tokens.without(tokens.split(text, spellings), self._breaths)
        return words if self.spacing is None else self.spacing.cut(words)

    def unfinished(self, text: str) -> bool:
        """Tell whether the last word of ``text`` leaves something open: "ninety", "and", "um"."""
        words = tokens.split(text, self.spellings).words
        return bool(words) and (
            words[-1] in self.spec.language.fillers or self.numbers.goes_on(words[-1])
        )

    @cached_property
    def spacing(self) -> Spacing | None:
        """What finds the words where blanks are free, or None where they are not."""
        if self.spec.language.spacing == "fixed":
            return None
        blockers = {word for blocker in self.spec.language.blockers for word in blocker.split()}
        network = self.parser.network
        return Spacing(
            known=self.words() | blockers | self.spec.skipping.words,
            counting=self.numbers.words,
            scales=frozenset(self.spec.numbers.scales),
            particles=frozenset(self.spec.language.particles),
            counters=network.after_holes(self._counted),
            raw_after=network.before_hole(TEXT),
        )

    def sample(self, rng: Random, most: int = 4) -> tuple[str, dict[str, SlotValue]]:
        """Return a random sentence that can be spoken, and its meaning."""
        return sample.sentence(self.phrases, self.numbers, rng, most)

    def words(self) -> frozenset[str]:
        """Return every word that can be spoken, numbers and fillers among them."""
        fillers = {w for f in self.spec.language.fillers for w in tokens.split(f).words}
        return sample.every_word(self.phrases, self.numbers) | fillers

    @cached_property
    def mask(self) -> MaskWriter:
        """The writer of the decoder's grammars."""
        harmless = self.spec.skipping.words
        return MaskWriter(self.spec.language, self.numbers, self.phrases, harmless)


def _rest(words: list[str], at: int) -> list[Reading]:
    return [(len(words), " ".join(words[at:]))]


def _value_reader(phrase: Phrase) -> Reader:
    network = Network({})
    for value, tree in phrase.values:
        network.add(tree, Label("value", None, value))

    def read(words: list[str], at: int) -> list[tuple[int, SlotValue]]:
        return [(match.end, match.value) for match in network.match(words, at)]

    return read


def _by_first(sentences: Iterable[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    table: dict[str, tuple[tuple[str, ...], ...]] = {}
    for sentence in sentences:
        words = tokens.split(sentence).words
        table[words[0]] = (*table.get(words[0], ()), words)
    return table


def load(
    language: str = "en", root: Path | None = None, names: Iterable[str] = (), child: str = ""
) -> Grammar:
    """Read the grammar of ``language``.

    Raises:
        GrammarMissingError, GrammarBrokenError: see ``load_spec``.
    """
    return Grammar(load_spec(language, root), names, child)


__all__ = ["WAKE", "Grammar", "load"]

"""The decoder's grammar, written from the same phrases as the parser.

One small grammar in llguidance's Lark dialect for each part of an utterance: a
slot, the wake phrase, the fillers.  The decoder strings them together and keeps
count of the slots that were said.  Words are terminals and gaps are their own
terminals: a phrase as one terminal would lock the lexer into long phrases.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from voicelog.grammar import tokens
from voicelog.grammar.network import Label, MergedState, Network
from voicelog.grammar.numbers import Numbers, Trie
from voicelog.grammar.phrases import ASIDE, NO_SLOT, TEXT, Phrase
from voicelog.grammar.spec import LanguageFile, NumberSpec
from voicelog.grammar.template import Node, parse

FILLER = "filler"
HARMLESS = "harmless"
"""Fillers, asides and small words that may be skipped without a thought."""
START = "start"
"""The part that opens a procedure when nobody said the wake phrase."""

# Forcing would allow one way only to cut a word into subwords, not the model's.
HEAD = """\
%llguidance {"no_forcing": true}
start: SP first
SP: " "
GAP: " "
DASH: /[ -]/
"""


class MaskWriter:
    """Writes the mask for one state of the dialogue."""

    def __init__(
        self,
        language: LanguageFile,
        numbers: Numbers,
        phrases: Sequence[Phrase],
        harmless: frozenset[str] = frozenset(),
    ) -> None:
        self.language, self.numbers, self.harmless = language, numbers, harmless
        self.phrases = [phrase for phrase in phrases if phrase.hole != TEXT]
        self.rules: list[str] = []
        self.names: dict[str, str] = {}

    def slots(self, expected: frozenset[str]) -> list[str]:
        """Return the slots that can be filled now."""
        heard = {p.slot for p in self.phrases if not p.asked or p.slot in expected}
        return sorted(heard - NO_SLOT)

    def lark(self, part: str, expected: frozenset[str]) -> str:
        """Return the grammar of one part: a slot's name, WAKE, START or FILLER."""
        self.rules, self.names = [], {}
        if part in (FILLER, HARMLESS):
            small = self.harmless if part == HARMLESS else frozenset()
            said = [" ".join(tokens.split(filler).words) for filler in self.language.fillers]
            trees = [parse(words, {}) for words in (*said, *sorted(small))]
            self._trees("first", [*trees, *(p.tree for p in self.phrases if p.slot == ASIDE)])
        elif part == START:
            self._rule("first", _starts(self.phrases, self.language.idle.words))
        else:
            own = [p for p in self.phrases if p.slot == part]
            self._rule("first", [p for p in own if not p.asked or part in expected])
        return HEAD + "\n".join(self.rules) + "\n" + self._terminals()

    def _rule(self, name: str, phrases: Iterable[Phrase]) -> None:
        network = Network({})
        for phrase in phrases:
            network.add(phrase.tree, Label(phrase.slot))
            self._hole(phrase)
        self._network(name, network)

    def _hole(self, phrase: Phrase) -> None:
        if not phrase.hole or phrase.hole in self.names:
            return
        name = self.names[phrase.hole] = f"h{len(self.names)}"
        if phrase.spec is not None and phrase.spec.number is not None:
            self._number(name, phrase.spec.number)
        else:
            self._trees(name, [tree for _, tree in phrase.values])

    def _trees(self, name: str, trees: Iterable[Node]) -> None:
        network = Network({})
        for tree in trees:
            network.add(tree, Label(name))
        self._network(name, network)

    def _network(self, name: str, network: Network) -> None:
        """Write a word network as one rule for each of its states, equal states joined."""
        known: dict[object, str] = {}
        seen: dict[int, str] = {}

        def written(state: MergedState) -> str:
            if id(state) not in seen:
                arcs = [(self._word(word), state.after(word)) for word in state.words]
                arcs += [(self.names[hole], network.merged(to)) for hole, to in state.holes.items()]
                groups: dict[tuple[str, bool], list[str]] = {}
                for symbol, target in arcs:
                    if target is not None:
                        onward = written(target)
                        groups.setdefault((onward, bool(target.labels)), []).append(symbol)
                seen[id(state)] = self._state(name, groups, known)
            return seen[id(state)]

        first = written(network.merged(frozenset({0})))
        self.rules.append(f"{name}: {first}")

    def _state(
        self,
        prefix: str,
        groups: dict[tuple[str, bool], list[str]],
        known: dict[object, str],
        gap: str = "GAP",
    ) -> str:
        options = []
        for (onward, ends), symbols in groups.items():
            joined = self._either(symbols)
            if onward and ends:
                options.append(f"{joined} ({gap} {onward})?")
            else:
                options.append(f"{joined} {gap} {onward}" if onward else joined)
        key = frozenset(options)
        if not options:
            return ""
        if key not in known:
            known[key] = f"{prefix}_{len(known)}"
            self.rules.append(f"{known[key]}: " + " | ".join(options))
        return known[key]

    def _either(self, symbols: list[str]) -> str:
        """Return one name for any of ``symbols``: written out each time, llguidance is slow."""
        if len(symbols) == 1:
            return symbols[0]
        options = " | ".join(sorted(symbols))
        if options not in self.names:
            self.names[options] = f"e{len(self.names)}"
            self.rules.append(f"{self.names[options]}: {options}")
        return self.names[options]

    def _word(self, word: str) -> str:
        if word not in self.names:
            self.names[word] = f"W{len(self.names)}"
        return self.names[word]

    def _terminals(self) -> str:
        lines = []
        for word, name in self.names.items():
            if name.startswith("W"):
                written = [word[0].upper() + word[1:], word]
                written += self.language.written.get(word, ())
                quoted = " | ".join(f'"{way}"' for way in dict.fromkeys(written))
                lines.append(f"{name}: {quoted}")
        return "\n".join(lines) + "\n"

    def _number(self, name: str, spec: NumberSpec) -> None:
        known: dict[object, str] = {}
        seen: dict[int, str] = {}

        def written(node: Trie) -> str:
            if id(node) not in seen:
                groups: dict[tuple[str, bool], list[str]] = {}
                for word, child in node.children.items():
                    key = (written(child), bool(child.values))
                    groups.setdefault(key, []).append(self._word(word))
                seen[id(node)] = self._state(name, groups, known, "DASH")
            return seen[id(node)]

        first = written(self.numbers.trie(spec))
        said = [" GAP ".join(map(self._word, h.split())) for h in self.numbers.file.hedges]
        about = f"({' | '.join(f'{hedge} GAP' for hedge in said)})? " if said else ""
        self.rules.append(f"{name}: {about}({first} | {name}_f)")
        self.rules.append(f"{name}_f: /{figures(spec)}/")


def _starts(phrases: Iterable[Phrase], idle: Sequence[str]) -> list[Phrase]:
    """Return the action phrases that need no wake phrase, cut to the values that need none."""
    found = []
    for phrase in phrases:
        kept = tuple(pair for pair in phrase.values if pair[0] in idle)
        if phrase.slot == "action" and phrase.fixed is None and kept:
            found.append(replace(phrase, values=kept))
        elif phrase.slot == "action" and phrase.fixed in idle:
            found.append(phrase)
    return found


def figures(spec: NumberSpec) -> str:
    """Return a regular expression for the numbers of ``spec`` in figures."""
    low, high = int(spec.low), int(spec.high)
    whole = _whole(max(low, 0), high)
    if not spec.decimals:
        return whole
    inside = _whole(low, high - 1) if high > low else whole
    pointed = rf"({inside})\.[0-9]{{1,{spec.decimals}}}"
    return rf"({whole})|{pointed}" if spec.whole else pointed


def _whole(low: int, high: int) -> str:
    groups: dict[int, list[int]] = {}
    for value in range(low, high + 1):
        groups.setdefault(value // 10, []).append(value % 10)
    return "|".join(f"{tens or ''}[{units[0]}-{units[-1]}]" for tens, units in groups.items())

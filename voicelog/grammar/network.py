"""Every phrase of the grammar as one word network, made deterministic as it is used."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from voicelog.entries import SlotValue
from voicelog.grammar.spec import PhraseSpec
from voicelog.grammar.template import Alt, Node, Seq, Word

Reading = tuple[int, SlotValue]
Reader = Callable[[list[str], int], list[Reading]]
Floats = Callable[[list[str], int], bool]


@dataclass(frozen=True, slots=True)
class Label:
    """What a finished path means: the slot, the phrase family and a fixed value."""

    slot: str
    spec: PhraseSpec | None = None
    fixed: SlotValue | None = None
    asked: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """A stretch of words that is one phrase: ``words[start:end]`` gives ``slot`` its value.

    ``extra`` is the name or free text that came with a fixed value ("this is Rosa").
    ``leads`` marks words that mean nothing until a value follows ("change the"),
    ``follows`` those that mean nothing before one ("not five").
    """

    start: int
    end: int
    slot: str
    value: SlotValue
    asked: bool = False
    extra: str = ""
    leads: bool = False
    follows: bool = False


@dataclass(slots=True)
class _State:
    arcs: dict[str, list[int]] = field(default_factory=dict)
    holes: dict[str, list[int]] = field(default_factory=dict)
    labels: list[Label] = field(default_factory=list)
    onward: list[int] = field(default_factory=list)
    """States that are reached without a word."""


class MergedState:
    """A set of states; its followers are worked out when they are first asked for."""

    __slots__ = ("_arcs", "_network", "_next", "holes", "labels")

    def __init__(self, network: "Network", states: frozenset[int]) -> None:
        self._network = network
        self._next: dict[str, MergedState] = {}
        members = [network.states[number] for number in sorted(states)]
        self.labels = tuple(dict.fromkeys(label for state in members for label in state.labels))
        self._arcs = _gather(state.arcs for state in members)
        self.holes = _gather(state.holes for state in members)

    @property
    def words(self) -> Iterable[str]:
        """The words that lead on from here."""
        return self._arcs

    def after(self, word: str) -> "MergedState | None":
        """Return the state after ``word``, or None where no phrase goes on with it."""
        known = self._next.get(word)
        if known is None and word in self._arcs:
            known = self._next[word] = self._network.merged(self._arcs[word])
        return known


def _gather(tables: Iterable[dict[str, list[int]]]) -> dict[str, frozenset[int]]:
    targets: dict[str, set[int]] = {}
    for table in tables:
        for key, ends in table.items():
            targets.setdefault(key, set()).update(ends)
    return {key: frozenset(ends) for key, ends in targets.items()}


def _never(words: list[str], at: int) -> bool:
    return False


def _always(word: str) -> bool:
    return True


class Network:
    """Phrases added once, then matched at any place of a sentence.

    Args:
        readers: what reads each kind of hole.
        floats: tells of a word that may stand inside a phrase before its number.
        counted: the holes that are numbers.
        opens: tells of a word that a number may begin with.
    """

    def __init__(
        self,
        readers: dict[str, Reader],
        floats: Floats = _never,
        counted: frozenset[str] = frozenset(),
        opens: Callable[[str], bool] = _always,
    ) -> None:
        self.readers, self.floats, self.counted, self.opens = readers, floats, counted, opens
        self.states = [_State()]
        self._merged: dict[frozenset[int], MergedState] = {}

    def add(self, node: Node, label: Label) -> None:
        """Add one phrase; a hole's name is the key of its reader."""
        end = self._new()
        self._path(node, 0, end)
        self.states[end].labels.append(label)

    def _path(self, node: Node, start: int, end: int) -> None:
        """Let the words of ``node`` lead from ``start`` to ``end``."""
        if isinstance(node, Seq):
            for part in node.parts[:-1]:
                onward = self._new()
                self._path(part, start, onward)
                start = onward
            if node.parts:
                self._path(node.parts[-1], start, end)
            else:
                self.states[start].onward.append(end)
        elif isinstance(node, Alt):
            for option in node.options:
                self._path(option, start, end)
        else:
            state = self.states[start]
            table = state.arcs if isinstance(node, Word) else state.holes
            key = node.text if isinstance(node, Word) else node.name
            table.setdefault(key, []).append(end)

    def _new(self) -> int:
        self.states.append(_State())
        return len(self.states) - 1

    def _reached(self, numbers: Iterable[int]) -> frozenset[int]:
        """Return these states and all that are reached from them without a word."""
        found: set[int] = set()
        ways = list(numbers)
        while ways:
            number = ways.pop()
            if number not in found:
                found.add(number)
                ways += self.states[number].onward
        return frozenset(found)

    def after_holes(self, holes: frozenset[str]) -> frozenset[str]:
        """Return the words that may follow right after one of ``holes``."""
        ends = {n for state in self.states for hole in holes for n in state.holes.get(hole, ())}
        return frozenset(word for n in self._reached(ends) for word in self.states[n].arcs)

    def before_hole(self, hole: str) -> frozenset[str]:
        """Return the words that may stand right before ``hole``."""
        return frozenset(
            word
            for state in self.states
            for word, ends in state.arcs.items()
            if any(hole in self.states[n].holes for n in self._reached(ends))
        )

    def merged(self, numbers: frozenset[int]) -> MergedState:
        """Return the one merged state for these states."""
        known = self._merged.get(numbers)
        if known is None:
            known = self._merged[numbers] = MergedState(self, self._reached(numbers))
        return known

    def _starts(
        self,
        state: MergedState,
        words: list[str],
        here: int,
        breaks: frozenset[int],
        *,
        floating: bool,
    ) -> list[int]:
        """Return where the number that ``state`` waits for may begin: some words may float."""
        if self.counted.isdisjoint(state.holes):
            return []
        found = [here]
        while floating and found[-1] < len(words) and found[-1] not in breaks:
            if not self.floats(words, found[-1]):
                break
            found.append(found[-1] + 1)
        return [start for start in found if start < len(words) and self.opens(words[start])]

    def match(self, words: list[str], at: int, breaks: frozenset[int] = frozenset()) -> list[Match]:
        """Return every phrase that starts at ``words[at]``; no word floats after a comma."""
        found: dict[Match, None] = {}
        ways: list[tuple[MergedState, int, SlotValue | None]] = [
            (self.merged(frozenset({0})), at, None)
        ]
        while ways:
            state, here, value = ways.pop()
            if here > at:
                for label in state.labels:
                    meant = label.fixed if label.fixed is not None else value
                    if meant is not None:
                        extra = str(value) if label.fixed is not None and value is not None else ""
                        found[_labelled(at, here, label, meant, extra)] = None
            if here >= len(words):
                continue
            following = state.after(words[here])
            if following is not None:
                ways.append((following, here + 1, value))
            # after a word that was passed over only the number may come
            starts = self._starts(state, words, here, breaks, floating=here > at)
            for name, target in state.holes.items():
                for start in starts if name in self.counted else [here]:
                    read = self.readers[name](words, start)
                    if read:
                        onward = self.merged(target)
                        ways.extend((onward, end, value) for end, value in read)
        return list(found)


def _labelled(start: int, end: int, label: Label, meant: SlotValue, extra: str) -> Match:
    spec = label.spec
    return Match(
        start,
        end,
        label.slot,
        converted(meant, spec),
        label.asked,
        extra,
        leads=spec is not None and spec.leads,
        follows=spec is not None and spec.follows,
    )


def converted(value: SlotValue, spec: PhraseSpec | None) -> SlotValue:
    """Return a spoken number in the slot's unit."""
    if spec is None or spec.number is None or isinstance(value, str):
        return value
    if spec.scale == 1 and spec.offset == 0 and spec.round is None:
        return value
    changed = round(value * spec.scale + spec.offset, spec.round or 0)
    return int(changed) if not spec.round else changed

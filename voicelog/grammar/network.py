"""Every phrase of the grammar as one word network, made deterministic as it is used."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from voicelog.entries import SlotValue
from voicelog.grammar.spec import PhraseSpec
from voicelog.grammar.template import Alt, Hole, Node, Seq, Word

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
    arcs: dict[str, set[int]] = field(default_factory=dict)
    holes: dict[str, set[int]] = field(default_factory=dict)
    labels: list[Label] = field(default_factory=list)


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


def _gather(tables: Iterable[dict[str, set[int]]]) -> dict[str, frozenset[int]]:
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
        for end in self._path(node, frozenset({0})):
            if label not in self.states[end].labels:
                self.states[end].labels.append(label)

    def _path(self, node: Node, starts: frozenset[int]) -> frozenset[int]:
        if isinstance(node, Seq):
            for part in node.parts:
                starts = self._path(part, starts)
            return starts
        if isinstance(node, Alt):
            return frozenset().union(*(self._path(option, starts) for option in node.options))
        self.states.append(_State())
        new = len(self.states) - 1
        for start in starts:
            state = self.states[start]
            if isinstance(node, Word):
                state.arcs.setdefault(node.text, set()).add(new)
            elif isinstance(node, Hole):
                state.holes.setdefault(node.name, set()).add(new)
        return frozenset({new})

    def after_holes(self, holes: frozenset[str]) -> frozenset[str]:
        """Return the words that may follow right after one of ``holes``."""
        ends = (
            self.states[n] for state in self.states for h in holes for n in state.holes.get(h, ())
        )
        return frozenset(word for state in ends for word in state.arcs)

    def before_hole(self, hole: str) -> frozenset[str]:
        """Return the words that may stand right before ``hole``."""
        return frozenset(
            word
            for state in self.states
            for word, ends in state.arcs.items()
            if any(hole in self.states[n].holes for n in ends)
        )

    def merged(self, numbers: frozenset[int]) -> MergedState:
        """Return the one merged state for these states."""
        known = self._merged.get(numbers)
        if known is None:
            known = self._merged[numbers] = MergedState(self, numbers)
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

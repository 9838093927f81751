"""Beam search over the acoustic model: masked by the grammar, and freely, in one batch."""

from dataclasses import dataclass, field

import numpy as np

from voicelog.recognition.acoustic import AcousticModel, Floats, Memory
from voicelog.recognition.masks import Masks, State, Tokens, others
from voicelog.recognition.protocol import NoLongerWantedError, Wanted, always
from voicelog.recognition.vocabulary import END, START

TOKENS_PER_SECOND = 7.0
SPARE_TOKENS = 6


@dataclass(frozen=True, slots=True)
class Beam:
    """A text so far; ``score`` is its log-probability without any reward."""

    tokens: Tokens
    score: float
    state: State = frozenset()


@dataclass(slots=True)
class Search:
    """One beam set: masked when ``masks`` is given, free otherwise.

    Args:
        penalty: taken off for each word that no grammar lists.
        width: beams kept at each step.
        reward: added for each subword when beams are compared, so that tails
            are not dropped.
        enough: finished texts after which the search may stop.
    """

    width: int
    reward: float
    enough: int
    masks: Masks | None = None
    penalty: float = 0.0
    live: list[Beam] = field(default_factory=list)
    done: list[Beam] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.live = [Beam((), 0.0, self.masks.first if self.masks else frozenset())]

    def value(self, beam: Beam) -> float:
        """What beams are compared by."""
        return beam.score + self.reward * len(beam.tokens) - self.penalty * others(beam.state)

    def advance(self, scores: Floats) -> list[int]:
        """Take one step; ``scores`` has a row for each live beam.

        Returns the row that each new live beam came from.
        """
        hopes: list[tuple[float, int, int, float]] = []
        for row, beam in enumerate(self.live):
            line = scores[row]
            paid = self.penalty * others(beam.state) - self.reward * (len(beam.tokens) + 1)
            for token in self._choices(beam, line):
                score = beam.score + float(line[token])
                if token == END:
                    self.done.append(Beam(beam.tokens, score, beam.state))
                else:
                    hopes.append((score - paid, row, token, score))
        hopes.sort(key=lambda hope: -hope[0])
        best = self._best(hopes)
        self.live = [beam for _, _, beam in best]
        self.done.sort(key=self.value, reverse=True)
        self._stop_when_settled()
        return [row for _, row, _ in best] if self.live else []

    def _best(self, hopes: list[tuple[float, int, int, float]]) -> list[tuple[float, int, Beam]]:
        """Return the best longer texts; a hope is what a text is worth before new penalties."""
        found: list[tuple[float, int, Beam]] = []
        for hope, row, token, score in hopes:
            if len(found) >= self.width and found[self.width - 1][0] >= hope:
                break
            longer = self._longer(self.live[row], token, score)
            found.append((self.value(longer), row, longer))
            found.sort(key=lambda item: -item[0])
        return [item for item in found[: self.width] if item[0] > found[0][0] - BEHIND]

    def _choices(self, beam: Beam, line: Floats) -> list[int]:
        """Return the likeliest allowed subwords."""
        if self.masks is None:
            return [int(n) for n in np.argpartition(line, -self.width)[-self.width :]]
        choice = self.masks.allowed(beam.state)
        most = 2 * self.width
        if len(choice) > most:
            part = line[choice]
            choice = choice[np.argpartition(part, -most)[-most:]]
        return [int(n) for n in choice]

    def _longer(self, beam: Beam, token: int, score: float) -> Beam:
        state = self.masks.after(beam.state, token) if self.masks else beam.state
        return Beam((*beam.tokens, token), score, state)

    def _stop_when_settled(self) -> None:
        if len(self.done) >= self.enough and self.live:
            hope = self.value(self.live[0]) + 4 * self.reward
            if hope < self.value(self.done[self.enough - 1]):
                self.live = []

    def close(self) -> list[Beam]:
        """Return the finished texts, best first."""
        return self.done


BEHIND = 14.0
"""A text this far behind the best of its search is dropped before the width is full."""
HOPELESS = 40.0
"""A masked text this much less likely than the free one will not be believed."""


def _hopeless(search: Search, searches: list[Search]) -> bool:
    if search.masks is None:
        return False
    best = max((s.done[0].score for s in searches if s.masks is None and s.done), default=None)
    return best is not None and search.live[0].score < best - HOPELESS


def run(
    model: AcousticModel,
    memory: Memory,
    seconds: float,
    searches: list[Search],
    wanted: Wanted = always,
) -> None:
    """Advance all searches together until each has settled.

    Args:
        seconds: length of the audio, which bounds the length of the text.
        wanted: asked before each step.

    Raises:
        NoLongerWantedError: nobody waits for the result any more.
    """
    limit = int(seconds * TOKENS_PER_SECOND) + SPARE_TOKENS
    past = model.begin(len(searches))
    last = [START] * len(searches)
    for _ in range(limit):
        if not wanted():
            raise NoLongerWantedError
        scores, past = model.step(memory, last, past)
        rows: list[int] = []
        last = []
        offset = 0
        for search in searches:
            height = len(search.live)
            if height and _hopeless(search, searches):
                search.live = []
            came = search.advance(scores[offset : offset + height]) if search.live else []
            rows.extend(offset + row for row in came)
            last.extend(beam.tokens[-1] for beam in search.live)
            offset += height
        if not last:
            return
        past = past.pick(rows)

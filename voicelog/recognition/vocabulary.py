"""The acoustic model's subword vocabulary, as bytes and as llguidance wants it."""

from pathlib import Path

import llguidance
from llguidance import LLTokenizer, TokenizerWrapper

from voicelog.errors import VoicelogError

START, END = 1, 2
SPACE = "▁".encode()
FIRST_BYTE_PIECE, LAST_BYTE_PIECE = 3, 258


class VocabularyDamagedError(VoicelogError, ValueError):
    """The vocabulary file ends in the middle of a piece."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"The model file {path.name} is damaged: run 'voicelog model --again'.")


def read_pieces(path: Path) -> tuple[bytes, ...]:
    """Return the text of every subword, with a plain space at the start of a word.

    The file is a run of (length, bytes); lengths of 128 and more take two bytes,
    low seven bits first.

    Raises:
        VocabularyDamagedError: the file is cut short.
    """
    raw = path.read_bytes()
    pieces: list[bytes] = []
    at = 0
    while at < len(raw):
        length = raw[at]
        at += 1
        if length >= 128:
            length = (raw[at] - 128) * 128 + length if at < len(raw) else len(raw)
            at += 1
        if at + length > len(raw):
            raise VocabularyDamagedError(path)
        pieces.append(raw[at : at + length].replace(SPACE, b" "))
        at += length
    return tuple(pieces)


class Vocabulary:
    """Subword pieces and their llguidance tokenizer.

    Args:
        pieces: text of each subword, index is its number.
        size: how many numbers the model scores; the surplus never occurs.
    """

    def __init__(self, pieces: tuple[bytes, ...], size: int) -> None:
        self.pieces = pieces + tuple(b"" for _ in range(size - len(pieces)))
        self.eos_token_id = END
        self.bos_token_id = START
        self.special_token_ids = [0, START, END]
        self.tokens = [
            b"<unk>" if n == 0 else b"<s>" if n == START else b"</s>" if n == END else piece
            for n, piece in enumerate(self.pieces)
        ]
        self.guidance: LLTokenizer = LLTokenizer(TokenizerWrapper(self), size, END, slices=[])

    def __call__(self, text: bytes | str) -> list[int]:
        """Cut ``text`` greedily; llguidance needs this only for forced bytes."""
        raw = text.encode() if isinstance(text, str) else text
        by_text = self._by_text()
        found: list[int] = []
        while raw:
            length = next(n for n in range(min(len(raw), 24), 0, -1) if raw[:n] in by_text)
            found.append(by_text[raw[:length]])
            raw = raw[length:]
        return found

    def _by_text(self) -> dict[bytes, int]:
        known: dict[bytes, int] = getattr(self, "_known", {})
        if not known:
            for number in range(len(self.pieces) - 1, 2, -1):
                if self.pieces[number]:
                    known[self.pieces[number]] = number
            self._known = known
        return known

    def text(self, numbers: list[int] | tuple[int, ...]) -> str:
        """Return the sentence these subwords spell."""
        raw = b"".join(self.pieces[n] for n in numbers if n not in (0, START, END))
        return raw.decode("utf-8", errors="replace").strip()


def matcher(vocabulary: Vocabulary, lark: str) -> llguidance.LLMatcher:
    """Return a matcher for ``lark``, at its start."""
    return llguidance.LLMatcher(
        vocabulary.guidance, llguidance.LLMatcher.grammar_from_lark(lark), log_level=0
    )

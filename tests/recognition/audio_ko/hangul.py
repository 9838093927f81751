"""Written Korean to the phoneme letters of the Kokoro model.

Syllables are changed by the rules of Standard Korean Pronunciation (final
neutralisation, liaison, aspiration, tensing, nasal and liquid assimilation; from
memory), then spelt in the model's letters.  The model was never taught Korean:
what comes out is Korean with a Japanese accent.
"""

from itertools import pairwise

LEADS = "ㄱㄲㄴㄷㄸㄹㅁㅂㅃㅅㅆㅇㅈㅉㅊㅋㅌㅍㅎ"
VOWELS = "ㅏㅐㅑㅒㅓㅔㅕㅖㅗㅘㅙㅚㅛㅜㅝㅞㅟㅠㅡㅢㅣ"
TAILS = ("", *"ㄱㄲㄳㄴㄵㄶㄷㄹㄺㄻㄼㄽㄾㄿㅀㅁㅂㅄㅅㅆㅇㅈㅊㅋㅌㅍㅎ")


def _table(letters: str, what: str) -> dict[str, str]:
    return dict(zip(letters, what.split(), strict=True))


DOUBLE = _table("ㄳㄵㄶㄺㄻㄼㄽㄾㄿㅀㅄ", "ㄱㅅ ㄴㅈ ㄴㅎ ㄹㄱ ㄹㅁ ㄹㅂ ㄹㅅ ㄹㅌ ㄹㅍ ㄹㅎ ㅂㅅ")
PLAIN = _table(
    "ㄲㅋㅅㅆㅈㅊㅌㅎㅍㄳㄵㄶㄺㄻㄼㄽㄾㄿㅀㅄ",
    "ㄱ ㄱ ㄷ ㄷ ㄷ ㄷ ㄷ ㄷ ㅂ ㄱ ㄴ ㄴ ㄱ ㅁ ㄹ ㄹ ㄹ ㅂ ㄹ ㅂ",
)
TENSE = _table("ㄱㄷㅂㅅㅈ", "ㄲ ㄸ ㅃ ㅆ ㅉ")
ASPIRATED = _table("ㄱㄷㅂㅈ", "ㅋ ㅌ ㅍ ㅊ")
NASAL = _table("ㄱㄷㅂ", "ㅇ ㄴ ㅁ")

LEAD = {**_table(LEADS, "k k n t t ɾ m p p s s _ ʨ ʨ ʨʰ kʰ tʰ pʰ h"), "ㅇ": ""}
VOICED = _table("ㄱㄷㅂㅈ", "ɡ d b ʥ")
VOWEL = _table(VOWELS, "a e ja je ɔ e jɔ je o wa we we jo u wɔ we wi ju ɯ ɯi i")
TAIL = {"": "", **_table("ㄱㄴㄷㄹㅁㅂㅇ", "k n t l m p ŋ")}

Syllable = list[str]
"""Lead, vowel, tail."""


def syllables(word: str) -> list[Syllable]:
    numbers = [ord(letter) - 0xAC00 for letter in word]
    return [
        [LEADS[n // 588], VOWELS[n % 588 // 28], TAILS[n % 28]] for n in numbers if 0 <= n < 11172
    ]


def spoken(word: str) -> list[Syllable]:
    """The syllables of ``word`` as they are pronounced."""
    said = syllables(word)
    for one, other in pairwise(said):
        _meet(one, other)
    if said:
        said[-1][2] = PLAIN.get(said[-1][2], said[-1][2])
    return said


def _meet(one: Syllable, other: Syllable) -> None:
    tail, lead = one[2], other[0]
    first, last = (DOUBLE[tail][0], DOUBLE[tail][1]) if tail in DOUBLE else ("", tail)
    plain = PLAIN.get(tail, tail)
    if tail in ("ㄷ", "ㅌ") and lead == "ㅇ" and other[1] == "ㅣ":
        one[2], other[0] = "", "ㅈ" if tail == "ㄷ" else "ㅊ"
    elif last == "ㅎ" and lead in (*ASPIRATED, "ㅅ"):
        one[2], other[0] = first, ASPIRATED.get(lead, "ㅆ")
    elif last == "ㅎ" and lead == "ㅇ":
        one[2], other[0] = "", first or "ㅇ"
    elif lead == "ㅎ" and plain in ASPIRATED:
        one[2], other[0] = first, ASPIRATED["ㅈ" if last == "ㅈ" else plain]
    elif lead == "ㅇ" and tail not in ("", "ㅇ"):
        one[2], other[0] = first, "ㅆ" if first and last == "ㅅ" else last
    else:
        one[2], other[0] = _assimilated(plain, lead)


def _assimilated(tail: str, lead: str) -> tuple[str, str]:
    if tail in NASAL and lead in ("ㄴ", "ㅁ", "ㄹ"):
        return NASAL[tail], "ㄴ" if lead == "ㄹ" else lead
    if tail in ("ㅁ", "ㅇ") and lead == "ㄹ":
        return tail, "ㄴ"
    if {tail, lead} == {"ㄴ", "ㄹ"}:
        return "ㄹ", "ㄹ"
    return tail, TENSE.get(lead, lead) if tail in NASAL else lead


def phonemes(text: str) -> str:
    """``text`` in the model's letters; commas and stops stay."""
    return " ".join(_word(word) + (word[-1] if word[-1] in ",." else "") for word in text.split())


def _word(word: str) -> str:
    found, before = "", None
    for lead, vowel, tail in spoken(word):
        open_before = before is not None and before in ("", "ㄴ", "ㄹ", "ㅁ", "ㅇ")
        sound = VOICED.get(lead, LEAD[lead]) if open_before else LEAD[lead]
        if lead in "ㅅㅆ" and vowel in "ㅣㅑㅕㅛㅠㅖㅟ":
            sound = "ɕ"
        if lead == before == "ㄹ":
            sound = "l"
        found += sound + VOWEL[vowel] + TAIL[tail]
        before = tail
    return found

"""The sentence that differs in one number only, and that number sounds nearly the same.

"Thirteen" and "thirty" are what noise confuses first.  The model is taught to tell a
sentence from its lookalike (``bench.teach``).
"""

from random import Random

from bench.spell import integer

_TEENS = {integer(10 + n): integer(10 * n) for n in range(3, 10)}
_NEAR = {**_TEENS, **{tens: teen for teen, tens in _TEENS.items()}}
_KINDS = [
    [integer(n) for n in range(1, 10)],
    [integer(n) for n in range(10, 20)],
    [integer(n) for n in range(20, 100, 10)],
]
_KIND = {word: kind for kind in _KINDS for word in kind}
OFTEN = 0.7
"""How often a teen becomes its ten ("thirteen", "thirty"), rather than any other of its kind."""


def lookalike(rng: Random, text: str) -> str | None:
    """Return the sentence with one number changed, or None if it has none.

    Teens and tens are changed before single digits.
    """
    words = text.split()
    bare = [word.rstrip(",.").lower() for word in words]
    places = [at for at, word in enumerate(bare) if word in _KIND]
    if not places:
        return None
    at = rng.choice([p for p in places if bare[p] not in _KINDS[0]] or places)
    other = _other(rng, bare[at])
    words[at] = other + words[at][len(bare[at]) :]
    return " ".join(words)


def _other(rng: Random, word: str) -> str:
    if word in _NEAR and rng.random() < OFTEN:
        return _NEAR[word]
    return rng.choice([other for other in _KIND[word] if other != word])

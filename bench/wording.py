"""How many sentences the grammar takes as typed text: ``python -m bench.wording``.

What is lost here no recogniser can win back.  Failures are listed for dev only;
for test there are only counts, so that nobody tunes on it by accident.
"""

import argparse
from collections import Counter

from bench.score import VERDICTS, Answer, judge
from bench.utterances import Utterance, load
from voicelog import grammar


def verdict(rules: grammar.Grammar, said: Utterance) -> tuple[str, Answer]:
    """What becomes of one typed sentence."""
    live: grammar.Live = "idle" if said.live == "idle" else "open"
    parse = rules.parse(said.text, live)
    answer = Answer(parse.outcome, dict(parse.slots))
    return judge(said.expect, (said.slots, *said.also), answer), answer


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--split", choices=["dev", "test"], default="dev")
    args = parser.parse_args()
    rules = grammar.load("en")
    counts: dict[str, Counter[str]] = {}
    for said in load():
        if said.split != args.split:
            continue
        got, answer = verdict(rules, said)
        counts.setdefault(said.style, Counter())[got] += 1
        if got != "right" and args.split == "dev":
            print(f"{got:15} {said.text!r}: wanted {said.slots}, got {answer.slots}")
    for style, found in counts.items():
        total = sum(found.values())
        print(f"{style:9} {total:3}  " + ", ".join(f"{v} {found[v]}" for v in VERDICTS))


if __name__ == "__main__":
    main()

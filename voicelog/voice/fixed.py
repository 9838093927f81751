"""Sentences that are the same for every child: rendered ahead, so they come at once."""

from collections.abc import Iterator
from string import Formatter

from voicelog.dialogue.replies import load_replies
from voicelog.dialogue.template import Template, sentence


def fixed_sentences(language: str) -> tuple[str, ...]:
    """Return all replies of a language that have nothing to fill in, each once.

    Raises:
        RepliesMissingError, RepliesBrokenError: the language has no valid replies.

    """
    replies = load_replies(language)
    templates = [value for _, value in replies.says if isinstance(value, Template)]
    found = [text for template in templates for text in _both(template)]
    found += [sentence(slot.ask) for slot in replies.slots.values() if slot.ask]
    found += [*replies.faults.values(), *replies.reminders.values()]
    return tuple(dict.fromkeys(found))


def _both(template: Template) -> Iterator[str]:
    """Yield the day and night forms that have no holes."""
    for text in (template.say, template.night):
        if text and all(name is None for _, name, _, _ in Formatter().parse(text)):
            yield sentence(text)

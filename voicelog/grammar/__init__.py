"""From YAML to a parser, a decoder mask, a phrase list and sample sentences."""

from voicelog.grammar.grammar import Grammar, load
from voicelog.grammar.judge import Live, Outcome, Parse

__all__ = ["Grammar", "Live", "Outcome", "Parse", "load"]

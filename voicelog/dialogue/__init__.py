"""The conversation: a pure function from state and event to state and actions.

``Dialogue(Setting(plan, limits, replies)).step(state, event)``.  It says
nothing as saved before the journal answered, and asks rather than guesses.
"""

from voicelog.dialogue.machine import Dialogue
from voicelog.dialogue.manners import Manners, load_manners
from voicelog.dialogue.replies import Replies, load_replies
from voicelog.dialogue.resuming import resume
from voicelog.dialogue.setting import Setting
from voicelog.dialogue.state import State

__all__ = [
    "Dialogue",
    "Manners",
    "Replies",
    "Setting",
    "State",
    "load_manners",
    "load_replies",
    "resume",
]

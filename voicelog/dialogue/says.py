"""Every reply there is, and the names its text may use.

A file of replies that lacks one, or uses a name that will not be there, is
refused when it is read, not in the middle of a night.
"""

from typing import Annotated

from voicelog.dialogue.template import Template, with_
from voicelog.entries import Frozen


class Says(Frozen):
    """Every reply, and the names its text may use."""

    # a procedure begins and ends
    opened: Annotated[Template, with_("limits")]
    already_open: Annotated[Template, with_("time")]
    still_open: Annotated[Template, with_("time")]
    nothing_open: Annotated[Template, with_()]
    still_there: Annotated[Template, with_()]
    closed: Annotated[Template, with_("what")]
    closed_empty: Annotated[Template, with_()]
    incomplete: Annotated[Template, with_("what")]
    incomplete_empty: Annotated[Template, with_()]
    # stored, or not
    saved: Annotated[Template, with_("what")]
    saved_bare: Annotated[Template, with_()]
    not_saved: Annotated[Template, with_("reason")]
    not_saved_yet: Annotated[Template, with_()]
    # passes
    pass_saved: Annotated[Template, with_("number", "seconds")]
    pass_short: Annotated[Template, with_()]
    pass_forgotten: Annotated[Template, with_()]
    pass_dropped: Annotated[Template, with_()]
    no_pass: Annotated[Template, with_()]
    pass_running: Annotated[Template, with_()]
    passes_differ: Annotated[Template, with_("said", "timed")]
    passes_timed: Annotated[Template, with_("timed")]
    # questions
    heard: Annotated[Template, with_("what")]
    either: Annotated[Template, with_("options")]
    which: Annotated[Template, with_("value")]
    is_it: Annotated[Template, with_("option")]
    again: Annotated[Template, with_()]
    not_again: Annotated[Template, with_()]
    left_out: Annotated[Template, with_()]
    dropped: Annotated[Template, with_("what")]
    not_caught: Annotated[Template, with_()]
    what_value: Annotated[Template, with_("name")]
    # changing what was said
    undone: Annotated[Template, with_("what")]
    nothing_to_undo: Annotated[Template, with_()]
    nothing_to_change: Annotated[Template, with_("name")]
    change_what: Annotated[Template, with_()]
    # the rest of what is logged
    note_saved: Annotated[Template, with_("text")]
    what_note: Annotated[Template, with_()]
    caregiver: Annotated[Template, with_("name")]
    who_now: Annotated[Template, with_("name")]
    who: Annotated[Template, with_("names")]
    who_unknown: Annotated[Template, with_("names")]
    who_none: Annotated[Template, with_()]
    emergency: Annotated[Template, with_("number", "time")]
    emergency_no_number: Annotated[Template, with_("time")]
    emergency_saved: Annotated[Template, with_()]
    emergency_not_saved: Annotated[Template, with_("time", "reason")]
    # help and reminders
    repeat_nothing: Annotated[Template, with_()]
    help_idle: Annotated[Template, with_()]
    help_open: Annotated[Template, with_()]
    help_asking: Annotated[Template, with_()]
    reminder: Annotated[Template, with_("what")]
    snoozed: Annotated[Template, with_("minutes")]
    fault: Annotated[Template, with_()]
    # out of range: whose limit it is, and which side
    above_plan: Annotated[Template, with_("name", "verb", "value", "limit")]
    below_plan: Annotated[Template, with_("name", "verb", "value", "limit")]
    not_under_plan: Annotated[Template, with_("name", "verb", "value", "limit")]
    not_over_plan: Annotated[Template, with_("name", "verb", "value", "limit")]
    above_other: Annotated[Template, with_("name", "verb", "value", "limit", "whose")]
    below_other: Annotated[Template, with_("name", "verb", "value", "limit", "whose")]
    not_under_other: Annotated[Template, with_("name", "verb", "value", "limit", "whose")]
    not_over_other: Annotated[Template, with_("name", "verb", "value", "limit", "whose")]

"""The base of every failure a caregiver may meet.

Each room defines its own classes beside the code that raises them: one class
per failure, the message fixed in ``__init__``, also deriving from the builtin
it specialises where there is one.
"""


class VoicelogError(Exception):
    """One plain sentence with the fix; shown as it is, never with a traceback."""

"""Runs a conversation: time, speech, the journal's one writer."""

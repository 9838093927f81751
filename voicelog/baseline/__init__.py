"""The child's normal, learned from the journal, and noticing when it changes."""

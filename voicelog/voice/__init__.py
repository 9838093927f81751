"""Text to speech: words made speakable, rendered by the system's voice, kept for next time."""

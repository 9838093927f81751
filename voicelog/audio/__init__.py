"""Sound in and out: files, microphone, where speech begins and ends, tones, speaker."""

"""From sound to hypotheses with scores; one file an engine."""

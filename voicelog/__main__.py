"""``python -m voicelog``."""

from voicelog.cli.app import main

main()

"""The commands in the guides run in a home of their own, like those of the other tests."""

from tests.cli.conftest import home, planned, quick, run

__all__ = ["home", "planned", "quick", "run"]

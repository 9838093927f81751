"""The allocator is told to give memory back."""

import platform

import pytest

from voicelog.recognition import allocator


def test_glibc_takes_the_settings() -> None:
    assert allocator.give_back_early() is (platform.libc_ver()[0] == "glibc")


def test_elsewhere_nothing_is_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "libc_ver", lambda: ("", ""))
    monkeypatch.setattr(allocator.ctypes, "CDLL", lambda name: pytest.fail("no mallopt there"))
    assert allocator.give_back_early() is False

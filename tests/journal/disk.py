"""A disk that fails on purpose, put between SQLite and the real one.

The default SQLite file layer of this process is patched in place: each write and
each sync first asks the test, which may refuse it, tear it, or kill the process.
Layouts are those of ``sqlite3_vfs`` and ``sqlite3_io_methods`` in sqlite3.h.
"""

import _sqlite3
import ctypes
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from ctypes import CFUNCTYPE, POINTER, Structure, c_char_p, c_int, c_int64, c_void_p
from pathlib import Path

OK, IO_WRITE_FAILED, IO_SYNC_FAILED, FULL = 0, 10 | 3 << 8, 10 | 4 << 8, 13

# Names stay addresses: SQLite keeps them, and looks for more behind the text.
_OPEN = CFUNCTYPE(c_int, c_void_p, c_void_p, c_void_p, c_int, c_void_p)
_WRITE = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
_SYNC = CFUNCTYPE(c_int, c_void_p, c_int)


class _Methods(Structure):
    _fields_ = [
        ("version", c_int),
        ("close", c_void_p),
        ("read", c_void_p),
        ("write", c_void_p),
        ("truncate", c_void_p),
        ("sync", c_void_p),
        ("others", c_void_p * 13),
    ]


class _File(Structure):
    _fields_ = [("methods", POINTER(_Methods))]


class _Vfs(Structure):
    _fields_ = [
        ("version", c_int),
        ("file_size", c_int),
        ("max_path", c_int),
        ("next", c_void_p),
        ("name", c_char_p),
        ("data", c_void_p),
        ("open", c_void_p),
    ]


def available() -> bool:
    """Tell whether SQLite's symbols can be reached from here."""
    return sys.platform == "linux" and hasattr(ctypes.CDLL(_sqlite3.__file__), "sqlite3_vfs_find")


class Faults:
    """What happens at each write and sync; the default lets everything through.

    ``before_write(path, size)`` returns how many bytes to write and SQLite's
    answer; ``before_sync(path)`` its answer; ``after_sync(path)`` just looks.
    """

    def __init__(self) -> None:
        self.before_write: Callable[[Path, int], tuple[int, int]] = lambda _, size: (size, OK)
        self.after_write: Callable[[Path], object] = lambda _: None
        self.before_sync: Callable[[Path], int] = lambda _: OK
        self.after_sync: Callable[[Path], object] = lambda _: None
        self._names: dict[int, Path] = {}
        self._kept: list[object] = []
        self._patched: dict[int, _Methods] = {}

    def _adopt(self, file: int, name: int | None) -> None:
        """Give a newly opened file our write and sync."""
        handle = ctypes.cast(file, POINTER(_File)).contents
        if not handle.methods or name is None:
            return
        self._names[file] = Path(ctypes.string_at(name).decode())
        address = ctypes.addressof(handle.methods.contents)
        if address not in self._patched:
            self._patched[address] = self._wrap(handle.methods.contents)
        handle.methods = ctypes.pointer(self._patched[address])

    def _wrap(self, real: _Methods) -> _Methods:
        mine = _Methods()
        ctypes.memmove(ctypes.addressof(mine), ctypes.addressof(real), ctypes.sizeof(_Methods))
        real_write, real_sync = _WRITE(real.write), _SYNC(real.sync)

        def write(file: int, content: int, size: int, offset: int) -> int:
            path = self._names[file]
            size, answer = self.before_write(path, size)
            done = int(real_write(file, content, size, offset)) if size else OK
            self.after_write(path)
            return answer or done

        def sync(file: int, flags: int) -> int:
            path = self._names[file]
            if answer := self.before_sync(path):
                return answer
            done = int(real_sync(file, flags))
            self.after_sync(path)
            return done

        hooks = (_WRITE(write), _SYNC(sync))
        self._kept += [*hooks, real]
        mine.write, mine.sync = (ctypes.cast(hook, c_void_p).value for hook in hooks)
        return mine


@contextmanager
def faulty_disk() -> Iterator[Faults]:
    """Patch SQLite's file layer for the block; files opened in it must close in it."""
    library = ctypes.CDLL(_sqlite3.__file__)
    library.sqlite3_vfs_find.restype = POINTER(_Vfs)
    vfs = library.sqlite3_vfs_find(None).contents
    real_address = vfs.open
    real_open = _OPEN(real_address)
    faults = Faults()

    def opened(vfs_: int, name: int | None, file: int, flags: int, out: int) -> int:
        answer = int(real_open(vfs_, name, file, flags, out))
        if answer == OK:
            faults._adopt(file, name)
        return answer

    hook = _OPEN(opened)
    vfs.open = ctypes.cast(hook, c_void_p).value
    try:
        yield faults
    finally:
        vfs.open = real_address

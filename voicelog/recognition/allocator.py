"""Memory given back: glibc's allocator keeps what the model's arrays leave behind.

One arena a thread and a threshold that only grows cost some 75 MB at 800.
"""

import ctypes
import platform

TRIM_THRESHOLD, MMAP_THRESHOLD, ARENA_MAX = -1, -3, -8
"""Names of glibc's ``mallopt`` settings, from its malloc.h."""
ARENAS = 2
FROM_SYSTEM_BYTES = 512 * 1024
KEPT_BYTES = 1024 * 1024


def give_back_early() -> bool:
    """Have large blocks returned to the system when they are freed; elsewhere than glibc nothing.

    Returns:
        whether the allocator took it.
    """
    if platform.libc_ver()[0] != "glibc":
        return False
    set_to = ctypes.CDLL(None).mallopt
    return all(
        set_to(name, value)
        for name, value in (
            (ARENA_MAX, ARENAS),
            (MMAP_THRESHOLD, FROM_SYSTEM_BYTES),
            (TRIM_THRESHOLD, KEPT_BYTES),
        )
    )

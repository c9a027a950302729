"""What a process that works on somebody's file may take; no more than the system's own is loaded for it."""

import ctypes
import resource
import signal
from pathlib import Path


def limit_this_process(*, cpu_seconds: int, memory_mib: int, largest_file: int = 0) -> None:
    """Bound time, memory beyond what is in use, and the files it writes (bytes); end with who asked."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # nobody waits for what an ended studio asked
    in_use = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    most = in_use + memory_mib * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (largest_file, largest_file))

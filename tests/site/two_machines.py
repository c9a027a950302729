"""Two machines that share a database and an object store, each in a network and with a host name of its own.

What a machine reaches of database and store is handed on to it at the other end of its cable. Where networks
can't be made (`ip netns` needs root), both machines stand on the loopback.
"""

import contextlib
import os
import signal
import socket
import socketserver
import subprocess
import sys
import threading
from pathlib import Path

from tests.present import present
from tests.site.running_studio import ROOT

LOOPBACK = "127.0.0.1"
# For tests of networks, and never routed (RFC 2544, appendix C.2.2, and RFC 6890).
NETWORK = "198.18.{}.{}"


def run_ip(*words):
    """Change the networks of this machine; whether that is permitted."""
    try:
        done = subprocess.run(["ip", *words], capture_output=True, text=True)
    except FileNotFoundError:
        return False
    return done.returncode == 0


class Network:
    """A network of one machine, with a cable to where the tests run."""

    def __init__(self, number):
        self.name, self.here, self.there = f"evenrow{number}", f"evh{number}", f"evt{number}"
        self.address = NETWORK.format(number % 250, 1)
        inside = NETWORK.format(number % 250, 2)
        self.is_made = all(
            run_ip(*words.split())
            for words in (
                f"netns add {self.name}",
                f"link add {self.here} type veth peer name {self.there}",
                f"link set {self.there} netns {self.name}",
                f"addr add {self.address}/30 dev {self.here}",
                f"link set {self.here} up",
                f"-n {self.name} addr add {inside}/30 dev {self.there}",
                f"-n {self.name} link set {self.there} up",
                f"-n {self.name} link set lo up",
            )
        )
        if not self.is_made:
            self.close()
            self.address = LOOPBACK

    def within(self, command):
        """A command as it is run in this network, by a machine of this name."""
        if not self.is_made:
            return command
        named = ["unshare", "--uts", "sh", "-c", f'hostname {self.name} && exec "$@"', "sh"]
        return ["ip", "netns", "exec", self.name, *named, *command]

    def close(self):
        run_ip("netns", "del", self.name)
        run_ip("link", "del", self.here)


class Relay(socketserver.ThreadingTCPServer):
    """Hands on what comes in at one address to another, both ways."""

    daemon_threads, block_on_close = True, False

    def __init__(self, at, to):
        self.to = to
        super().__init__((at, 0), Both)
        threading.Thread(target=self.serve_forever, daemon=True).start()

    @property
    def port(self):
        return self.server_address[1]

    def close(self):
        self.shutdown()
        self.server_close()


class Both(socketserver.BaseRequestHandler):
    """One connection of a relay."""

    def handle(self):
        with socket.create_connection(self.server.to) as other:  # type: ignore[attr-defined]
            back = threading.Thread(target=pour, args=(other, self.request), daemon=True)
            back.start()
            pour(self.request, other)
            back.join()


def pour(source, target):
    """Hand on what one side says until it has said all; a side that was killed has."""
    with contextlib.suppress(OSError):
        while said := source.recv(65536):
            target.sendall(said)
    with contextlib.suppress(OSError):
        target.shutdown(socket.SHUT_WR)


class Machine:
    """A worker as `work` runs it, on a machine of its own."""

    def __init__(self, network, folder, environment):
        self.network, self.folder = network, folder
        self.environment = {**environment, "EVENROW_DATA": str(folder), "PYTHONPATH": str(ROOT)}
        self.process: subprocess.Popen[bytes] | None = None
        folder.mkdir()
        self.said = (folder / "said.txt").open("a")

    def start(self):
        self.process = subprocess.Popen(
            self.network.within([sys.executable, str(ROOT / "manage.py"), "work"]),
            env=self.environment,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=self.said,
            stderr=self.said,
        )

    def words(self):
        return (self.folder / "said.txt").read_text()

    def kill_worker(self):
        """End what does the tasks with SIGKILL; what watches over it stays."""
        for pid in children(present(self.process).pid):
            if "db_worker" in command_of(pid):
                kill(pid)

    def kill(self):
        """End all of it with SIGKILL, as a cut of its power does."""
        for pid in reversed(family(present(self.process).pid)):
            kill(pid)
        present(self.process).wait()

    def close(self):
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            self.process.wait(60)
        self.said.close()


def kill(pid):
    with contextlib.suppress(ProcessLookupError):
        os.kill(pid, signal.SIGKILL)


def family(pid):
    """A process and all its descendants, the eldest first."""
    return [pid, *(one for child in children(pid) for one in family(child))]


def children(pid):
    try:
        tasks = list(Path(f"/proc/{pid}/task").iterdir())
        return [int(one) for task in tasks for one in (task / "children").read_text().split()]
    except OSError:  # it has just ended
        return []


def command_of(pid):
    try:
        return Path(f"/proc/{pid}/cmdline").read_text().replace("\0", " ")
    except OSError:
        return ""

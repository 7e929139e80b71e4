"""Starts the program that `cargo test` has built, on a free port of loopback and a folder of its own, and stops it."""

import os
import pathlib
import socket
import subprocess
import sys
import time

import numpy as np
import pytest

from peer import Service

ROOT = pathlib.Path(__file__).resolve().parents[2]
# Random inputs that the whole run is to try.
LEAST = 39_000


def binary():
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    path = target / "debug" / "stillair"
    if not path.exists():
        subprocess.run(["cargo", "build", "--locked", "--quiet"], cwd=ROOT, check=True)
    return path


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="session")
def service(tmp_path_factory):
    port = free_port()
    command = [binary(), "serve", "--data", tmp_path_factory.mktemp("book"), "--listen", f"127.0.0.1:{port}"]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as program:
        try:
            wait_for(port, program)
            yield Service("127.0.0.1", port)
        finally:
            program.terminate()


def wait_for(port, program):
    for _ in range(200):
        assert program.poll() is None, "the program ended at once"
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            return
        except OSError:
            time.sleep(0.05)
    raise AssertionError("the program does not answer")


@pytest.fixture
def rng(request):
    """Random numbers that are the same in every run, and others for every test."""
    seed = [ord(letter) for letter in request.node.name]
    return np.random.default_rng(seed)


@pytest.fixture(scope="session", autouse=True)
def account(request, service):
    """Prints the largest differences, and sees that a whole run tried its number of inputs."""
    yield
    capture = request.config.pluginmanager.getplugin("capturemanager")
    with capture.global_and_fixture_disabled():
        print(f"\n{service.table()}", file=sys.stdout)
    chosen = request.config.option.keyword or any("::" in arg or arg.endswith(".py") for arg in request.config.args)
    if not chosen and request.session.testsfailed == 0:
        assert service.asked >= LEAST, f"{service.asked} random inputs; {LEAST} are to be tried"

"""An X screen that nobody sees (Xvfb), pictures of it, and the titles of the windows on it."""

import os
import shutil
import subprocess
import time
from contextlib import contextmanager

WIDTH, HEIGHT = 1400, 900  # pixels


@contextmanager
def screen():
    """Starts one; the name of its display, such as ":7"."""
    read, write = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stderr=subprocess.DEVNULL,
    )
    os.close(write)
    try:
        number = os.read(read, 20).decode().strip()
        assert number, "Xvfb does not start"
        yield f":{number}"
    finally:
        os.close(read)
        server.terminate()
        server.wait()


def titles(display):
    """Titles of all visible windows."""
    done = subprocess.run(
        ["xdotool", "search", "--onlyvisible", "--name", ".", "getwindowname", "%@"],
        env=os.environ | {"DISPLAY": display},
        capture_output=True,
        text=True,
    )
    return done.stdout.splitlines()


def wait_for_window(display, title, seconds=30):
    """Wait until a window with these words in its title is on the screen."""
    until = time.monotonic() + seconds
    while not any(title in shown for shown in titles(display)):
        assert time.monotonic() < until, f"no window {title!r} within {seconds} s; there are {titles(display)}"
        time.sleep(0.2)


def take(display, path, looks=15):
    """A picture of the whole screen, as a small PNG, once nothing moves on it (or after that many looks)."""
    command = ["import", "-display", display, "-window", "root", "+dither", "-colors", "64"]
    before = None
    for _ in range(looks):
        subprocess.run([*command, f"png8:{path}"], check=True)
        if before is not None and not pixels_that_differ(before, path):
            break
        before = shutil.copy(path, f"{path}.before.png")
        time.sleep(0.7)
    os.unlink(before)


def colours(path):
    """How many colours a picture has; a blank one has one."""
    return int(
        subprocess.run(["identify", "-format", "%k", str(path)], check=True, capture_output=True, text=True).stdout
    )


def pixels_that_differ(one, other):
    """How many."""
    done = subprocess.run(
        ["compare", "-metric", "AE", "-fuzz", "10%", str(one), str(other), "null:"],
        capture_output=True,
        text=True,
    )
    return float(done.stderr)

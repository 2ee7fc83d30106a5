"""Calc with a window on a screen: the function wizard, the demo workbook, README's lines to there."""

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import hydrofunc
from hydrofunc.hosts.calc.book import book_for_old_calc
from hydrofunc.hosts.calc.build import shown_description, shown_help
from hydrofunc.hosts.calc.install import install
from tests.hosts.calc import picture
from tests.hosts.calc.calc_session import Calc, below, options_for
from tests.hosts.calc.screen import colours, pixels_that_differ, screen, take, titles, wait_for_window

pytestmark = pytest.mark.calc
PROJECT = Path(__file__).parents[3]
SHARED = Path("/var/spool/libreoffice/uno_packages/cache")  # where Debian keeps what root installs for all


def test_the_workbook_and_the_wizard_are_on_the_screen(tmp_path):
    """The wizard shows our function with what it does, its first argument, and help and unit of that."""
    options = options_for(tmp_path)  # its own: a Calc that runs without a window would take the workbook
    install(options)
    path = picture.filled_workbook()
    book_for_old_calc(path, tmp_path / f"{path.stem}.ods", options=options)
    with screen() as display:
        calc = Calc(options, display)
        picture.show_workbook(calc, path, tmp_path)
        wait_for_window(display, path.stem)
        take(display, tmp_path / "workbook.png")
        function = hydrofunc.find(picture.show_wizard(calc))
        wait_for_window(display, picture.WIZARD)
        take(display, tmp_path / "wizard.png")
        words = calc.words(picture.WIZARD)
        calc.quit()
        assert not any(picture.WIZARD in title for title in titles(display))
    assert colours(tmp_path / "workbook.png") > 20
    assert colours(tmp_path / "wizard.png") > 20
    assert pixels_that_differ(tmp_path / "workbook.png", tmp_path / "wizard.png") > 100_000
    first = function.arguments[0]
    assert {
        function.sheet_name,
        shown_description(function),
        shown_help(first),
        f"{first.name} [{first.unit}]",
    } <= set(words)


def command_of(mark):
    """The command in the block of README below the comment <!-- mark -->."""
    return re.search(rf"<!-- {mark} -->\n```\n(.*?)```", (PROJECT / "README.md").read_text(encoding="utf-8"), re.S)[1]


def test_from_a_clean_copy_to_a_live_window_by_the_words_of_the_readme(tmp_path):
    """README's first command in a fresh copy, then its three lines: the window comes, and is live.

    What root would install for all users goes to a folder of this test.
    """
    copy, home = tmp_path / "copy", tmp_path / "home"
    kept = subprocess.run(
        ["git", "ls-files", "-coz", "--exclude-standard"],
        cwd=PROJECT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    for name in filter(None, kept.split("\0")):
        (copy / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(PROJECT / name, copy / name)
    (home / "shared").mkdir(parents=True)
    lines = command_of("calc").strip().splitlines()
    assert len(lines) == 3
    script = [command_of("demo"), *lines[:2], f"{lines[2]} &", "wait"]
    words = ["bash", "-euo", "pipefail", "-c", "\n".join(script)]
    if os.geteuid() == 0:
        words = [
            "unshare",
            "--mount",
            "bash",
            "-c",
            'mount --bind "$0" "$1" && shift && exec "$@"',
            str(home / "shared"),
            str(SHARED),
            *words,
        ]
    path = os.pathsep.join(
        part for part in os.environ["PATH"].split(os.pathsep) if Path(part) != Path(sys.executable).parent
    )
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    with screen() as display, open(tmp_path / "said", "w") as said:
        environment |= {
            "HOME": str(home),
            "XDG_CONFIG_HOME": str(home / ".config"),
            "PATH": path,
            "DISPLAY": display,
        }
        user = subprocess.Popen(words, cwd=copy, env=environment, stdout=said, stderr=said)
        try:
            until = time.monotonic() + 400
            while not any(title.startswith(Path(lines[2].split()[-1]).name) for title in titles(display)):
                assert user.poll() is None and time.monotonic() < until, (tmp_path / "said").read_text()
                time.sleep(0.5)
            changed = subprocess.run(
                [
                    copy / ".venv/bin/python",
                    "-m",
                    "tests.hosts.calc.change_open_book",
                    "nozzle",
                    "3",
                    "flow",
                    "plant_watts",
                ],
                cwd=copy,
                env=environment,
                capture_output=True,
                text=True,
                timeout=120,
            )
            assert changed.returncode == 0, changed.stdout + changed.stderr
        finally:
            for pid in [*below(user.pid), user.pid]:
                os.kill(pid, signal.SIGTERM)
            user.wait(30)

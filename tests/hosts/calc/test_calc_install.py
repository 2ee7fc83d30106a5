"""Install and uninstall in a real LibreOffice, and what is said where something is missing."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from hydrofunc.cli import main
from hydrofunc.errors import HostError
from hydrofunc.hosts.calc import install as host
from tests.hosts.calc.calc_session import options_for


@pytest.mark.calc
def test_installed_twice_and_removed_twice(tmp_path):
    """Installing again replaces; removing what is not there says so."""
    options = options_for(tmp_path)
    assert not host.installed(options)
    for _ in range(2):
        assert "Installed in LibreOffice" in host.install(options)
        assert host.installed(options)
    assert "Removed" in host.uninstall(options)
    assert not host.installed(options)
    assert "There was no hydrofunc" in host.uninstall(options)


@pytest.mark.calc
def test_a_normal_user_installs_without_shared(tmp_path):
    """Root becomes user 65534, who may not write where root installs."""
    home = tmp_path / "home"
    home.mkdir()
    if os.geteuid() == 0:
        os.chown(home, 65534, 65534)
    for folder in [tmp_path, *tmp_path.parents][:3]:
        folder.chmod(folder.stat().st_mode | 0o055)
    code = (
        "import os, sys\n"
        "from hydrofunc.hosts.calc import install as host\n"
        "made = host.build(); host.build = lambda: made\n"  # while still root: this folder may be closed to others
        "if os.geteuid() == 0: os.setgid(65534); os.setuid(65534)\n"
        "options = [sys.argv[1]]\n"
        "print(host.install(options)); print(host.installed(options)); print(host.uninstall(options))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, f"-env:UserInstallation={(home / 'profile').as_uri()}"],
        capture_output=True,
        text=True,
        env=os.environ | {"HOME": str(home)},
        cwd=home,
    )
    assert done.returncode == 0, done.stderr
    first, second, third = done.stdout.splitlines()
    assert "for you" in first and second == "True" and "for you" in third


def test_without_libreoffice_it_says_what_to_install(monkeypatch):
    """One message, exit code 1."""
    monkeypatch.setattr(host, "_USUAL", ())
    monkeypatch.setattr(shutil, "which", lambda command: None)
    for words in (["install"], ["uninstall"]):
        result = CliRunner().invoke(main, ["calc-addin", *words])
        assert result.exit_code == 1
        assert "LibreOffice was not found" in result.output and "python3-uno" in result.output


def test_a_python_that_only_root_may_run_is_told_from_one_for_all(tmp_path):
    """Also through a link, as virtual environments have them."""
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o700)
    (closed / "python").touch()
    assert not host._open_to_all(closed / "python")
    (tmp_path / "python").symlink_to(closed / "python")
    assert not host._open_to_all(tmp_path / "python")
    assert host._open_to_all(Path("/bin/sh"))


def program_with(tmp_path, *names):
    for name in names:
        file = tmp_path / name
        file.write_text("#!/bin/sh\necho 'the profile is locked' >&2\nexit 1\n")
        file.chmod(0o755)
    return tmp_path


def test_without_the_python_loader_it_names_the_package(tmp_path):
    """Debian keeps it in a package of its own."""
    with pytest.raises(HostError, match=r"cannot run Python add-ins.*python3-uno"):
        host.install(program=program_with(tmp_path, "unopkg"))


def test_without_unopkg_it_says_so(tmp_path):
    with pytest.raises(HostError, match="There is no unopkg in"):
        host.install(program=program_with(tmp_path, "libpythonloaderlo.so"))


def test_what_unopkg_says_is_passed_on(tmp_path):
    """With what helps most often."""
    with pytest.raises(HostError, match=r"Close LibreOffice and try again. It said:\nthe profile is locked"):
        host.install(program=program_with(tmp_path, "libpythonloaderlo.so", "unopkg"))


def test_the_extension_file_is_written_once(tmp_path):
    """Not over a file that exists, unless forced."""
    out = tmp_path / "hydrofunc.oxt"
    words = ["calc-addin", "build", "--out", str(out)]
    assert CliRunner().invoke(main, words).exit_code == 0
    assert Path(out).read_bytes()[:2] == b"PK"
    assert CliRunner().invoke(main, words).exit_code == 1
    assert CliRunner().invoke(main, [*words, "--force"]).exit_code == 0

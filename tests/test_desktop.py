"""What puts the sewing room among a computer's programs, read back as each system would read it."""

from __future__ import annotations

import configparser
import os
import platform
import plistlib
import shlex
import subprocess
import sys
import threading
from pathlib import Path, PurePosixPath, PureWindowsPath
from types import SimpleNamespace

import pytest

from tracker import cli
from tracker.cli import main
from tracker.server import serving
from tracker.server.desktop import command, login_entry, program_entry
from tracker.store.quilts import Store

SYSTEMS = ("Linux", "Darwin", "Windows")
ICON = PurePosixPath("/opt/a room/icon.svg")
AWKWARD = ["/opt/a room/python", "-P", 'it\'s "5\\%" $HOME `x`', "--port", "9000"]
"""Words of a command that a careless writer would spoil."""


def said_by_a_shell(line: str) -> list[str]:
    """The words of a command, as a shell of the system understands its quotation marks."""
    done = subprocess.run(
        ["sh", "-c", f"printf '%s\\n' {line}"], capture_output=True, text=True, check=True, timeout=60
    )
    return done.stdout.splitlines()


def desktop_facts(text: str) -> dict[str, str]:
    """A desktop entry's values, with what its rules for values take away taken away."""
    reader = configparser.RawConfigParser()
    reader.optionxform = str  # type: ignore[assignment,method-assign]
    reader.read_string(text)
    return {name: value.replace("\\\\", "\\") for name, value in reader["Desktop Entry"].items()}


def test_a_linux_desktop_starts_just_that_command(tmp_path: Path) -> None:
    entry = program_entry("Linux", tmp_path, {}, AWKWARD, ICON)
    assert entry.path == tmp_path / ".local/share/applications/sewing-room.desktop"
    facts = desktop_facts(entry.text)
    assert said_by_a_shell(facts["Exec"].replace("%%", "%")) == [*AWKWARD, "--open"]
    assert (facts["Type"], facts["Terminal"], facts["Icon"]) == ("Application", "true", str(ICON))
    login = login_entry("Linux", tmp_path, {"XDG_CONFIG_HOME": "/etc/mine"}, AWKWARD, ICON)
    assert login.path == Path("/etc/mine/autostart/sewing-room.desktop")
    facts = desktop_facts(login.text)
    assert said_by_a_shell(facts["Exec"].replace("%%", "%")) == AWKWARD
    assert facts["Terminal"] == "false"


def test_a_mac_starts_just_that_command(tmp_path: Path) -> None:
    entry = program_entry("Darwin", tmp_path, {}, AWKWARD, ICON)
    first, second = entry.text.splitlines()
    assert (first, shlex.split(second)) == ("#!/bin/sh", ["exec", *AWKWARD, "--open"])
    entry.write()
    assert os.access(tmp_path / "Desktop" / "Sewing room.command", os.X_OK)
    login = login_entry("Darwin", tmp_path, {}, AWKWARD, ICON)
    facts = plistlib.loads(login.text.encode())
    assert facts == {"Label": "sewing-room", "ProgramArguments": AWKWARD, "RunAtLoad": True}
    assert login.path == tmp_path / "Library/LaunchAgents/sewing-room.plist"


def test_windows_starts_just_that_command(tmp_path: Path) -> None:
    """Read, not run: a file of commands in UTF-8, said so in its first line; every word in quotation marks."""
    run = [str(PureWindowsPath(r"C:\Users\Zoë 100%\python.exe")), "-m", "tracker"]
    entry = program_entry("Windows", tmp_path, {"APPDATA": str(tmp_path / "roaming")}, run, ICON)
    menu = tmp_path / "roaming/Microsoft/Windows/Start Menu/Programs"
    assert entry.path == menu / "Sewing room.cmd"
    words = '"C:\\Users\\Zoë 100%%\\python.exe" "-m" "tracker"'
    assert entry.text == f'@chcp 65001 >nul\r\n@{words} "--open"\r\n'
    login = login_entry("Windows", tmp_path, {}, run, ICON)
    assert login.path == tmp_path / "AppData/Roaming/Microsoft/Windows/Start Menu/Programs/Startup/Sewing room.cmd"
    assert login.text == f'@chcp 65001 >nul\r\n@start "Sewing room" /min {words}\r\n'
    entry.write()
    assert entry.path.read_bytes() == entry.text.encode()


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_command_puts_both_there_and_takes_them_away(
    system: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(platform, "system", lambda: system)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA"):
        monkeypatch.delenv(name, raising=False)
    assert main(["desktop", "--at-login", "--data", "quilts", "--port", "9000"]) == 0
    there = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert len(there) == 2
    said = capsys.readouterr().out
    for path in there:
        assert str(path) in said
        text = path.read_text("utf-8")
        assert all(word in text for word in ("tracker", str(Path("quilts").absolute()), "9000"))
        assert ("--open" in text) == (f"programs now: {path}" in said)
    assert main(["desktop", "--remove"]) == 0
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    assert main(["desktop", "--remove"]) == 0
    assert "nothing to take away" in capsys.readouterr().out


def test_where_nothing_can_be_written_it_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(platform, "system", lambda: "Darwin")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    (tmp_path / "Desktop").touch()
    assert main(["desktop"]) == 1
    (said,) = capsys.readouterr().err.splitlines()
    assert said.startswith(f"{tmp_path / 'Desktop'}: ")


def test_what_could_never_start_is_refused_before_it_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A port there is not, or a file for a folder: the entry would start nothing, and nobody would see why."""
    monkeypatch.setattr(platform, "system", lambda: "Linux")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    plan = tmp_path / "plan.toml"
    plan.touch()
    with pytest.raises(SystemExit):
        main(["desktop", "--port", "99999999"])
    assert "is no port: give a whole number from 1 to 65535" in capsys.readouterr().err
    assert main(["desktop", "--data", str(plan)]) == 1
    assert capsys.readouterr().err == f"{plan} is no folder; name the folder of the quilts with --data.\n"
    assert list(tmp_path.iterdir()) == [plan]


def test_what_it_starts_answers_from_any_folder(tmp_path: Path) -> None:
    """A folder with a `tracker` of its own in it is not taken for the tool."""
    (tmp_path / "tracker").mkdir()
    (tmp_path / "tracker" / "__init__.py").touch()
    done = subprocess.run(
        [*command([]), "--help"], cwd=tmp_path, capture_output=True, text=True, timeout=120, check=True
    )
    assert "--demo" in done.stdout
    assert command([])[0] == sys.executable


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The addresses that the browser was asked to open."""
    addresses: list[str] = []
    monkeypatch.setattr(serving.webbrowser, "open", addresses.append)

    class AtOnce:
        def __init__(self, target: object, args: tuple[str], daemon: bool) -> None:
            self.start = lambda: serving.webbrowser.open(*args)

    # The module's own word for it: timers are threads too.
    monkeypatch.setattr(serving, "threading", SimpleNamespace(**{**vars(threading), "Thread": AtOnce}))
    return addresses


@pytest.mark.parametrize(("options", "path"), [([], "/"), (["--host", "192.168.77.5"], "/pair/")])
def test_once_it_answers_its_first_page_is_opened(
    options: list[str], path: str, tmp_path: Path, shown: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cli, "serve", lambda *given: given[-1]() or given[1]() or 0)
    assert main(["serve", "--open", "--data", str(tmp_path), *options]) == 0
    (address,) = shown
    assert address.startswith(f"http://{options[-1] if options else 'localhost'}:8642{path}")


def test_started_once_more_what_runs_already_is_opened(
    tmp_path: Path, shown: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with Store.open(tmp_path):
        assert main(["serve", "--open", "--data", str(tmp_path)]) == 0
        assert "open already: http://localhost:8642/" in capsys.readouterr().out
        assert shown == ["http://localhost:8642/"]
        assert main(["serve", "--data", str(tmp_path)]) == 1
    assert "already open in another sewing room" in capsys.readouterr().err

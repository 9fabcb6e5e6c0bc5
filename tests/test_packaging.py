"""What is installed is what was tested: the wheel, and what the tests themselves need."""

from __future__ import annotations

import ast
import html
import http.client
import json
import os
import re
import shutil
import subprocess
import sys
import time
import tomllib
import zipfile
from pathlib import Path

import pytest
from browser import PATIENCE, free_port
from filelock import FileLock
from freezing import FOLDERS, counts_of
from test_frozen import assert_carried

from tracker import assets
from tracker.__main__ import OLDEST

ROOT = Path(__file__).resolve().parent.parent


def run(*command: str | Path, cwd: Path, **more: str) -> str:
    """Run a command and give what it printed; its complaint is the test's."""
    done = subprocess.run(
        list(map(str, command)),
        cwd=cwd,
        env={**os.environ, **more},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def files(folder: Path) -> set[str]:
    return {
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }


@pytest.fixture(scope="module")
def dist(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel, and with what it installs; made by the first process of a run that needs it."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "dist"
    with FileLock(folder.with_name("dist.lock")):
        if not folder.exists():
            build(folder)
    return folder


def build(folder: Path) -> None:
    """Build the wheel from the source distribution, as an installer from far away would, and install it."""
    out = folder.with_name("dist-unfinished")
    out.mkdir()
    run(sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", out, cwd=ROOT)
    (source,) = out.glob("*.tar.gz")
    run(sys.executable, "-m", "tarfile", "-e", source, out, cwd=out)
    (unpacked,) = (path for path in out.iterdir() if path.is_dir())
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", out, cwd=unpacked)
    (built,) = out.glob("*.whl")
    options = ("--quiet", "--no-deps", "--no-index", "--disable-pip-version-check")
    run(sys.executable, "-m", "pip", "install", *options, "--target", out / "installed", built, cwd=out)
    out.rename(folder)


@pytest.fixture(scope="module")
def wheel(dist: Path) -> Path:
    """The wheel."""
    (built,) = dist.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(dist: Path) -> Path:
    """A folder with the wheel installed in it, away from the source tree."""
    return dist / "installed"


def test_beside_the_source_the_folders_are_found_beside_the_package() -> None:
    assert assets.folder("templates") == ROOT / "templates"
    assert assets.folder("static") == ROOT / "static"


def test_a_missing_folder_is_said_in_a_sentence(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(assets, "_PACKAGE", tmp_path / "tracker")
    with pytest.raises(FileNotFoundError, match="The folder static is missing"):
        assets.folder("static")


@pytest.mark.parametrize("name", ["templates", "static"])
def test_an_installed_wheel_finds_every_template_and_static_file_in_itself(name: str, installed: Path) -> None:
    code = f"from tracker import assets; print(assets.folder({name!r}))"
    found = Path(run(sys.executable, "-c", code, cwd=installed, PYTHONPATH=str(installed)).strip())
    assert found == installed / "tracker" / name
    assert files(found) == files(ROOT / name)
    assert files(found)


def test_the_installed_command_answers(installed: Path) -> None:
    command = installed / "bin" / "sewing-room"
    said = run(command, "--help", cwd=installed, PYTHONPATH=str(installed))
    assert "serve" in said
    assert said == run(sys.executable, "-m", "tracker", "--help", cwd=installed, PYTHONPATH=str(installed))


def test_the_wheel_holds_the_package_and_nothing_of_the_workshop(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        tops = {name.partition("/")[0] for name in archive.namelist()}
        names = {name.removeprefix("tracker/") for name in archive.namelist() if name.startswith("tracker/")}
    assert {top.partition("-")[0] for top in tops} == {"tracker", "sewing_room"}
    assert {name for name in names if not name.startswith(("templates/", "static/"))} == files(ROOT / "tracker")


def test_an_upgrade_keeps_every_quilt(installed: Path, tmp_path: Path) -> None:
    """The installed tool opens a folder of the version before, shows its quilts, and stops with every count kept."""
    before = FOLDERS / "third"
    wanted = json.loads((before / "counts.json").read_text(encoding="utf-8"))
    data = shutil.copytree(before / "data", tmp_path / "data")
    port = free_port()
    serving = [sys.executable, "-P", "-m", "tracker", "serve", "--data", str(data), "--port", str(port)]
    with (tmp_path / "said").open("w", encoding="utf-8") as said:
        running = subprocess.Popen(serving, cwd=tmp_path, stdout=said, env={**os.environ, "PYTHONPATH": str(installed)})
        try:
            for quilt, counts in wanted.items():
                if quilt != "deleted":
                    assert counts["title"] in page(port, f"/quilts/{quilt}")
        finally:
            running.terminate()
            assert running.wait(60) == 0
    assert "Everything is saved." in (tmp_path / "said").read_text(encoding="utf-8")
    assert_carried(counts_of(data), wanted)


def page(port: int, path: str) -> str:
    """A page of a room that is just starting."""
    until = time.monotonic() + PATIENCE / 1000
    while True:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE / 1000)
        try:
            line.request("GET", path, headers={"Host": f"localhost:{port}"})
            answer = line.getresponse()
            assert answer.status == 200, path
            return html.unescape(answer.read().decode())
        except ConnectionRefusedError:
            assert time.monotonic() < until
            time.sleep(0.05)
        finally:
            line.close()


def test_a_python_that_is_too_old_is_told_so_plainly() -> None:
    """By a file that every Python 3 can read, before anything else of the package is looked at."""
    main = ROOT / "tracker" / "__main__.py"
    ast.parse(main.read_text(encoding="utf-8"), feature_version=(3, 5))
    code = (
        "import sys, runpy; sys.version_info = (3, 9, 2); sys.modules['tracker.cli'] = None;"
        "runpy.run_module('tracker', run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == (
        "The sewing room needs Python 3.11 or newer, and this is Python 3.9: install a newer one, and the sewing room"
        " with it.\n"
    )
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["requires-python"] == ">={}.{}".format(*OLDEST)
    assert project["scripts"] == {"sewing-room": "tracker.__main__:main"}


def test_nothing_names_where_packages_come_from() -> None:
    """Which registry is used is the installing machine's own setting."""
    pattern = re.compile(r"--index-url|--extra-index|--find-links|https?://", re.IGNORECASE)
    for name in ("pyproject.toml", ".ci/run", "tests/run"):
        assert not pattern.search((ROOT / name).read_text(encoding="utf-8")), name


def test_what_the_tests_need_is_what_the_test_extra_installs() -> None:
    """Every module that a test imports comes with Python, with the tool, or with the test extra."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    known = {re.split(r"[^\w-]", name, maxsplit=1)[0].replace("-", "_") for name in wanted}
    known |= {"PIL", "websocket", "zxingcpp", "tracker", "werkzeug", "jinja2", "tests"} | set(sys.stdlib_module_names)
    known |= {path.stem for path in (ROOT / "tests").rglob("*.py")}
    imported: set[tuple[str, str]] = set()
    for path in (ROOT / "tests").rglob("*.py"):
        for module in re.findall(r"^\s*(?:from|import) (\w+)", path.read_text(encoding="utf-8"), re.MULTILINE):
            imported.add((path.name, module))
    assert not {(name, module) for name, module in imported if module not in known}

"""What is installed is what was tested: the wheel, and what the tests themselves need."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from tracker import assets

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
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the source distribution as an installer from far away would."""
    out = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", out, cwd=ROOT)
    (source,) = out.glob("*.tar.gz")
    run(sys.executable, "-m", "tarfile", "-e", source, out, cwd=out)
    (unpacked,) = (path for path in out.iterdir() if path.is_dir())
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", out, cwd=unpacked)
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel installed in it, away from the source tree."""
    target = tmp_path_factory.mktemp("installed")
    options = ("--quiet", "--no-deps", "--no-index", "--disable-pip-version-check")
    run(sys.executable, "-m", "pip", "install", *options, "--target", target, wheel, cwd=target)
    return target


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
    assert {name for name in names if name.endswith(".py")} == {
        name for name in files(ROOT / "tracker") if name.endswith(".py")
    }


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
    known |= {"PIL", "zxingcpp", "tracker", "werkzeug", "jinja2", "tests"} | set(sys.stdlib_module_names)
    known |= {path.stem for path in (ROOT / "tests").rglob("*.py")}
    imported: set[tuple[str, str]] = set()
    for path in (ROOT / "tests").rglob("*.py"):
        for module in re.findall(r"^\s*(?:from|import) (\w+)", path.read_text(encoding="utf-8"), re.MULTILINE):
            imported.add((path.name, module))
    assert not {(name, module) for name, module in imported if module not in known}

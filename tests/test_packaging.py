"""What is installed is what was tested: the wheel, README's two commands and the script that runs them."""

from __future__ import annotations

import os
import re
import shutil
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


def readme_lines() -> list[str]:
    return (ROOT / "README.md").read_text(encoding="utf-8").splitlines()


def test_readme_has_one_line_that_runs_the_tests_and_it_begins_from_nothing() -> None:
    (line,) = (line for line in readme_lines() if "pytest" in line)
    assert line.strip().startswith("python3 -m venv .venv && ")
    assert "'.[test]'" in line


def test_readme_s_first_command_starts_the_demo_from_nothing() -> None:
    first = next(line.strip() for line in readme_lines() if "-m venv" in line)
    assert first.startswith("python3 -m venv .venv && ")
    assert first.endswith(".venv/bin/sewing-room serve --demo")


def ci_in(folder: Path, readme: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run the script in a clone that holds nothing but it and a README."""
    (folder / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "run", folder / ".ci" / "run")
    (folder / "README.md").write_text(readme, encoding="utf-8")
    return subprocess.run(
        ["bash", ".ci/run"],
        cwd=folder,
        env={**os.environ, "CI": "true", **more},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.mark.parametrize(
    ("readme", "code", "said"),
    [
        ("# A\n\n    echo first && echo pytest ran in $PWD\n\nMore.\n", 0, "pytest ran in "),
        ("```\nfalse && echo pytest; echo after\n```\n", 0, "after"),
        ("```\necho pytest; exit 3\n```\n", 3, "pytest"),
        ("# Nothing to run\n", 1, "README.md has no line that runs the tests."),
    ],
)
def test_ci_runs_readme_s_line_and_gives_its_exit_code(readme: str, code: int, said: str, tmp_path: Path) -> None:
    done = ci_in(tmp_path, readme)
    assert done.returncode == code, done.stderr
    assert said in done.stdout + done.stderr


def test_ci_installs_only_what_is_missing(tmp_path: Path) -> None:
    """With a search path that lacks the browser, the script asks for it, and for nothing that is there."""
    tools, log = tmp_path / "tools", tmp_path / "asked"
    tools.mkdir()
    for name in ("bash", "dirname", "grep", "find", "id", "python3"):
        (tools / name).symlink_to(shutil.which(name) or name)
    (tools / "python3").unlink()
    (tools / "python3").symlink_to(sys.executable)
    for name, line in (("apt-get", f'echo "$@" >>{log}'), ("sudo", 'shift; exec "$@"')):
        (tools / name).write_text(f"#!{shutil.which('bash')}\n{line}\n")
        (tools / name).chmod(0o755)
    clone = tmp_path / "clone"
    clone.mkdir()
    done = ci_in(clone, "echo pytest\n", PATH=str(tools))
    assert done.returncode == 0, done.stderr
    asked = log.read_text().splitlines()
    assert asked[0].startswith("update")
    assert set(asked[1].split()) - {"install", "-y", "-qq", "--no-install-recommends"} == {"chromium"}


def test_nothing_names_where_packages_come_from() -> None:
    """Which registry is used is the installing machine's own setting."""
    pattern = re.compile(r"--index-url|--extra-index|--find-links|https?://", re.IGNORECASE)
    for name in ("pyproject.toml", ".ci/run"):
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

"""The script that runs the tests, on machines that lack this or that: what it brings, says and leaves alone."""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from browser import COMMANDS
from effort import by_lot

ROOT = Path(__file__).resolve().parent.parent
BASH = shutil.which("bash") or "bash"
REAL = shlex.quote(sys.executable)

PROJECT = """\
[project]
name = "sewing-room"
dependencies = ["pytest>=8"]
optional-dependencies.test = ["{wanted}"]
scripts.sewing-room = "tracker.cli:main"
"""

PYTHON = """\
if [ "$1" = -c ]; then exec {real} -c "import sys; sys.version_info = (3, {minor}, 0); {without}"$'\\n'"$2"; fi
echo "${{0##*/}} $*" >>'{log}'
{mkdir} -p .venv/bin && {cp} '{tools}/in-venv' .venv/bin/python
"""
"""A Python of the system. It answers truly what it is asked, but for its version and whether it has venv."""

IN_VENV = """\
if [ "$1" != -m ]; then PYTHONPATH='{installed}' exec {real} "$@"; fi
[ "$2" = pip ] && echo "pip $*" >>'{log}' && exit {pip}
shift 2
printf '<%s>' pytest "$@" >>'{log}'
exit 7
"""
"""The Python of an environment: pip and pytest are only noted, and pytest ends with 7."""

APT = """\
echo "apt-get $* $DEBIAN_FRONTEND" >>'{log}'
[ {apt} = 0 ] || {{ echo "no network" >&2; exit {apt}; }}
[ "$1" = install ] && {{ {cp} -R '{archive}/.' '{tools}/'; : >'{tools}/fonts'; }} || :
"""
"""Installing puts what lies in the archive on the search path, and says that there are fonts."""


class Machine:
    """A computer with a checkout and a search path of its own, on which only what a case names is there."""

    def __init__(self, folder: Path) -> None:
        self.clone = folder / "a check out"
        self.tools, self.archive, self.installed = folder / "tools", folder / "archive", folder / "installed"
        for made in (self.clone / "tests", self.clone / ".ci", self.tools, self.archive, self.installed):
            made.mkdir(parents=True)
        self.log = folder / "log"
        self.log.touch()
        for name in ("tests/run", ".ci/run"):
            shutil.copy(ROOT / name, self.clone / name)
        for name in ("bash", "dirname", "env"):
            self.tools.joinpath(name).symlink_to(shutil.which(name) or name)
        self.project()
        self.command("find", f"[ ! -e '{self.tools}/fonts' ] || echo found")
        self.user(0)
        self.in_venv()

    def command(self, name: str, text: str, folder: Path | None = None, **more: object) -> None:
        """Put a command on the search path, or into a folder."""
        places = {"log": self.log, "tools": self.tools, "archive": self.archive, "installed": self.installed}
        means = {"real": REAL, "mkdir": shutil.which("mkdir"), "cp": shutil.which("cp"), "without": ""}
        path = (folder or self.tools) / name
        path.write_text(f"#!{BASH}\n" + (text.format(**places | means | more) if more else text))
        path.chmod(0o755)

    def project(self, wanted: str = "hypothesis>=6") -> None:
        (self.clone / "pyproject.toml").write_text(PROJECT.format(wanted=wanted))

    def user(self, number: int) -> None:
        self.command("id", f"echo {number}")

    def offers(self, name: str) -> None:
        """The package manager knows this package, too."""
        self.command("apt-cache", f'[ "$*" = "show {name}" ]')

    def python(self, name: str = "python3", minor: int = 13, venv: bool = True, folder: Path | None = None) -> None:
        without = "" if venv else "sys.modules['ensurepip'] = None"
        self.command(name, PYTHON, folder, minor=minor, without=without)

    def apt(self, code: int = 0) -> None:
        self.command("apt-get", APT, apt=code)

    def sudo(self, lets: bool = True) -> None:
        passes = f"[ \"$*\" != '-n true' ] || exit 0; [ $1 = -n ] && shift && echo sudo >>'{self.log}' && exec \"$@\""
        self.command("sudo", passes if lets else "echo 'a password is required' >&2; exit 1")

    def browser(self, folder: Path | None = None) -> None:
        self.command("chromium", ":", folder)

    def engines(self, folder: Path | None = None) -> None:
        for name in ENGINES:
            self.command(name, ":", folder)

    def fonts(self) -> None:
        (self.tools / "fonts").touch()

    def in_venv(self, pip: int = 0) -> None:
        self.command("in-venv", IN_VENV, pip=pip)

    def environment(self, editable: bool = True, origin: Path | None = None, command: str = "tracker.cli:main") -> None:
        """An environment in which the tool is installed, from the checkout itself or from elsewhere."""
        (self.clone / ".venv" / "bin").mkdir(parents=True)
        shutil.copy(self.tools / "in-venv", self.clone / ".venv" / "bin" / "python")
        facts = self.installed / "sewing_room-0.1.0.dist-info"
        facts.mkdir()
        (facts / "METADATA").write_text("Metadata-Version: 2.4\nName: sewing-room\nVersion: 0.1.0\n")
        (facts / "entry_points.txt").write_text(f"[console_scripts]\nsewing-room = {command}\n")
        origin_facts = {"url": (origin or self.clone).as_uri(), "dir_info": {"editable": True} if editable else {}}
        (facts / "direct_url.json").write_text(json.dumps(origin_facts))

    def system(self) -> None:
        """The system has all."""
        self.python()
        self.browser()
        self.engines()
        self.fonts()

    def whole(self) -> None:
        """All is there."""
        self.system()
        self.environment()

    def shop(self) -> None:
        """What a package manager would bring."""
        self.apt()
        self.python(folder=self.archive)
        self.browser(self.archive)
        self.engines(self.archive)

    def run(self, *given: str, script: str = "tests/run", cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [BASH, self.clone / script, *given],
            cwd=cwd or self.clone,
            env={"PATH": str(self.tools), "HOME": str(self.tools)},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=60,
        )

    def done(self) -> list[str]:
        """What was asked of the fakes, in order."""
        return self.log.read_text().splitlines()


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    """A bare computer: no Python, no browser, no font; root's."""
    return Machine(tmp_path)


LIGHT = "chromium-headless-shell"
UPDATE, TESTED = "apt-get update -qq noninteractive", "<pytest>"
INSTALL = "apt-get install -y -qq --no-install-recommends {} noninteractive"
ENGINES = {"firefox-esr": "firefox-esr", "WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"}
"""What the other engines' tests need, each with Debian's package."""
ALL_PACKAGES = f"python3-venv chromium fonts-dejavu-core {' '.join(ENGINES.values())}"
BARE = INSTALL.format(ALL_PACKAGES)
MADE, PIP = "-m venv --clear .venv", "pip -m pip install --quiet --disable-pip-version-check -e .[test]"
ALL_THREE = "Python 3.11 or newer with venv, Chromium, a font such as DejaVu Sans"


def refused(done: subprocess.CompletedProcess[str]) -> str:
    """The one sentence with which the script gave up."""
    assert done.returncode == 1
    (said,) = done.stderr.splitlines()
    assert said.endswith(".")
    assert ". " not in said
    return said


@pytest.mark.parametrize("script", ["tests/run", ".ci/run"])
def test_where_all_is_there_only_the_tests_run_with_what_is_given_and_their_exit_code(
    script: str, machine: Machine, tmp_path: Path
) -> None:
    machine.whole()
    machine.apt()
    machine.offers(LIGHT)
    done = machine.run("-k", "a b or *", "", script=script, cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (7, "", "")
    assert machine.done() == ["<pytest><-k><a b or *><>"]


def test_on_a_bare_machine_root_gets_packages_environment_and_tests(machine: Machine) -> None:
    machine.shop()
    done = machine.run()
    assert (done.returncode, done.stderr) == (7, "")
    assert machine.done() == [UPDATE, BARE, f"python3 {MADE}", PIP, TESTED]


def test_who_is_not_root_gets_them_by_sudo_where_it_asks_nothing(machine: Machine) -> None:
    machine.shop()
    machine.user(1000)
    machine.sudo()
    assert machine.run().returncode == 7
    assert machine.done() == ["sudo", UPDATE, "sudo", BARE, f"python3 {MADE}", PIP, TESTED]


@pytest.mark.parametrize("sudo", [None, False])
def test_elsewhere_one_sentence_says_what_to_install(sudo: bool | None, machine: Machine) -> None:
    machine.shop()
    machine.user(1000)
    if sudo is not None:
        machine.sudo(sudo)
    said = refused(machine.run())
    assert f"{ALL_THREE}, Firefox, WebKit's driver, Xvfb" in said
    assert f"apt-get install --no-install-recommends {ALL_PACKAGES}" in said
    assert machine.done() == []


def test_without_apt_get_the_sentence_names_no_package_of_debian(machine: Machine) -> None:
    assert refused(machine.run()) == f"Install these and run this again: {ALL_THREE}."


def test_only_what_is_missing_is_brought(machine: Machine) -> None:
    machine.whole()
    machine.shop()
    (machine.tools / "chromium").unlink()
    assert machine.run().returncode == 7
    assert machine.done() == [UPDATE, INSTALL.format("chromium"), TESTED]


@pytest.mark.parametrize("name", by_lot(ENGINES, 2))
def test_an_engine_that_is_missing_is_brought(name: str, machine: Machine) -> None:
    machine.whole()
    machine.shop()
    (machine.tools / name).unlink()
    assert machine.run().returncode == 7
    assert machine.done() == [UPDATE, INSTALL.format(ENGINES[name]), TESTED]


def test_where_nothing_brings_engines_the_others_are_tested_all_the_same(machine: Machine) -> None:
    machine.whole()
    for name in ENGINES:
        (machine.tools / name).unlink()
    assert machine.run().returncode == 7


@pytest.mark.parametrize("name", by_lot((name for name in COMMANDS if name != "chromium"), 2))
def test_a_browser_by_another_name_will_do(name: str, machine: Machine) -> None:
    machine.whole()
    (machine.tools / "chromium").rename(machine.tools / name)
    assert machine.run().returncode == 7


def test_of_two_browsers_the_one_without_a_window_is_brought(machine: Machine) -> None:
    machine.whole()
    machine.apt()
    machine.offers(LIGHT)
    (machine.tools / "chromium").rename(machine.archive / LIGHT)
    assert machine.run().returncode == 7
    assert machine.done() == [UPDATE, INSTALL.format(LIGHT), TESTED]


@pytest.mark.parametrize(("code", "root"), [(0, True), (100, True), (0, False)])
def test_it_is_brought_with_the_environment_where_that_asks_nothing_and_is_not_needed(
    code: int, root: bool, machine: Machine
) -> None:
    machine.system()
    machine.apt(code)
    machine.offers(LIGHT)
    machine.user(0 if root else 1000)
    assert machine.run().returncode == 7
    assert machine.done() == [f"python3 {MADE}", *([INSTALL.format(LIGHT)] if root else []), PIP, TESTED]


def test_packages_that_cannot_be_had_are_named(machine: Machine) -> None:
    machine.whole()
    machine.apt(100)
    (machine.tools / "fonts").unlink()
    done = machine.run()
    assert done.returncode == 1
    assert done.stderr.splitlines() == [
        "no network",
        "These could not be installed (apt-get says above why): a font such as DejaVu Sans.",
    ]
    assert TESTED not in machine.done()


def test_a_package_that_brings_no_browser_is_not_taken_for_one(machine: Machine) -> None:
    machine.whole()
    machine.apt()
    (machine.tools / "chromium").unlink()
    assert refused(machine.run()) == "Still missing after installing: Chromium; bring them and run this again."


@pytest.mark.parametrize(
    ("there", "taken"),
    [
        ({"python3": 14}, "python3"),
        ({"python3": 9, "python3.11": 11}, "python3.11"),
        ({"python3": 11, "python3.11": 11, "python3.12": 12, "python3.13": 13}, "python3.13"),
    ],
)
def test_the_newest_known_python_is_taken(there: dict[str, int], taken: str, machine: Machine) -> None:
    machine.browser()
    machine.fonts()
    for name, minor in there.items():
        machine.python(name, minor)
    assert machine.run().returncode == 7
    assert machine.done() == [f"{taken} {MADE}", PIP, TESTED]


def test_a_python_that_can_make_no_environments_gives_way_to_one_that_can(machine: Machine) -> None:
    machine.browser()
    machine.fonts()
    machine.python("python3.13", 13, venv=False)
    machine.python("python3.12", 12)
    machine.run()
    assert machine.done()[0] == f"python3.12 {MADE}"


def test_debian_s_part_of_python_is_brought_for_the_python_that_is_there(machine: Machine) -> None:
    machine.browser()
    machine.engines()
    machine.python("python3", 12, venv=False)
    machine.apt()
    machine.python("python3", 12, folder=machine.archive)
    machine.run()
    assert machine.done()[1:3] == [INSTALL.format("python3.12-venv fonts-dejavu-core"), f"python3 {MADE}"]


def test_a_python_that_is_too_old_is_said_and_nothing_is_touched(machine: Machine) -> None:
    machine.shop()
    machine.python("python3", 9)
    said = refused(machine.run())
    assert said == "Python 3.9 is too old: install Python 3.11 or newer, with venv, and run this again."
    assert machine.done() == []


HALF_MADE = {
    "an empty folder": None,
    "a Python that is gone": "#!/nowhere/python3\n",
    "a Python without pip": f'#!{BASH}\nexec {REAL} -S "$@"\n',
    "a Python that is too old": f'#!{BASH}\nexec {REAL} -c "import sys; sys.version_info = (3, 9); $2"\n',
}


@pytest.mark.parametrize("what", by_lot(HALF_MADE, 2))
def test_an_environment_that_was_left_half_made_is_made_anew(what: str, machine: Machine) -> None:
    machine.whole()
    python = machine.clone / ".venv" / "bin" / "python"
    text = HALF_MADE[what]
    python.unlink()
    if text is not None:
        python.write_text(text)
        python.chmod(0o755)
    shutil.rmtree(machine.installed)
    done = machine.run()
    assert done.returncode == 7
    assert "The environment .venv is not whole: it is made anew." in done.stdout
    assert machine.done() == [f"python3 {MADE}", PIP, TESTED]


@pytest.mark.parametrize("wanted", ["hypothesis>=9999", "no-such-package-of-ours>=1"])
def test_what_the_project_asks_for_since_is_installed(wanted: str, machine: Machine) -> None:
    machine.whole()
    machine.project(wanted)
    assert machine.run().returncode == 7
    assert machine.done() == [PIP, TESTED]


@pytest.mark.parametrize(
    "installed", [{"editable": False}, {"origin": ROOT / "nowhere"}, {"command": "tracker.other:main"}]
)
def test_a_tool_that_is_not_this_checkout_is_installed_again(installed: dict[str, Any], machine: Machine) -> None:
    machine.system()
    machine.environment(**installed)
    assert machine.run().returncode == 7
    assert machine.done() == [PIP, TESTED]


def test_without_network_the_first_run_says_so_and_runs_no_tests(machine: Machine) -> None:
    machine.in_venv(pip=1)
    machine.system()
    done = machine.run()
    assert done.returncode == 1
    assert done.stderr == (
        "What the tests need could not be installed (pip says above why); the first run needs the internet.\n"
    )
    assert machine.done() == [f"python3 {MADE}", PIP]

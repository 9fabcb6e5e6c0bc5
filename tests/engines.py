"""The engines of other browsers for the tests: where their programs are, how they are started, a finger on their pages.

WebKit is driven over WebDriver in a window of its own on a screen that nobody sees, Firefox over WebDriver BiDi. Both
open the tests' rooms under the plain name by which a phone at home would, as Chromium does (see browser).
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import ProxyHandler, Request, build_opener

from browser import HOST, PATIENCE, free_port

WINDOW = (390, 664)
"""As a phone's; the least that WebKit's window can be is a little wider."""

BAR = 38
"""What stands above the page in WebKit's window."""

LONG, SOON = 2 * PATIENCE // 1000, PATIENCE // 5000
"""Seconds until something that never comes is given up, and until it is at least tried again."""

AGAIN = 0.1
"""Seconds until a page is looked at again."""

WHERE = """(...selectors) => {
    document.documentElement.classList.remove('turned', 'led');
    const seen = (selector) => [...document.querySelectorAll(selector)].find((each) => each.getClientRects().length);
    const it = selectors.map(seen).find(Boolean);
    if (!it || it.getAttribute('aria-disabled') === 'true' || it.disabled) return null;
    it.scrollIntoView({ block: 'center', inline: 'center', behavior: 'instant' });
    const place = () => {
        const box = it.getBoundingClientRect();
        return [Math.round(box.x + box.width / 2), Math.round(box.y + box.height / 2)];
    };
    const [x, y] = place();
    return new Promise((tell) => setTimeout(() => {
        const top = document.elementFromPoint(x, y);
        const still = String(place()) === String([x, y]);
        tell(still && top && (it.contains(top) || top.contains(it)) ? [x, y] : null);
    }, 40));
}"""
"""The middle of what a finger would touch; null where it is not there, rests, moves, or something lies over it. What
has just come takes a touch at once, since these tap only what is meant."""


SAID = """(selector, words) => {
    const seen = [...document.querySelectorAll(selector)].filter((each) => each.getClientRects().length);
    return seen.map((each) => each.innerText.replace(/\\s+/g, ' ').trim()).find((text) => text.includes(words));
}"""
"""What the first of these that is in sight and says the words says."""


def drawn(*places: tuple[int, int], **more: Any) -> list[dict[str, Any]]:
    """What a finger does that comes down at the first of these places, is drawn on to the others and goes up."""
    first, *others = ({"type": "pointerMove", "x": x, "y": y, **more} for x, y in places)
    return [first, {"type": "pointerDown", "button": 0}, *others, {"type": "pointerUp", "button": 0}]


class EngineMissing(Exception):
    """An engine is not installed; the text is one sentence that says what to install."""


def program(words: str, package: str, *places: str) -> str:
    """Where a program is. Raises EngineMissing."""
    for place in places:
        if found := shutil.which(place) or next(map(str, Path("/").glob(place.lstrip("/"))), None):
            return found
    raise EngineMissing(f"{words} is missing: install it (on Debian, apt-get install {package}) and run this again.")


class Engine:
    """An engine with one page open. What is waited for may take LONG; nothing is timed."""

    def open(self, address: str) -> None:
        """Open a page and wait until it has loaded."""
        raise NotImplementedError

    def run(self, function: str, *given: Any) -> Any:
        """What a function of the page's script says to what is given, awaited."""
        raise NotImplementedError

    def touch(self, x: int, y: int, to: tuple[int, int] | None = None) -> None:
        """Touch the page there, and where `to` is given draw the finger on to it."""
        raise NotImplementedError

    def choose(self, selector: str, file: Path) -> None:
        """Choose a file in a form's field for files, without the window that a hand would choose it in."""
        raise NotImplementedError

    def picture(self) -> bytes:
        """The window as a PNG."""
        raise NotImplementedError

    def paper(self) -> bytes:
        """The page printed, as a PDF; nothing where what drives the engine cannot print."""
        return b""

    def comes(self, function: str, *given: Any) -> Any:
        """Wait until a function of the page's script says anything but null, false, 0 or "": what it says."""
        said = self.soon(function, *given, within=LONG)
        assert said, f"{function} {given} never came. The page: {self.text()[:2000]}"
        return said

    def soon(self, function: str, *given: Any, within: int = SOON) -> Any:
        """The same, or what it says at last where that does not come within so many seconds."""
        until = time.monotonic() + within
        while True:
            said = None
            with suppress(EngineBusy):  # a page that is just going
                said = self.run(function, *given)
            if said or time.monotonic() > until:
                return said
            time.sleep(AGAIN)

    def tap(self, *selectors: str) -> None:
        """Touch what is there of these, the first before the others, once it takes a touch."""
        self.touch(*self.comes(WHERE, *selectors))

    def sees(self, selector: str, words: str = "") -> str:
        """Wait until one of these is in sight that says this: all that it says."""
        said: str = self.comes(SAID, selector, words)
        return said

    def text(self) -> str:
        """What the page says."""
        with suppress(EngineBusy):
            return str(self.run("() => document.body.innerText"))
        return ""


class EngineBusy(Exception):
    """The page could not be asked just now."""


class WebKit(Engine):
    """WebKit's own small browser, spoken to through its driver."""

    def __init__(self, port: int, binary: str, *arguments: str) -> None:
        self._at = f"http://127.0.0.1:{port}"
        wanted = {"browserName": "MiniBrowser", "webkitgtk:browserOptions": {"binary": binary, "args": arguments}}
        session = self.ask("POST", "/session", capabilities={"alwaysMatch": wanted})
        self._at += f"/session/{session['sessionId']}"
        self.ask("POST", "/timeouts", script=1000 * LONG, pageLoad=1000 * LONG)
        self.ask("POST", "/window/rect", width=WINDOW[0], height=WINDOW[1] + BAR)

    def ask(self, method: str, what: str, **given: Any) -> Any:
        """Ask for one thing. Raises EngineBusy where it is refused."""
        body = json.dumps(given).encode() if method == "POST" else None
        asked = Request(self._at + what, body, {"Content-Type": "application/json"}, method=method)
        try:
            with self._driver.open(asked, timeout=2 * LONG) as answer:
                return json.load(answer)["value"]
        except HTTPError as fault:
            with fault:
                raise EngineBusy(f"{what}: {json.load(fault)['value']['message']}") from fault

    _driver = build_opener(ProxyHandler({}))

    def open(self, address: str) -> None:
        self.ask("POST", "/url", url=address)

    def run(self, function: str, *given: Any) -> Any:
        given_and_tell = "const given = [...arguments], tell = given.pop();"
        script = f"{given_and_tell} Promise.resolve(({function})(...given)).then(tell, () => tell(null));"
        return self.ask("POST", "/execute/async", script=script, args=given)

    def touch(self, x: int, y: int, to: tuple[int, int] | None = None) -> None:
        steps = drawn((x, y), *([to] if to else []), duration=0)
        finger = {"type": "pointer", "id": "finger", "parameters": {"pointerType": "mouse"}, "actions": steps}
        self.ask("POST", "/actions", actions=[finger])

    def choose(self, selector: str, file: Path) -> None:
        (field,) = self.ask("POST", "/element", using="css selector", value=selector).values()
        self.ask("POST", f"/element/{field}/value", text=str(file))

    def picture(self) -> bytes:
        return base64.b64decode(self.ask("GET", "/screenshot"))

    def close(self) -> None:
        self.ask("DELETE", "")


@contextmanager
def running(*command: str, **more: Any) -> Iterator[subprocess.Popen[str]]:
    """A program, with all that it starts in its turn, until the block ends; what it says is heard by nobody.

    Where the tests themselves are killed it ends with them, and without its screen or driver so does an engine.
    """
    heard = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL} | more
    if of_linux := shutil.which("setpriv"):
        command = (of_linux, "--pdeathsig", "KILL", *command)
    process = subprocess.Popen(command, start_new_session=True, text=True, **heard)
    try:
        yield process
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@contextmanager
def screen() -> Iterator[str]:
    """A screen that nobody sees; its name."""
    size = ("-screen", "0", "800x1200x24", "-nolisten", "tcp")
    command = (program("Xvfb", "xvfb", "Xvfb"), "-displayfd", "1", *size)
    with running(*command, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        with process.stdout:
            yield f":{process.stdout.readline().strip()}"


@contextmanager
def webkit(port: int) -> Iterator[Engine]:
    """WebKit, for the room on this port: asked for through it, the tests' name needs no other to know it."""
    driver = program("WebKit", "webkit2gtk-driver", "WebKitWebDriver")
    binary = program("WebKit", "webkit2gtk-driver", "/usr/lib/*/webkit2gtk-4.*/MiniBrowser")
    with screen() as display:
        there = free_port()
        environment = {**os.environ, "DISPLAY": display, "GDK_BACKEND": "x11"}
        with running(driver, f"--port={there}", env=environment):
            answers(there)
            engine = WebKit(there, binary, "--automation", f"--proxy=http://127.0.0.1:{port}")
            yield engine
            engine.close()


def answers(port: int) -> None:
    """Wait until a program listens there."""
    until = time.monotonic() + LONG
    while time.monotonic() < until:
        with suppress(OSError), socket.create_connection(("127.0.0.1", port), LONG):
            return
        time.sleep(AGAIN)
    raise AssertionError(f"nothing listens on port {port}")


PREFERENCES = {
    "network.dns.localDomains": HOST,
    "dom.w3c_touch_events.enabled": 1,
    "ui.primaryPointerCapabilities": 1,  # a finger's
    "ui.allPointerCapabilities": 1,
    "dom.ipc.processPrelaunch.enabled": False,
    "fission.autostart": False,
    "ui.useOverlayScrollbars": 1,
    "browser.shell.checkDefaultBrowser": False,
    "browser.startup.page": 0,
    "browser.newtabpage.enabled": False,
    "app.update.enabled": False,
    "datareporting.policy.dataSubmissionEnabled": False,
    "network.captive-portal-service.enabled": False,
    "network.connectivity-service.enabled": False,
    "extensions.update.enabled": False,
    "browser.safebrowsing.downloads.enabled": False,
    "services.settings.server": "data:,",
}
"""The tests' name leads to this computer, and nothing else is asked for anywhere."""


class Firefox(Engine):
    """Firefox, spoken to through a plain line."""

    def __init__(self, line: Any) -> None:
        self._line, self._number = line, 0
        self.ask("session.new", capabilities={})
        self._context = self.ask("browsingContext.getTree")["contexts"][0]["context"]
        size = {"width": WINDOW[0], "height": WINDOW[1]}
        self.page("browsingContext.setViewport", viewport=size, devicePixelRatio=1)

    def ask(self, method: str, **given: Any) -> dict[str, Any]:
        """Ask for one thing. Raises EngineBusy where it is refused."""
        self._number += 1
        self._line.send(json.dumps({"id": self._number, "method": method, "params": given}))
        while True:
            answer = json.loads(self._line.recv())
            if answer.get("id") == self._number:
                if answer["type"] == "error":
                    raise EngineBusy(f"{method}: {answer['message']}")
                result: dict[str, Any] = answer["result"]
                return result

    def page(self, method: str, **given: Any) -> dict[str, Any]:
        return self.ask(method, context=self._context, **given)

    def open(self, address: str) -> None:
        self.page("browsingContext.navigate", url=address, wait="complete")

    def run(self, function: str, *given: Any) -> Any:
        answered = f"Promise.resolve(({function})(...{json.dumps(given)}))"
        script = f"{answered}.then((said) => JSON.stringify(said ?? null))"
        target = {"context": self._context}
        answer = self.ask("script.evaluate", expression=script, target=target, awaitPromise=True)
        if answer["type"] == "exception":
            raise AssertionError(answer["exceptionDetails"]["text"])
        return json.loads(answer["result"]["value"])

    def touch(self, x: int, y: int, to: tuple[int, int] | None = None) -> None:
        steps = drawn((x, y), *([to] if to else []))
        finger = {"type": "pointer", "id": "finger", "parameters": {"pointerType": "touch"}, "actions": steps}
        self.page("input.performActions", actions=[finger])

    def choose(self, selector: str, file: Path) -> None:
        (field,) = self.page("browsingContext.locateNodes", locator={"type": "css", "value": selector})["nodes"]
        self.page("input.setFiles", element={"sharedId": field["sharedId"]}, files=[str(file)])

    def picture(self) -> bytes:
        return base64.b64decode(self.page("browsingContext.captureScreenshot")["data"])

    def paper(self) -> bytes:
        return base64.b64decode(self.page("browsingContext.print")["data"])


@contextmanager
def firefox(profile: Path) -> Iterator[Engine]:
    """Firefox with a profile of its own in this folder."""
    from websocket import create_connection

    command = program("Firefox", "firefox-esr", "firefox-esr", "firefox")
    profile.mkdir()
    lines = (f"user_pref({json.dumps(name)}, {json.dumps(value)});\n" for name, value in PREFERENCES.items())
    (profile / "user.js").write_text("".join(lines), encoding="utf-8")
    arguments = ("--headless", "--no-remote", "--profile", str(profile), "--remote-debugging-port", "0")
    with running(command, *arguments, env=os.environ | {"HOME": str(profile)}):
        there = f"{listening(profile)}/session"
        with closing(create_connection(there, timeout=2 * LONG, suppress_origin=True)) as line:
            yield Firefox(line)


def listening(profile: Path) -> str:
    """Where a Firefox with this profile listens, once it does, as it writes it there."""
    written, until = profile / "WebDriverBiDiServer.json", time.monotonic() + LONG
    while time.monotonic() < until:
        with suppress(FileNotFoundError, ValueError):
            there = json.loads(written.read_text("utf-8"))
            return f"ws://{there['ws_host']}:{there['ws_port']}"
        time.sleep(AGAIN)
    raise AssertionError("Firefox does not listen")

"""The computer's addresses on the home network, found without internet, best first."""

from __future__ import annotations

import ipaddress
import platform
import re
import socket
import threading
import time
from argparse import ArgumentTypeError
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import ifaddr

from tracker.plan.problems import shown
from tracker.safekeeping.callers import is_loopback

DEFAULT_PORT = 8642
"""Fixed, because printed labels hold it."""

HOME_SUFFIXES = ("local", "lan", "home", "home.arpa", "internal")
"""What home routers add to a computer's name; a stranger can buy none of them."""

_HOME_RANGES = tuple(map(ipaddress.IPv4Network, ("192.168.0.0/16", "10.0.0.0/8", "172.16.0.0/12")))
_VIRTUAL = re.compile(
    r"""^(docker|podman|cni|cali|flannel|lxc|veth|virbr|br-[0-9a-f]{12}|bridge1\d\d|vethernet
        |vmnet|vmware|vbox|tun\d|tap\d|utun|ppp|ipsec|wg\d|zt|tailscale|awdl|llw)
      |\b(virtual|virtualbox|vmware|hyper-v|wsl|docker
        |vpn|tunnel|tap-windows|wireguard|tailscale|zerotier)\b""",
    re.IGNORECASE | re.VERBOSE,
)
EVERYWHERE = frozenset({"", "*", "0.0.0.0", "::"})
"""Given as a host, these mean every address of the computer, as if none were given."""


def port_given(text: str) -> int:
    """A port as a command is given it. Raises ArgumentTypeError with a sentence."""
    port = int(text) if re.fullmatch(r"[0-9]{1,5}", text) else 0
    if not 1 <= port <= 65535:
        raise ArgumentTypeError(f"{shown(text)!r} is no port: give a whole number from 1 to 65535")
    return port


@dataclass(frozen=True)
class Interface:
    """A network interface as the system tells it.

    `name` is the system's, `label` the one a person knows it by; `ips` are addresses as text, IPv6 without
    zone; `up` is False only where the system says that nothing is connected.
    """

    name: str
    label: str
    ips: tuple[str, ...]
    up: bool = True


@dataclass(frozen=True)
class Address:
    """One address where a phone may find this computer.

    `ip` is a numeric address (or the name that was given), `interface` the label of its network, `doubts`
    say in words why a phone may not reach it, most serious first; none: nothing speaks against it.
    """

    ip: str
    interface: str
    doubts: tuple[str, ...] = ()

    def url(self, port: int, path: str = "/") -> str:
        """The address to type, such as `http://192.168.1.20:8642/`."""
        return f"http://{with_port(self.ip, port)}{path}"


def with_port(host: str, port: int) -> str:
    """Host and port as an address writes them: IPv6 in brackets, port 80 left out."""
    literal = f"[{host}]" if ":" in host else host
    return literal if port == 80 else f"{literal}:{port}"


def interfaces() -> tuple[Interface, ...]:
    """Every interface of this computer that has an address, loopback too; asks no internet."""
    found = []
    for adapter in ifaddr.get_adapters():
        ips = tuple(ip.ip[0].partition("%")[0] if isinstance(ip.ip, tuple) else ip.ip for ip in adapter.ips)
        label = adapter.ips[0].nice_name if adapter.ips else adapter.nice_name
        label = label if label == adapter.name else f"{label} ({adapter.nice_name})"
        found.append(Interface(adapter.name, label, ips, _is_up(adapter.name)))
    return tuple(found)


def _is_up(name: str) -> bool:
    """False only where Linux says so (an idle bridge keeps its address); other systems do not tell."""
    state = Path("/sys/class/net") / name / "operstate"
    try:
        return state.read_text(encoding="ascii").strip() not in {"down", "lowerlayerdown", "notpresent"}
    except (OSError, ValueError):
        return True


def addresses(found: Iterable[Interface] | None = None) -> list[Address]:
    """The IPv4 addresses where a phone may find this computer, best first; empty when it is on no network.

    In: interfaces, by default those of this computer. Loopback is left out. IPv6 is too: it is long to type
    and changes often. Order: fewest and least serious doubts, then the range that home routers use most,
    then by name.
    """
    ranked = []
    for interface in interfaces() if found is None else found:
        for text in interface.ips:
            ip = ipaddress.ip_address(text)
            if ip.version == 4 and not ip.is_loopback and not ip.is_unspecified:
                weight, doubts = _doubts(ip, interface)
                ranked.append((weight, _range(ip), interface.name, ip, Address(text, interface.label, doubts)))
    return [address for *_, address in sorted(ranked, key=lambda entry: entry[:4])]


def _doubts(ip: ipaddress.IPv4Address, interface: Interface) -> tuple[int, tuple[str, ...]]:
    """How serious the doubts are, and the doubts in words. Each outweighs all that follow it."""
    virtual = any(map(_VIRTUAL.search, (interface.name, interface.label)))
    tests = (
        (ip.is_link_local, "no router gave it"),
        (virtual, "looks like a virtual machine's or a VPN's network"),
        (not interface.up, "not connected"),
        (_range(ip) == len(_HOME_RANGES), "may not be on your home network"),
    )
    weight = sum(1 << place for place, (holds, _) in enumerate(reversed(tests)) if holds)
    return weight, tuple(words for holds, words in tests if holds)


def _range(ip: ipaddress.IPv4Address) -> int:
    for place, network in enumerate(_HOME_RANGES):
        if ip in network:
            return place
    return len(_HOME_RANGES)


def is_wsl(release: str | None = None) -> bool:
    """Whether this runs inside Windows' Linux, which phones cannot reach. In: the kernel's release."""
    return "microsoft" in (platform.uname().release if release is None else release).lower()


def host_names(hostname: str | None = None) -> tuple[str, ...]:
    """The names a browser at home may use for this computer, in lower case. In: its name (None: ask)."""
    own = (socket.gethostname() if hostname is None else hostname).lower().rstrip(".")
    names = {"localhost"}
    if own:
        short = own.partition(".")[0]
        names |= {own, short, *(f"{short}.{suffix}" for suffix in HOME_SUFFIXES)}
    return tuple(sorted(names))


@dataclass(frozen=True)
class NetworkLook:
    """What was last seen: the addresses best first, and the best one when the server started (None: none)."""

    addresses: tuple[Address, ...]
    started_as: Address | None

    @property
    def best(self) -> Address | None:
        return self.addresses[0] if self.addresses else None

    @property
    def changed(self) -> bool:
        """Whether the address that was shown, scanned or printed at the start is no longer the best one."""
        return (self.best and self.best.ip) != (self.started_as and self.started_as.ip)


class AddressBook:
    """The addresses of a running server. They change, so it looks again, but at most every 30 seconds.

    In: the port served, the host given by the person (None: every address), other names to answer to, and,
    for tests, the clock (seconds) and where interfaces come from. Safe to use from several threads.
    """

    LOOK_EVERY = 30.0
    LOOK_FOR_STRANGER = 2.0
    """An unknown Host header is looked up afresh, not more often than this: it may be our newest address."""

    def __init__(
        self,
        port: int = DEFAULT_PORT,
        given_host: str | None = None,
        other_names: Iterable[str] = (),
        clock: Callable[[], float] = time.monotonic,
        look: Callable[[], tuple[Interface, ...]] = interfaces,
    ) -> None:
        self.port = port
        host = (given_host or "").strip().strip("[]").lower()
        self.given_host = None if host in EVERYWHERE else host
        self._names = {*host_names(), *(name.lower() for name in other_names)}
        self._clock, self._look = clock, look
        self._lock = threading.Lock()
        self._seen, self._at = look(), clock()
        self._started_as = next(iter(self._ranked()), None)

    def current(self) -> NetworkLook:
        """The addresses as last seen, looked for again if that was 30 seconds ago or more."""
        self._refresh(self.LOOK_EVERY)
        return NetworkLook(tuple(self._ranked()), self._started_as)

    def own_path(self, path: str) -> str:
        """What to open on this computer: the first page, or, where only an address of the network is served, so that
        this computer is a device like any other, the path that lets one in."""
        return "/" if self.on_loopback else path

    def own_url(self, path: str = "/") -> str:
        """The address to open on this computer itself."""
        return Address(self.given_host or "localhost", "").url(self.port, path)

    @property
    def on_loopback(self) -> bool:
        """Whether the server also answers under localhost."""
        return self.given_host is None or bool(_loopback_doubt(self.given_host))

    def allowed_hosts(self) -> frozenset[str]:
        """Every Host header that means this server: its names and all its addresses, with the port."""
        self._refresh(self.LOOK_EVERY)
        hosts = {*self._names, *(ip for interface in self._seen for ip in interface.ips)}
        if self.given_host:
            hosts.add(self.given_host)
        return frozenset(with_port(host.lower(), self.port) for host in hosts)

    def allows(self, host: str) -> bool:
        """Whether a Host header means this server. An unknown one is checked against a fresh look."""
        wanted = host.strip().lower()
        wanted = wanted.removesuffix(":80") if self.port == 80 else wanted
        if wanted in self.allowed_hosts():
            return True
        return self._refresh(self.LOOK_FOR_STRANGER) and wanted in self.allowed_hosts()

    def is_own(self, address: str) -> bool:
        """Whether this is this computer's own address in a network, so that the caller sits at the computer itself."""
        ips = {ip for interface in self._seen for ip in interface.ips}
        return address.partition("%")[0] in ips and not is_loopback(address)

    def _refresh(self, age: float) -> bool:
        """Look again if the last look is that old; whether it did."""
        with self._lock:
            if self._clock() - self._at < age:
                return False
            self._seen, self._at = self._look(), self._clock()
            return True

    def _ranked(self) -> list[Address]:
        if self.given_host is None:
            return addresses(self._seen)
        for interface in self._seen:
            if self.given_host in interface.ips:
                return [Address(self.given_host, interface.label, _loopback_doubt(self.given_host))]
        return [Address(self.given_host, "", _loopback_doubt(self.given_host))]


def _loopback_doubt(host: str) -> tuple[str, ...]:
    return ("reaches this computer only",) if host == "localhost" or is_loopback(host) else ()

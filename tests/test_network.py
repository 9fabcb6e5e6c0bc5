"""The computer's addresses: their order, what is said against them, and which Host headers are ours."""

from __future__ import annotations

import ipaddress

import pytest

from tracker.server.addresses import AddressBook, Interface, addresses, host_names, interfaces, is_wsl, with_port

WIFI = Interface("wlan0", "wlan0", ("192.168.1.20", "fe80::1", "fd00::7"))
CABLE = Interface("eth0", "eth0", ("192.168.1.30",))
LOOPBACK = Interface("lo", "lo", ("127.0.0.1", "::1"))


def test_doubtful_addresses_come_last_and_those_of_no_use_to_a_phone_not_at_all() -> None:
    found = addresses(
        [
            Interface("eth9", "eth9", ("169.254.8.9",)),
            Interface("docker0", "docker0", ("172.17.0.1",)),
            LOOPBACK,
            Interface("wwan0", "wwan0", ("203.0.113.9",)),
            Interface("eth1", "eth1", ("172.20.0.4",)),
            Interface("eth2", "eth2", ("192.168.9.9",), up=False),
            Interface("none", "none", ("0.0.0.0",)),
            Interface("eth0", "eth0", ("10.0.0.4",)),
            WIFI,
        ]
    )
    assert [address.ip for address in found] == [
        "192.168.1.20",
        "10.0.0.4",
        "172.20.0.4",
        "203.0.113.9",
        "192.168.9.9",
        "172.17.0.1",
        "169.254.8.9",
    ]
    assert [len(address.doubts) for address in found] == [0, 0, 0, 1, 1, 1, 2]


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_alike_addresses_stand_in_one_order_however_the_system_lists_them(order: tuple[int, int]) -> None:
    pair = (CABLE, WIFI)
    assert [address.ip for address in addresses(pair[place] for place in order)] == [
        "192.168.1.30",
        "192.168.1.20",
    ]


@pytest.mark.parametrize(
    ("name", "label", "virtual"),
    [
        ("eth0", "eth0", False),
        ("enp3s0", "enp3s0", False),
        ("wlp2s0", "wlp2s0", False),
        ("en0", "en0", False),
        ("br0", "br0", False),
        ("br-lan", "br-lan", False),
        ("{846EE342-7039-11DE-9D20-806E6F6E6963}", "Wi-Fi (Wireless Adapter AX201)", False),
        ("{846EE342-7039-11DE-9D20-806E6F6E6963}", "Ethernet (PCIe Family Controller)", False),
        ("docker0", "docker0", True),
        ("br-0123456789ab", "br-0123456789ab", True),
        ("veth12ab34c", "veth12ab34c", True),
        ("virbr0", "virbr0", True),
        ("vboxnet0", "vboxnet0", True),
        ("vmnet8", "vmnet8", True),
        ("tun0", "tun0", True),
        ("tap0", "tap0", True),
        ("utun3", "utun3", True),
        ("wg0", "wg0", True),
        ("ppp0", "ppp0", True),
        ("bridge100", "bridge100", True),
        ("{846EE342}", "vEthernet (WSL) (Hyper-V Virtual Ethernet Adapter)", True),
        ("{846EE342}", "Ethernet 2 (VirtualBox Host-Only Ethernet Adapter)", True),
        ("{846EE342}", "Ethernet 3 (TAP-Windows Adapter V9)", True),
    ],
)
def test_networks_inside_the_computer_are_known_by_name(name: str, label: str, virtual: bool) -> None:
    (found,) = addresses([Interface(name, label, ("192.168.56.1",))])
    assert bool(found.doubts) == virtual


def test_this_computer_has_an_address_of_its_own() -> None:
    own = [ip for interface in interfaces() for ip in interface.ips]
    assert "127.0.0.1" in own
    assert all(ipaddress.ip_address(ip) for ip in own)
    assert "127.0.0.1" not in [address.ip for address in addresses()]


@pytest.mark.parametrize(
    ("host", "port", "written"),
    [
        ("192.168.1.20", 8642, "192.168.1.20:8642"),
        ("fd00::7", 8642, "[fd00::7]:8642"),
        ("box.local", 80, "box.local"),
        ("::1", 80, "[::1]"),
    ],
)
def test_host_and_port_are_written_as_an_address_does(host: str, port: int, written: str) -> None:
    assert with_port(host, port) == written


@pytest.mark.parametrize(
    ("release", "inside"),
    [
        ("5.15.167.4-microsoft-standard-WSL2", True),
        ("4.4.0-19041-Microsoft", True),
        ("6.1.0-28-amd64", False),
    ],
)
def test_linux_inside_windows_is_known_by_its_kernel(release: str, inside: bool) -> None:
    assert is_wsl(release) is inside


def test_names_at_home() -> None:
    assert set(host_names("Attic.example.org")) == {
        "localhost",
        "attic",
        "attic.example.org",
        "attic.local",
        "attic.lan",
        "attic.home",
        "attic.home.arpa",
        "attic.internal",
    }
    assert host_names("") == ("localhost",)


class Network:
    """A network whose interfaces and time a test changes; counts how often it is looked at."""

    def __init__(self, *found: Interface) -> None:
        self.found, self.now, self.looks = found, 1000.0, 0

    def look(self) -> tuple[Interface, ...]:
        self.looks += 1
        return self.found

    def book(self, port: int = 8642, host: str | None = None, names: tuple[str, ...] = ()) -> AddressBook:
        return AddressBook(port, host, names, clock=lambda: self.now, look=self.look)


def test_it_looks_again_after_half_a_minute_and_says_that_the_address_changed() -> None:
    network = Network(WIFI)
    book = network.book()
    assert not book.current().changed
    network.found = (Interface("wlan0", "wlan0", ("192.168.1.77",)),)
    network.now += 29
    assert [address.ip for address in book.current().addresses] == ["192.168.1.20"]
    assert network.looks == 1
    network.now += 1
    look = book.current()
    assert (look.best and look.best.ip, look.started_as and look.started_as.ip, look.changed) == (
        "192.168.1.77",
        "192.168.1.20",
        True,
    )
    assert book.current().changed, "it is said to every page that asks, not only to the first"
    network.found = (WIFI,)
    network.now += 30
    assert not book.current().changed
    assert network.looks == 3


def test_a_computer_that_joins_or_leaves_the_network_has_changed() -> None:
    network = Network(LOOPBACK)
    book = network.book()
    assert (book.current().best, book.current().changed) == (None, False)
    network.found = (LOOPBACK, WIFI)
    network.now += 30
    assert book.current().changed
    network.found = (LOOPBACK,)
    network.now += 30
    assert not book.current().changed


def test_host_headers_that_are_ours() -> None:
    book = Network(LOOPBACK, WIFI).book(names=("Sewing.test",))
    hosts = book.allowed_hosts()
    expected = {"localhost:8642", "127.0.0.1:8642", "[::1]:8642", "192.168.1.20:8642", "[fd00::7]:8642"}
    assert expected <= hosts
    for good in (*expected, "LOCALHOST:8642", "sewing.test:8642"):
        assert book.allows(good), good
    for bad in (
        "",
        "localhost",
        "localhost:80",
        "192.168.1.20:8643",
        "192.168.1.21:8642",
        "evil.example:8642",
    ):
        assert not book.allows(bad), bad


def test_on_the_web_s_own_port_the_port_may_be_left_out() -> None:
    book = Network(LOOPBACK).book(port=80)
    assert book.allows("localhost")
    assert book.allows("[::1]:80")
    assert not book.allows("localhost:8642")


def test_a_phone_that_comes_by_a_brand_new_address_is_let_in() -> None:
    network = Network(WIFI)
    book = network.book()
    network.found = (Interface("wlan0", "wlan0", ("192.168.1.77",)),)
    network.now += 1
    assert not book.allows("192.168.1.77:8642")
    network.now += 1
    assert book.allows("192.168.1.77:8642")
    assert not book.allows("192.168.1.20:8642")
    looks = network.looks
    for _ in range(50):
        assert not book.allows("evil.example:8642")
    assert network.looks == looks, "strangers must not make it look without end"


@pytest.mark.parametrize(
    ("host", "shown", "doubts", "own"),
    [
        ("192.168.1.20", ["192.168.1.20"], 0, "http://192.168.1.20:8642/"),
        ("127.0.0.1", ["127.0.0.1"], 1, "http://127.0.0.1:8642/"),
        ("localhost", ["localhost"], 1, "http://localhost:8642/"),
        ("Attic.Example", ["attic.example"], 0, "http://attic.example:8642/"),
        ("[fd00::7]", ["fd00::7"], 0, "http://[fd00::7]:8642/"),
        ("0.0.0.0", ["192.168.1.20"], 0, "http://localhost:8642/"),
        ("::", ["192.168.1.20"], 0, "http://localhost:8642/"),
    ],
)
def test_a_given_host_is_the_only_one_shown(host: str, shown: list[str], doubts: int, own: str) -> None:
    book = Network(LOOPBACK, WIFI).book(host=host)
    look = book.current()
    assert [address.ip for address in look.addresses] == shown
    assert len(look.addresses[0].doubts) == doubts
    assert book.own_url() == own
    assert book.allows(with_port(shown[0], 8642))


@pytest.mark.parametrize(
    ("address", "own"),
    [
        ("192.168.1.20", True),
        ("fe80::1%wlan0", True),
        ("fd00::7", True),
        ("192.168.1.31", False),
        ("127.0.0.1", False),
        ("::1", False),
        ("", False),
    ],
)
def test_who_calls_from_this_computers_network_address_sits_at_it(address: str, own: bool) -> None:
    assert AddressBook(8642, look=lambda: (LOOPBACK, WIFI)).is_own(address) is own

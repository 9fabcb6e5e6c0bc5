"""Who calls: this computer itself, or somebody whose request a program passes on; and what counts as one caller."""

from __future__ import annotations

import ipaddress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracker.safekeeping.callers import Call, is_loopback, network_of

BROWSER = {
    "HOST": "localhost:8642",
    "CONNECTION": "keep-alive",
    "CACHE_CONTROL": "max-age=0",
    "SEC_CH_UA": '"A browser";v="1"',
    "SEC_CH_UA_MOBILE": "?0",
    "SEC_CH_UA_PLATFORM": '"Linux"',
    "UPGRADE_INSECURE_REQUESTS": "1",
    "USER_AGENT": "A browser (X11; Linux x86_64)",
    "ACCEPT": "text/html",
    "SEC_FETCH_SITE": "none",
    "ACCEPT_ENCODING": "gzip, deflate, br, zstd",
    "ACCEPT_LANGUAGE": "de-DE,de;q=0.9",
    "COOKIE": "quilt=abc",
    "IF_NONE_MATCH": '"x"',
    "DNT": "1",
    "SEC_GPC": "1",
    "PRIORITY": "u=0, i",
    "ORIGIN": "http://localhost:8642",
    "CONTENT_TYPE": "application/x-www-form-urlencoded",
    "CONTENT_LENGTH": "0",
    "HX_REQUEST": "true",
    "HX_REQUEST_TYPE": "partial",
    "HX_CURRENT_URL": "http://localhost:8642/",
    "X_REQUESTED_WITH": "a browser's own",
}
"""All that browsers of this computer send."""

PASSING_ON = (
    *("FORWARDED", "X_FORWARDED_FOR", "X_FORWARDED_HOST", "X_FORWARDED_PROTO", "X_FORWARDED_PORT", "X_FORWARDED_BY"),
    *("X_FORWARDED_SERVER", "X_FORWARDED_PREFIX", "X_FORWARDED", "FORWARDED_FOR", "VIA", "PROXY_CONNECTION"),
    *("X_REAL_IP", "X_CLIENT_IP", "CLIENT_IP", "TRUE_CLIENT_IP", "X_CLUSTER_CLIENT_IP", "ANY_CONNECTING_IP"),
    *("X_ANY_CLIENTIP", "X_REMOTE_ADDR", "REMOTE_ADDR", "X_ORIGINAL_FOR", "X_ORIGINAL_HOST", "X_ORIGINATING_IP"),
    *("X_PROXYUSER_IP", "PROXY_AUTHORIZATION", "CDN_LOOP"),
)


@pytest.mark.parametrize(
    ("host", "address", "home"),
    [
        ("localhost:8642", "127.0.0.1", True),
        ("LOCALHOST", "127.0.0.1", True),
        ("127.0.0.1:8642", "127.0.0.1", True),
        ("[::1]:8642", "::1", True),
        ("localhost:8642", "::ffff:127.0.0.1", True),
        ("localhost:8642", "::ffff:192.168.1.30", False),
        ("localhost:8642", "192.168.1.30", False),
        ("localhost:8642", "", False),
        ("192.168.1.20:8642", "127.0.0.1", False),
        ("localhost.evil.example:8642", "127.0.0.1", False),
        ("", "127.0.0.1", False),
    ],
)
def test_this_computer_is_at_home_by_address_and_name(host: str, address: str, home: bool) -> None:
    assert Call(address, "1.1", BROWSER | {"HOST": host}).at_home() is home


@pytest.mark.parametrize("name", PASSING_ON)
def test_a_header_of_a_program_that_passes_on_takes_that_away(name: str) -> None:
    assert not Call("127.0.0.1", "1.1", BROWSER | {name: ""}).at_home()


@pytest.mark.parametrize(("version", "more"), [("1.0", {}), ("", {}), ("1.1", {"CONNECTION": "Close"})])
def test_so_does_asking_as_no_browser_does(version: str, more: dict[str, str]) -> None:
    assert Call("127.0.0.1", "1.1", BROWSER).at_home()
    assert not Call("127.0.0.1", version, BROWSER | more).at_home()


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("192.168.1.30", "192.168.1.30", True),
        ("192.168.1.30", "192.168.1.31", False),
        ("192.168.1.30", "::ffff:192.168.1.30", True),
        ("2001:db8:1:2::7", "2001:db8:1:2:ffff::8", True),
        ("2001:db8:1:2::7", "2001:db8:1:3::7", False),
        ("fe80::1%eth0", "fe80::2", True),
        ("::1", "::2", False),
        ("", "192.168.1.30", False),
    ],
)
def test_an_ipv6_network_counts_as_one_caller(one: str, other: str, same: bool) -> None:
    assert (network_of(one) == network_of(other)) is same


@given(st.ip_addresses(), st.text(max_size=9))
def test_every_address_and_whatever_is_none_has_an_answer(
    address: ipaddress.IPv4Address | ipaddress.IPv6Address, odd: str
) -> None:
    assert is_loopback(str(address)) == (getattr(address, "ipv4_mapped", None) or address).is_loopback
    assert network_of(str(address))
    assert network_of(odd) == odd or is_loopback(odd) in (True, False)

"""Who calls, as far as a request tells without a secret: from which address, from which network, passed on or not."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Mapping
from dataclasses import dataclass

_PASSED_ON = re.compile(r"(^|_)(FORWARDED|VIA|PROXY|IP|CLIENTIP|ADDR|ORIGINAL|ORIGINATING|CDN)(_|$)")
"""A word in a header's name that programs use which pass on what others ask: from whom it came, or by which way."""


@dataclass(frozen=True)
class Call:
    """The head of a request: the caller's address, HTTP's version ("1.1"), headers by name (capitals, `_` for `-`)."""

    address: str
    version: str
    headers: Mapping[str, str]

    def passed_on(self) -> bool:
        """Whether this looks passed on by a program.

        Most such programs name the caller in a header; of the others some give themselves away by asking as no
        browser does any more, in HTTP/1.0 or for one answer only.
        """
        hasty = "close" in self.headers.get("CONNECTION", "").lower()
        return self.version != "1.1" or hasty or any(map(_PASSED_ON.search, self.headers))

    def at_home(self) -> bool:
        """Whether this computer asks itself: by loopback, under a loopback name, and not passed on by a program."""
        name = re.sub(r":[0-9]+$", "", self.headers.get("HOST", ""))
        named = name.lower() == "localhost" or is_loopback(name.strip("[]"))
        return named and is_loopback(self.address) and not self.passed_on()


def is_loopback(text: str) -> bool:
    """Whether an address is of the kind that never leaves the computer."""
    address = _address(text)
    return address is not None and address.is_loopback


def network_of(text: str) -> str:
    """What counts as one caller: an IPv4 address, an IPv6 network of 64 bits (whoever is in one may use all of it)."""
    address = _address(text)
    if isinstance(address, ipaddress.IPv6Address) and not address.is_loopback:
        return str(ipaddress.IPv6Network((address, 64), strict=False))
    return str(address or text)


def _address(text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    """The address that a text is, without a zone; IPv4 written as IPv6 is IPv4."""
    try:
        address = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return None
    return getattr(address, "ipv4_mapped", None) or address

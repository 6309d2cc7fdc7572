"""Which addresses lie outside the house: to others nothing is sent, unless the operator says so."""

from __future__ import annotations

from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address

# Addresses that stand for an IPv4 address inside them: where that leads, they lead.
_TRANSLATED = (IPv6Network("64:ff9b::/96"), IPv6Network("64:ff9b:1::/48"), IPv6Network("::/96"))


def is_public(address: str) -> bool:
    """Whether a numeric address is one of the public network, and so is every address that it stands for."""
    found = ip_address(address.partition("%")[0])
    if isinstance(found, IPv6Address) and found.is_site_local:
        return False
    return all(each.is_global and not each.is_multicast for each in (found, *_inside(found)))


def _inside(address: IPv4Address | IPv6Address) -> list[IPv4Address]:
    if isinstance(address, IPv4Address):
        return []
    inside = [address.ipv4_mapped, address.sixtofour, *(address.teredo or ())]
    if any(address in network for network in _TRANSLATED):
        inside.append(IPv4Address(int(address) & 0xFFFFFFFF))
    return [each for each in inside if each is not None]

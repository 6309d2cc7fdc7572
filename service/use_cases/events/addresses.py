"""Which addresses lie outside the house: to others nothing is sent, unless the operator says so."""

from __future__ import annotations

from ipaddress import IPv4Address, IPv6Address, IPv6Network, ip_address, ip_network

# Networks that no public network leads to, or that lead somewhere else than they say. The standard library's own list
# (`is_global`) follows IANA's registries of special-purpose addresses by some years, and allows what stands in a
# network's exceptions; these are barred whole. Source: those registries, and RFC 9637 for 3fff::/20.
_BARRED = tuple(
    map(
        ip_network,
        (
            "192.0.0.0/24",  # protocol assignments, the dummy address 192.0.0.8 and anycast relays among them
            "192.31.196.0/24",  # AS112
            "192.52.193.0/24",  # automatic multicast tunnels
            "192.88.99.0/24",  # relays from 6to4, withdrawn
            "192.175.48.0/24",  # AS112
            "100::/64",  # discarded
            "100:0:0:1::/64",  # dummy
            "2001::/23",  # protocol assignments: Teredo, benchmarks, ORCHID
            "2001:db8::/32",
            "2620:4f:8000::/48",  # AS112
            "3fff::/20",  # documentation
            "5f00::/16",  # segment routing
            "fec0::/10",  # site-local, withdrawn
        ),
    )
)
# Only these are given out to the public at all; whatever else an IPv6 address begins with leads into some house.
_UNICAST = IPv6Network("2000::/3")
# Addresses that stand for the IPv4 address in their last 32 bits: where that leads, they lead.
_TRANSLATED = tuple(map(IPv6Network, ("64:ff9b::/96", "64:ff9b:1::/48", "::ffff:0:0/96", "::ffff:0:0:0/96", "::/96")))
# Of these, the ones behind which the public network is reached.
_REACHED = tuple(map(IPv6Network, ("64:ff9b::/96", "::ffff:0:0/96")))


def is_public(address: str) -> bool:
    """Whether a numeric address is one of the public network, and so is every address that it stands for."""
    found = ip_address(address.partition("%")[0])
    if any(found in network for network in _BARRED if network.version == found.version):
        return False
    inside = _inside(found)
    if not inside and isinstance(found, IPv6Address) and found not in _UNICAST:
        return False
    if inside and isinstance(found, IPv6Address) and any(found in network for network in _TRANSLATED):
        return any(found in network for network in _REACHED) and all(is_public(str(each)) for each in inside)
    return found.is_global and not found.is_multicast and all(is_public(str(each)) for each in inside)


def _inside(address: IPv4Address | IPv6Address) -> list[IPv4Address]:
    if isinstance(address, IPv4Address):
        return []
    inside = [address.sixtofour]
    if any(address in network for network in _TRANSLATED):
        inside.append(IPv4Address(int(address) & 0xFFFFFFFF))
    return [each for each in inside if each is not None]

import pytest

from service.use_cases.events.addresses import is_public

PUBLIC = [
    "93.184.216.34",
    "8.8.8.8",
    "2606:2800:220:1:248:1893:25c8:1946",
    "::ffff:8.8.8.8",
    "64:ff9b::808:808",
    "2002:808:808::1",
    "2a00:1450:4001::1",
    "3ffe:ffff::1",
]
NOT_PUBLIC = [
    "127.0.0.1",
    "127.255.255.254",
    "0.0.0.0",
    "10.1.2.3",
    "172.16.0.1",
    "172.31.255.255",
    "192.168.1.1",
    "169.254.169.254",  # where clouds keep their machines' secrets
    "100.64.0.1",
    "192.0.2.1",
    "198.18.0.1",
    "224.0.0.1",
    "240.0.0.1",
    "255.255.255.255",
    "::",
    "::1",
    "fe80::1",
    "fe80::1%eth0",
    "fec0::1",
    "fc00::1",
    "fd00:ec2::254",
    "ff02::1",
    "2001:db8::1",
    # addresses that lead to an IPv4 address inside them
    "::ffff:127.0.0.1",
    "::ffff:a00:1",
    "::ffff:169.254.169.254",
    "64:ff9b::7f00:1",
    "64:ff9b::a9fe:a9fe",
    "2002:7f00:1::",
    "2002:a00:1::1",
    "::127.0.0.1",
    "::ffff:0:7f00:1",  # as a translator of protocols writes it
    "::ffff:0:808:808",
    "64:ff9b:1::808:808",
    "::8.8.8.8",
    # kept for protocols, examples and segments, and never a host's
    "192.0.0.8",
    "192.0.0.9",
    "192.0.0.170",
    "::ffff:192.0.0.8",
    "64:ff9b::c000:8",
    "2002:c000:8::",
    "192.88.99.1",
    "192.175.48.1",
    "100::1",
    "2001::1",
    "2001:20::1",
    "3fff::1",
    "3fff:fff:ffff::1",
    "5f00::1",
    "5f00:ffff::1",
    # outside of what is given out to the public at all
    "400::1",
    "4000::1",
    "8000::1",
    "f000::1",
]


@pytest.mark.parametrize("address", PUBLIC)
def test_these_are_public(address):
    assert is_public(address)


@pytest.mark.parametrize("address", NOT_PUBLIC)
def test_these_are_not_public(address):
    assert not is_public(address)

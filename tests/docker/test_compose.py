import re

import yaml
from cryptography.fernet import Fernet

from service.console import main
from service.settings import KNOWN, Settings
from tests.house import HOUSE

COMPOSE = yaml.safe_load((HOUSE / "docker" / "compose.yaml").read_text("utf-8"))
SERVICES = COMPOSE["services"]
OURS = {name: each for name, each in SERVICES.items() if each.get("image") == "fitting-service"}
PROXY = (HOUSE / "docker" / "nginx.conf").read_text("utf-8")


def filled(text):
    """A value with what the operator gives."""
    text = text.replace("${FITTING_READINGS_KEYS:?}", Fernet.generate_key().decode())
    return re.sub(r"\$\{\w+:\?\}", "fitting.example", text)


def test_it_has_a_database_counts_the_service_twice_a_relay_and_a_proxy():
    assert {"database", "counts", "migrate", "service", "relay", "proxy"} == set(SERVICES)
    assert 2 == SERVICES["service"]["deploy"]["replicas"]


def test_every_setting_is_one_and_may_be_what_it_is():
    for each in OURS.values():
        environment = {name: filled(value) for name, value in each["environment"].items()}
        assert set(environment) <= set(KNOWN)
        assert "postgresql+psycopg" in Settings.read(environment).database_url


def test_every_command_is_one_of_the_operators():
    words = [each["command"] for each in OURS.values() if "command" in each]
    assert [["fitting-service", "deliver"], ["fitting-service", "migrate"]] == sorted(words)
    assert {command for _, command in words} <= set(main.commands)


def test_nothing_starts_before_what_it_needs():
    assert {"database": {"condition": "service_healthy"}} == SERVICES["migrate"]["depends_on"]
    for name in ("service", "relay"):
        assert {"migrate": {"condition": "service_completed_successfully"}} == SERVICES[name]["depends_on"]
    assert {"service": {"condition": "service_healthy"}} == SERVICES["proxy"]["depends_on"]


def test_both_services_count_together_in_a_store_of_bounded_memory_that_keeps_nothing():
    assert "redis://counts:6379/0" == SERVICES["service"]["environment"]["FITTING_LIMITS_URL"]
    words = SERVICES["counts"]["command"]
    said = dict(zip(words[1::2], words[2::2], strict=True))
    assert {"--save": "", "--appendonly": "no", "--maxmemory": "64mb", "--maxmemory-policy": "volatile-ttl"} == said


def test_only_the_proxy_is_reached_from_outside_and_only_the_relay_reaches_out():
    assert ["proxy"] == [name for name, each in SERVICES.items() if "ports" in each]
    assert {"proxy", "relay"} == {name for name, each in SERVICES.items() if "outside" in each["networks"]}
    assert COMPOSE["networks"]["inside"]["internal"]


def test_ours_can_write_nothing_and_have_no_rights():
    for each in OURS.values():
        assert each["read_only"]
        assert ["ALL"] == each["cap_drop"]


def test_no_service_may_take_the_whole_machine_or_has_rights_that_it_does_not_need():
    for name, each in SERVICES.items():
        assert {"mem_limit", "cpus", "pids_limit"} <= set(each), name
        assert ["ALL"] == each["cap_drop"], name
        assert ["no-new-privileges:true"] == each["security_opt"], name
    assert ["proxy"] == [name for name, each in SERVICES.items() if "cap_add" in each]


def test_what_is_known_of_customers_is_sealed_at_rest():
    for each in OURS.values():
        assert "${FITTING_READINGS_KEYS:?}" == each["environment"]["FITTING_READINGS_KEYS"]


def test_no_password_stands_in_the_file():
    text = (HOUSE / "docker" / "compose.yaml").read_text("utf-8")
    assert {"POSTGRES_PASSWORD", "FITTING_HOST", "FITTING_READINGS_KEYS"} == set(re.findall(r"\$\{(\w+):\?\}", text))
    assert set() == set(re.findall(r"\$\{(\w+)(?!:\?)\}", text))


def test_the_proxy_takes_requests_whole_and_says_who_asked():
    for line in ("proxy_request_buffering on;", "proxy_set_header X-Forwarded-For $remote_addr;", "access_log off;"):
        assert line in PROXY
    assert "location = /metrics" in PROXY

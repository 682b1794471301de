"""The project's papers agree with each other: README, pyproject, lock, gate and folder."""

import ast
import re
import subprocess
import sys
import tomllib

import pytest
from django.core.management import call_command, get_commands, load_command_class
from django.utils import timezone

from inventory.parts.models import VatCode
from workshop.bootstrap import handover
from workshop.bootstrap.lockfile import RUNTIME, TEST, read_sections
from workshop.inspections.models import Checkpoint
from workshop.people.models import Role, User
from workshop.shop.models import Shop
from workshop.shop.selectors import vat_rates_on

REPO = handover.REPO
README = (REPO / "README.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((REPO / "pyproject.toml").read_text(encoding="utf-8"))
TOP_LEVEL = {
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "fixtures",
    "inventory",
    "manage.py",
    "pyproject.toml",
    "quotes",
    "requirements.lock",
    "templates",
    "tests",
    "workshop",
}


def normal(name):
    """The package's name as registries compare it, without extras, version and marker."""
    return re.sub(r"[-_.]+", "-", re.split(r"[^\w.-]", name)[0]).lower()


def pinned(section):
    pins = read_sections(REPO / "requirements.lock")[section].pins
    return {normal(pin.split("==")[0]): pin.split("==")[1] for pin in pins}


def readme_section(heading):
    return README.split(f"\n## {heading}\n")[1].split("\n## ")[0]


def test_one_heading_holds_both_commands_and_nothing_else_to_type():
    commands = re.findall(r"(?m)^ {4}(\S.*)$", README)
    assert commands == ["python3 manage.py demo", "python3 manage.py test"]
    assert all(command in readme_section("Start") for command in commands)


def test_every_command_that_the_readme_names_exists():
    named = set(re.findall(r"manage\.py (\w+)", README))
    assert {"demo", "test", "migrate", "createsuperuser"} <= named
    assert named <= get_commands().keys()


@pytest.mark.django_db
def test_a_shop_of_ones_own_begins_with_the_commands_that_the_readme_names():
    commands = re.findall(r"`python3 manage\.py (\w+(?: [A-Z]{2})?)`", README.split("## Data")[1])
    own = [command for command in dict.fromkeys(commands) if command != "migrate"]
    assert own == ["load_catalogue", "set_up_country GB", "createsuperuser"]
    call_command("load_catalogue", verbosity=0)
    call_command("set_up_country", "GB", verbosity=0)
    call_command("createsuperuser", username="first", email="", interactive=False, verbosity=0)
    assert User.objects.get().role == Role.MANAGER
    assert Shop.objects.get().currency == "GBP"
    assert vat_rates_on(timezone.localdate())[VatCode.STANDARD] > 0
    assert Checkpoint.objects.count() > 45


def test_the_demo_takes_every_option_that_the_readme_names():
    named = set(re.findall(r"`(--[\w-]+)", README))
    parser = load_command_class("workshop.shop", "demo").create_parser("manage.py", "demo")
    assert {"--port", "--no-browser", "--reset"} <= named
    assert named <= set(parser._option_string_actions)


def test_the_readme_names_the_demos_address():
    parser = load_command_class("workshop.shop", "demo").create_parser("manage.py", "demo")
    options = parser.parse_args([])
    assert f"<http://{options.host}:{options.port}/>" in README


def test_files_that_the_readme_links_are_there():
    linked = re.findall(r"\]\((?!http)([^)#]+)\)", README)
    assert "LICENSE" in linked
    assert [name for name in linked if not (REPO / name).exists()] == []


def test_settings_that_the_readme_names_are_read():
    source = (REPO / "workshop" / "settings.py").read_text(encoding="utf-8")
    named = set(re.findall(r"`([A-Z][A-Z_]{3,})(?:=\w+)?`", README))
    assert "DATABASE_URL" in named
    assert [name for name in named if f'"{name}"' not in source] == []


def test_the_oldest_python_is_the_same_everywhere():
    oldest = PROJECT["project"]["requires-python"].removeprefix(">=")
    assert f"needs Python {oldest} or later" in README
    assert f'target-version = "py{oldest.replace(".", "")}"' in (REPO / "pyproject.toml").read_text(
        "utf-8"
    )
    starter = (REPO / "manage.py").read_text("utf-8")
    assert f"sys.version_info < ({oldest.replace('.', ', ')})" in starter
    assert f"Python {oldest} or later is needed" in starter
    assert f"--python-version={oldest}" in (REPO / ".ci" / "lock").read_text("utf-8")


def test_manage_py_can_be_read_by_pythons_it_turns_away():
    tree = ast.parse((REPO / "manage.py").read_text("utf-8"), feature_version=(3, 4))
    new = (ast.JoinedStr, ast.FunctionDef, ast.AnnAssign, ast.NamedExpr)
    assert [node for node in ast.walk(tree) if isinstance(node, new)] == []


def test_the_lock_pins_every_dependency_in_its_section():
    runtime = {normal(one) for one in PROJECT["project"]["dependencies"]}
    test = {normal(one) for one in PROJECT["dependency-groups"]["test"]}
    assert runtime <= pinned(RUNTIME).keys()
    assert test <= pinned(TEST).keys()


def test_both_sections_agree_where_they_name_the_same_package():
    runtime, test = pinned(RUNTIME), pinned(TEST)
    assert {name: test[name] for name in runtime.keys() & test.keys()} == {
        name: runtime[name] for name in runtime.keys() & test.keys()
    }


def test_the_lock_tells_nothing_about_where_it_was_made():
    text = (REPO / "requirements.lock").read_text("utf-8")
    assert re.findall(r"(?m)^.*(?:://|^-|index|/\w+/).*$", text) == []


def test_django_is_the_long_term_release_that_is_running():
    import django

    assert pinned(RUNTIME)["django"].startswith("5.2.")
    assert django.get_version() == pinned(RUNTIME)["django"]


def test_the_top_level_is_fixed():
    found = {
        path.name
        for path in REPO.iterdir()
        if not path.name.startswith(".") and path.name != "__pycache__"
    }
    assert found - TOP_LEVEL == set()
    assert TOP_LEVEL - found == set()


def test_the_bootstrap_needs_only_the_standard_library():
    for path in (REPO / "workshop" / "bootstrap").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            for name in names:
                standard = name.split(".")[0] in sys.stdlib_module_names
                assert standard or name.startswith("workshop.bootstrap"), (path.name, name)


def test_every_rule_switched_off_has_its_reason():
    text = (REPO / "pyproject.toml").read_text("utf-8")
    lint = text.split("[tool.ruff.lint]")[1].split("[tool.ruff.lint.flake8")[0]
    codes = [line for line in lint.splitlines() if re.match(r'\s*"[A-Z]+\d*",', line)]
    assert len(codes) > 20
    assert [line for line in codes if "  # " not in line and " # " not in line] == []


@pytest.mark.parametrize("name", ["run", "postgres", "lock"])
def test_the_gates_scripts_can_be_run(name):
    path = REPO / ".ci" / name
    assert path.stat().st_mode & 0o111
    if path.read_text("utf-8").startswith("#!/usr/bin/env bash"):
        subprocess.run(["bash", "-n", path], check=True)  # noqa: S607  # as the gate does


def test_the_gate_uses_the_readmes_commands():
    gate = (REPO / ".ci" / "run").read_text("utf-8")
    for command in re.findall(r"(?m)^ {4}(python3 manage\.py \w+)$", README):
        assert f"\n{command} " in gate

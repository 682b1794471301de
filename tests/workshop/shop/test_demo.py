"""The demo shop is loaded whole or not at all, and nobody's own data are touched."""

from types import SimpleNamespace

import pytest
from django.db import DatabaseError

from workshop.people.models import Role, User
from workshop.shop import demo

pytestmark = pytest.mark.django_db


@pytest.fixture
def data(settings, tmp_path, monkeypatch):
    """A data folder with a database file, its side files and a photo."""
    folder = tmp_path / ".data"
    settings.DATA_DIR = folder
    settings.MEDIA_ROOT = folder / "media"
    settings.MEDIA_ROOT.mkdir(parents=True)
    (settings.MEDIA_ROOT / "photo.jpg").write_bytes(b"photo")
    (folder / "secret-key").write_text("kept")
    for ending in ("", "-wal", "-shm"):
        (folder / f"shop.sqlite3{ending}").write_bytes(b"rows")
    stand_in(monkeypatch, "sqlite", folder / "shop.sqlite3")
    return folder


def stand_in(monkeypatch, vendor, name):
    """Let the demo believe in another database than the tests' own."""
    fake = SimpleNamespace(vendor=vendor, settings_dict={"NAME": name}, close=lambda: None)
    monkeypatch.setattr(demo, "connection", fake)


def add(username):
    return User.objects.create(username=username, role=Role.MANAGER)


def test_three_people_in_each_role_can_log_in():
    people = demo.read_logins().people
    for role in Role.values:
        assert len([one for one in people if one.role == role]) >= 3, role
    assert len({one.username for one in people}) == len(people)
    assert demo.read_logins().password


def test_an_empty_database_does_not_hold_the_demo():
    assert not demo.is_loaded()


def test_a_database_with_its_people_does():
    add(demo.read_logins().people[0].username)
    assert demo.is_loaded()


def test_a_load_that_breaks_off_leaves_nothing_behind(monkeypatch):
    def break_off(command, **options):
        if command == "load_demo":
            add(demo.read_logins().people[0].username)
            raise KeyboardInterrupt

    monkeypatch.setattr(demo, "call_command", break_off)
    with pytest.raises(KeyboardInterrupt):
        demo.load()
    assert not User.objects.exists()


def test_catalogue_and_demo_are_loaded_in_that_order(monkeypatch):
    called = []
    monkeypatch.setattr(demo, "call_command", lambda name, **options: called.append(name))
    demo.load()
    assert called == ["load_catalogue", "load_demo"]


def test_somebodys_own_shop_is_not_filled_with_the_demo(monkeypatch):
    add("their-own-manager")
    monkeypatch.setattr(demo, "call_command", lambda name, **options: pytest.fail(name))
    with pytest.raises(demo.NotTheDemoError, match="another database"):
        demo.load()


def test_reset_deletes_database_and_photos_and_keeps_the_rest(data):
    deleted = demo.reset()
    assert sorted(path.name for path in data.iterdir()) == ["secret-key"]
    assert data / "shop.sqlite3" in deleted
    assert data / "media" in deleted


def test_reset_of_nothing_is_no_error(data):
    demo.reset()
    assert demo.reset() == []


def test_reset_of_the_loaded_demo_works(data):
    add(demo.read_logins().people[0].username)
    assert demo.reset()


def test_reset_leaves_somebodys_own_shop_alone(data):
    add("their-own-manager")
    with pytest.raises(demo.NotTheDemoError, match="leaves it alone"):
        demo.reset()
    assert (data / "shop.sqlite3").exists()
    assert (data / "media" / "photo.jpg").exists()


def test_reset_leaves_photos_elsewhere_alone(data, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "elsewhere"
    settings.MEDIA_ROOT.mkdir()
    with pytest.raises(demo.NotTheDemoError, match="elsewhere"):
        demo.reset()
    assert settings.MEDIA_ROOT.exists()
    assert (data / "shop.sqlite3").exists()


def test_reset_leaves_a_database_server_alone(data, monkeypatch):
    stand_in(monkeypatch, "postgresql", "shop")
    with pytest.raises(demo.NotTheDemoError, match="database shop"):
        demo.reset()
    assert (data / "media" / "photo.jpg").exists()


def test_a_database_without_tables_is_nobodys_shop(monkeypatch):
    def no_table():
        raise DatabaseError("no such table")

    monkeypatch.setattr(demo.User.objects, "exists", no_table)
    assert not demo.holds_another_shop()

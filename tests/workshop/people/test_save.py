"""Saving people: two managers at once can't shut each other out."""

import threading

import pytest
from django.db import connection

from tests.factories.people import UserFactory
from workshop.people.models import Role, User
from workshop.people.verbs.save import LastManagerError, save_person


@pytest.mark.django_db
def test_the_very_first_person_may_be_anything():
    assert save_person(User(username="first", role=Role.DESK), password="x").pk


@pytest.mark.django_db
def test_a_refused_change_saves_nothing():
    boss = UserFactory.create(manager=True)
    boss.role, boss.first_name = Role.DESK, "Changed"
    with pytest.raises(LastManagerError, match="Make somebody else a manager first"):
        save_person(boss, password="another-long-one")
    boss.refresh_from_db()
    assert (boss.role, boss.first_name) == (Role.MANAGER, "Robin")
    assert not boss.check_password("another-long-one")


@pytest.mark.django_db(transaction=True)
def test_of_two_managers_who_shut_each_other_out_at_once_one_stays():
    people = UserFactory.create_batch(2, manager=True)
    start, ends = threading.Barrier(2), []

    def shut_out(person):
        person.is_active = False
        start.wait()
        try:
            save_person(person)
            ends.append("out")
        except LastManagerError:
            ends.append("stays")
        finally:
            connection.close()

    threads = [threading.Thread(target=shut_out, args=(person,)) for person in people]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(ends) == ["out", "stays"]
    assert User.objects.filter(is_active=True, role=Role.MANAGER).count() == 1

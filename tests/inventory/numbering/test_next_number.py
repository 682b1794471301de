"""Running numbers: in order, without gaps, safe under parallel writers."""

import threading

import pytest
from django.db import connection, transaction
from django.db.transaction import TransactionManagementError

from inventory.numbering.models import Counter
from inventory.numbering.verbs.next_number import next_number


@pytest.mark.django_db
def test_numbers_follow_each_other_from_one():
    assert [next_number("bike", "B", 4) for _ in range(3)] == ["B0001", "B0002", "B0003"]


@pytest.mark.django_db
def test_each_kind_counts_for_itself():
    next_number("bike", "B", 4)
    assert next_number("quote", "Q", 4) == "Q0001"


@pytest.mark.django_db
def test_a_number_grows_beyond_its_digits():
    Counter.objects.create(name="bike", value=9999)
    assert next_number("bike", "B", 4) == "B10000"


@pytest.mark.django_db(transaction=True)
def test_a_number_outside_a_transaction_is_refused():
    with pytest.raises(TransactionManagementError, match="inside transaction"):
        next_number("bike", "B", 4)
    assert not Counter.objects.exists()


class BrokenOffError(Exception):
    pass


@transaction.atomic
def take_and_break_off():
    next_number("bike", "B", 4)
    raise BrokenOffError


@pytest.mark.django_db(transaction=True)
def test_a_number_whose_transaction_fails_is_given_again():
    with pytest.raises(BrokenOffError):
        take_and_break_off()
    with transaction.atomic():
        assert next_number("bike", "B", 4) == "B0001"


@pytest.mark.django_db(transaction=True)
def test_parallel_writers_get_different_numbers_without_gaps():
    taken: list[str] = []
    start = threading.Barrier(6)

    def take():
        start.wait()
        try:
            for _ in range(5):
                with transaction.atomic():
                    taken.append(next_number("bike", "B", 4))
        finally:
            connection.close()

    threads = [threading.Thread(target=take) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == [f"B{n:04}" for n in range(1, 31)]

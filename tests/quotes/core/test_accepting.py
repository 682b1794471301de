"""Acceptance line by line: what the customer decides, and what follows from it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.core.lines import Change, Kind
from quotes.core.pricing import PricingError, accepted_lines, price
from tests.quotes.core.making import COULD, MUST, book, by_hand, cases, job, operation, part, step
from workshop.core.access import distinct_steps

WHEEL, CRANK = step("wheel"), step("crank")
JOBS = [
    job("1", operation("hub", "20", ["wheel"]), importance=MUST, parts=[part("balls", "hub")]),
    job("2", operation("bracket", "20", ["crank"]), importance=COULD),
]
LINES = price(JOBS, book(WHEEL, CRANK, share="0.1"), hand_lines=[by_hand("a")]).lines
DECIDING = (Kind.LABOUR, Kind.PART, Kind.HAND)


def yes(*keys):
    return {
        key
        for key, accepted in accepted_lines(LINES, dict.fromkeys(keys, True)).items()
        if accepted
    }


def test_silence_is_a_no():
    assert yes() == set()


def test_access_and_sundries_follow_the_labour_that_is_accepted():
    assert yes("labour:hub") == {"labour:hub", "access:wheel", "sundry:must"}
    assert yes("labour:bracket") == {"labour:bracket", "access:crank", "sundry:could"}


def test_an_access_step_that_only_declined_work_of_the_same_finding_needs_is_declined_with_it():
    """A long chain and its sprockets: whoever takes the chain alone pays for no wheel out."""
    steps = (step("chain"), step("wheel"), step("sprockets", needs=["wheel"]))
    both = job("1", operation("new-chain", "5", ["chain"]), operation("block", "3", ["sprockets"]))
    lines = price([both], book(*steps)).lines
    answer = accepted_lines(lines, {"labour:new-chain": True})
    assert {key for key, accepted in answer.items() if accepted} == {
        "labour:new-chain",
        "access:chain",
    }
    answer = accepted_lines(lines, {"labour:block": True})
    assert {key for key, accepted in answer.items() if accepted} == {
        "labour:block",
        "access:wheel",
        "access:sprockets",
    }


def test_a_step_kept_without_what_needs_it_follows_labour_for_the_same_finding():
    kept = [replace(line, needed_by=()) for line in LINES]
    assert accepted_lines(kept, {"labour:hub": True})["access:wheel"]
    assert not accepted_lines(kept, {"labour:hub": True})["access:crank"]


def test_a_part_or_a_line_by_hand_alone_brings_no_access():
    assert yes("part:hub:balls", "hand:a") == {"part:hub:balls", "hand:a"}


def test_a_yes_to_access_alone_does_not_stand():
    assert yes("access:wheel", "sundry:must") == set()


def test_a_line_left_out_is_not_offered():
    changes = {"labour:hub": Change(leave_out=True)}
    lines = price(JOBS, book(WHEEL, CRANK), changes=changes).lines
    assert "labour:hub" not in accepted_lines(lines, {})
    with pytest.raises(PricingError, match="Not offered: labour:hub"):
        accepted_lines(lines, {"labour:hub": True})


@given(cases(), st.data())
def test_every_line_offered_gets_an_answer_and_nothing_more_is_accepted(case, data):
    lines = price(case.jobs, case.book, changes=case.changes).lines
    offered = [line for line in lines if not line.left_out]
    deciding = [line.key for line in offered if line.kind in DECIDING]
    decided = data.draw(st.fixed_dictionaries({key: st.booleans() for key in deciding}))
    answer = accepted_lines(lines, decided)
    assert list(answer) == [line.key for line in offered]
    assert {key: answer[key] for key in deciding} == decided


@given(cases())
def test_a_yes_to_everything_accepts_everything(case):
    lines = price(case.jobs, case.book).lines
    decided = {line.key: True for line in lines if line.kind in DECIDING}
    assert all(accepted_lines(lines, decided).values())


@given(cases(), st.data())
def test_the_access_that_is_accepted_is_what_the_accepted_labour_needs(case, data):
    lines = price(case.jobs, case.book, changes=case.changes).lines
    labour = {line.key for line in lines if line.kind == Kind.LABOUR and not line.left_out}
    wanted = data.draw(st.sets(st.sampled_from(sorted(labour)))) if labour else set()
    uses = [use.operation for each in case.jobs for use in each.operations]
    needs = {
        f"access:{step.code}"
        for step in distinct_steps(
            [each for each in uses if f"labour:{each.code}" in wanted], case.book.steps
        )
    }
    answer = accepted_lines(lines, dict.fromkeys(wanted, True))
    offered = {line.key for line in lines if line.kind == Kind.ACCESS and not line.left_out}
    assert {key for key in offered if answer[key]} == needs & offered

"""The form of a checkpoint."""

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from tests.factories.inspections import CheckFactory, FindingFactory, ReadingFactory
from workshop.core.judgement import Judgement
from workshop.inspections.forms import MOST_PHOTOS, CheckForm, PhotosForm, initial_of
from workshop.inspections.judging import EntryError, FaultInput
from workshop.inspections.models import Outcome
from workshop.inspections.selectors import judge_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def filled(inspection, hinge):
    """Fill in the hinge's form with a query string."""

    def fill(text="", files=None, version="0"):
        data = QueryDict(f"version={version}&{text}", mutable=True)
        return CheckForm(data, files or {}, judge=judge_for(inspection, hinge.code, None))

    return fill


@pytest.mark.parametrize(
    ("typed", "value"),
    [("0.2", "0.2"), ("0,2", "0.2"), ("0,2 mm", "0.2"), ("1/16 in", "1.59"), (" 0.25 ", "0.25")],
)
def test_readings_are_read_as_people_write_them(filled, typed, value):
    form = filled()
    form.data["reading-hinge-play"] = typed
    assert form.is_valid()
    assert form.readings == {"hinge-play": Decimal(value)}


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("-0.2", "below zero"),
        ("300", "cannot be right here"),
        ("2 bar", "wrong unit"),
        ("a bit", "not a reading"),
        ("0.2 0.3", "not a reading"),
        ("9" * 60, "at most 40"),
    ],
)
def test_bad_readings_are_refused_with_what_to_do(filled, typed, words):
    form = filled()
    form.data["reading-hinge-play"] = typed
    assert not form.is_valid()
    assert words in form.errors["reading-hinge-play"][0]
    assert form.readings == {}


def test_no_reading_is_no_error(filled):
    form = filled("reading-hinge-play=")
    assert form.is_valid()
    assert form.readings == {}


def test_faults_become_inputs_with_their_judgements(filled):
    form = filled("faults=hinge-crack&judge-hinge-crack=watch&why-hinge-crack=a+scratch")
    assert form.is_valid()
    assert form.fault_inputs == [FaultInput("hinge-crack", Judgement.WATCH, "a scratch")]


def test_a_judgement_for_what_a_reading_finds_is_not_observed(filled):
    form = filled("judge-hinge-loose=unsafe&why-hinge-loose=clicks")
    assert form.is_valid()
    assert form.fault_inputs == [
        FaultInput("hinge-loose", Judgement.UNSAFE, "clicks", observed=False)
    ]


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("faults=chain-worn", "faults"),
        ("judge-hinge-crack=splendid", "judge-hinge-crack"),
        ("note=" + "x" * 1001, "note"),
        ("not_tested_reason=" + "x" * 201, "not_tested_reason"),
        ("quick_reason=" + "x" * 201, "quick_reason"),
    ],
)
def test_what_can_not_be_is_refused(filled, text, field):
    form = filled(text)
    assert not form.is_valid()
    assert list(form.errors) == [field]


@pytest.mark.parametrize("version", ["", "-1", "old"])
def test_a_form_without_its_version_is_refused(filled, version):
    assert "version" in filled(version=version).errors


def test_buttons_for_could_not_test(filled):
    assert not filled().not_tested
    typed = filled("not_tested=1&not_tested_reason=seized")
    tapped = filled("quick_reason=It+is+seized&not_tested_reason=")
    for form, reason in ((typed, "seized"), (tapped, "It is seized")):
        assert form.is_valid()
        assert form.not_tested
        assert form.reason == reason


def test_only_so_many_photos_at_a_time(filled):
    many = [SimpleUploadedFile(f"{n}.jpg", b"x") for n in range(MOST_PHOTOS + 1)]
    form = filled(files=MultiValueDict({"photos": many}))
    assert f"at most {MOST_PHOTOS} photos" in form.errors["photos"][0]
    assert not form.photos_good
    assert PhotosForm({}, MultiValueDict({"photos": many[:-1]})).is_valid()
    assert PhotosForm({}, {}).is_valid()


def test_it_takes_photos_from_the_camera(filled):
    html = str(filled()["photos"])
    assert 'accept="image/*"' in html
    assert 'capture="environment"' in html
    assert "multiple" in html


def test_the_verbs_errors_stand_at_their_fields(filled):
    form = filled()
    assert form.is_valid()
    form.add_entry_error(EntryError("too much", "hinge-play"))
    form.add_entry_error(EntryError("why?", "hinge-crack"))
    form.add_entry_error(EntryError("say why", "not_tested_reason"))
    form.add_entry_error(EntryError("nothing", "nowhere"))
    assert set(form.errors) == {
        "reading-hinge-play",
        "why-hinge-crack",
        "not_tested_reason",
        "__all__",
    }


def test_what_was_typed_can_stand_on_another_version_with_nothing_lost(filled):
    form = filled("faults=hinge-crack&faults=hinge-stiff&note=mine")
    form.stand_on(7)
    assert form["version"].value() == "7"
    assert form["faults"].value() == ["hinge-crack", "hinge-stiff"]
    assert form["note"].value() == "mine"


def test_a_new_form_stands_on_nothing():
    assert initial_of(None) == {"version": 0}


def test_a_recorded_check_fills_the_form(inspection, hinge):
    check = CheckFactory(
        inspection=inspection,
        checkpoint=hinge,
        outcome=Outcome.FINDINGS,
        note="creaks",
        version=3,
    )
    ReadingFactory(check_made=check, measure=hinge.measures.get(), value=Decimal("0.200"))
    FindingFactory(
        check_made=check,
        fault=hinge.faults.get(code="hinge-loose"),
        rule=hinge.rules.get(key="play-old"),
    )
    FindingFactory(
        check_made=check,
        fault=hinge.faults.get(code="hinge-crack"),
        judgement="watch",
        rule_judgement="unsafe",
        override_reason="a scratch",
    )
    form = CheckForm(judge=judge_for(inspection, hinge.code, check), check=check)
    assert form["version"].value() == 3
    assert form["note"].value() == "creaks"
    assert form["reading-hinge-play"].value() == "0.2"
    assert form["faults"].value() == ["hinge-crack"]
    assert form["judge-hinge-crack"].value() == "watch"
    assert form["why-hinge-crack"].value() == "a scratch"
    assert form.readings == {"hinge-play": Decimal("0.2")}

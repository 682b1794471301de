"""Loading the catalogue: all or nothing, again without doubling, the shop's changes kept."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from inventory.parts.models import Part
from workshop.catalogue.loading import load_catalogue
from workshop.catalogue.loading.kinds import KINDS
from workshop.inspections.models import Checkpoint, Fault, JudgementRule, RemedyOption
from workshop.labour.models import AccessStep, LabourRate, Operation, Remedy, SkillBand
from workshop.shop.models import VatRate

pytestmark = pytest.mark.django_db


def counts():
    return {kind: KINDS[kind].model._default_manager.count() for kind in KINDS}


# The catalogue that comes with the product


def test_the_whole_catalogue_is_loaded(rows):
    report = load_catalogue()
    assert counts() == {kind: len(rows[kind]) for kind in KINDS} == dict(report.added)


def test_loading_again_adds_nothing_and_changes_nothing(rows):
    load_catalogue()
    links, history = RemedyOption.objects.count(), Part.history.count()
    report = load_catalogue()
    assert not report.kept
    assert sum(report.added.values()) == 0
    assert report.unchanged == {kind: len(rows[kind]) for kind in KINDS}
    assert (RemedyOption.objects.count(), Part.history.count()) == (links, history)


def test_overwriting_with_the_same_changes_nothing():
    load_catalogue()
    report = load_catalogue(overwrite=True)
    assert not report.changed
    assert not JudgementRule.objects.filter(version=2).exists()


def test_loading_again_takes_few_queries(django_assert_max_num_queries):
    load_catalogue()
    with django_assert_max_num_queries(44):
        load_catalogue()


# How the files' short forms are written out


def test_short_forms_reach_the_tables_in_full(small):
    load_catalogue(small())
    hub = Checkpoint.objects.get(code="hub")
    assert hub.how_to_test == "Lift it and turn."
    assert (hub.folding_x, hub.folding_y, hub.diamond_x) == (490, 330, None)
    measure = hub.measures.get()
    assert (measure.plausible_min, measure.plausible_max) == (0, 10)
    options = Fault.objects.get(code="hub-loose").options.values_list(
        "rank", "remedy__code", "from_judgement"
    )
    assert list(options) == [(1, "grease", "watch"), (2, "renew", "unsafe")]
    renew = Remedy.objects.get(code="renew")
    assert renew.steps.get().quantity == 2
    part = renew.parts.get()
    assert (part.quantity, part.operation.code) == (Decimal("2.5"), "hub-renew")
    assert AccessStep.objects.get(code="tyre-off").needs.get().code == "wheel-out"
    assert Operation.objects.get(code="hub-renew").covers.get().code == "hub-grease"
    rate = LabourRate.objects.get()
    assert (rate.charged_net, rate.valid_from) == (36, dt.date(2026, 1, 1))
    assert VatRate.objects.get().rate == Decimal("0.2")


def test_what_was_loaded_has_a_history_with_its_reason(small):
    load_catalogue(small())
    assert Part.history.get().history_change_reason == "catalogue loaded"


# The shop's own changes


def test_what_the_shop_changed_stays_and_is_reported(small):
    folder = small()
    load_catalogue(folder)
    Part.objects.update(price_net=Decimal("2.20"))
    report = load_catalogue(folder)
    assert Part.objects.get().price_net == Decimal("2.20")
    [kept] = report.kept
    assert (kept.kind, kept.key) == ("part", "balls")
    assert kept.fields == {"price_net": (Decimal("2.20"), Decimal("1.80"))}
    assert "price_net: 2.2000 here, 1.80 in the file" in "\n".join(report.lines())


def test_overwriting_takes_the_files_value_and_keeps_history(small):
    folder = small()
    load_catalogue(folder)
    Part.objects.update(price_net=Decimal("2.20"))
    report = load_catalogue(folder, overwrite=True)
    assert Part.objects.get().price_net == Decimal("1.80")
    assert [each.key for each in report.changed] == ["balls"]
    assert Part.history.count() == 2


def test_rows_of_the_shop_that_no_file_names_are_left_alone(small):
    folder = small()
    load_catalogue(folder)
    Part.objects.create(code="own", name="Own", cost_net=1, price_net=2)
    load_catalogue(folder, overwrite=True)
    assert Part.objects.filter(code="own").exists()


def test_what_the_shop_put_out_of_use_stays_out_of_use(small):
    folder = small()
    load_catalogue(folder)
    Remedy.objects.filter(code="grease").update(active=False)
    load_catalogue(folder, overwrite=True)
    assert not Remedy.objects.get(code="grease").active


def test_a_remedy_taken_off_a_fault_stays_off_until_overwritten(small):
    folder = small()
    load_catalogue(folder)
    RemedyOption.objects.get(remedy__code="renew").delete()
    [kept] = load_catalogue(folder).kept
    assert kept.fields == {"remedies": ("nothing else", "renew 2 unsafe")}
    assert RemedyOption.objects.count() == 1
    load_catalogue(folder, overwrite=True)
    assert RemedyOption.objects.count() == 2


def test_a_changed_reference_is_named_by_its_code(small):
    folder = small()
    load_catalogue(folder)
    Operation.objects.filter(code="hub-renew").update(
        band=SkillBand.objects.create(code="skilled", name="skilled")
    )
    [kept] = load_catalogue(folder).kept
    assert kept.fields == {"band": ("skilled", "bench")}


def test_new_rows_come_in_beside_changed_ones(small):
    load_catalogue(small())
    Part.objects.update(price_net=9)
    added = '[[part]]\ncode = "axle"\nname = "Axle"\ncost_net = 1\nprice_net = 2\n\n[[part]]\n'
    report = load_catalogue(small("[[part]]\n", added))
    assert report.added["part"] == 1
    assert set(Part.objects.values_list("code", "price_net")) == {("balls", 9), ("axle", 2)}


def test_a_rule_is_never_edited_but_superseded(small):
    load_catalogue(small())
    load_catalogue(small("at_least = 0.5", "at_least = 0.6"), overwrite=True)
    old, new = JudgementRule.objects.order_by("version")
    assert (old.version, old.at_least, old.superseded_at is None) == (1, Decimal("0.5"), False)
    assert (new.version, new.at_least, new.superseded_at) == (2, Decimal("0.6"), None)
    assert new.fault == old.fault


def test_a_rule_the_shop_took_out_of_force_stays_out_until_overwritten(small):
    folder = small()
    load_catalogue(folder)
    JudgementRule.objects.update(superseded_at=dt.datetime(2026, 3, 1, tzinfo=dt.UTC))
    [kept] = load_catalogue(folder).kept
    assert kept.fields == {"in force": ("no", "yes")}
    assert not JudgementRule.objects.filter(superseded_at=None).exists()
    load_catalogue(folder, overwrite=True)
    assert JudgementRule.objects.get(superseded_at=None).version == 2


def test_checkpoints_may_change_places(small):
    load_catalogue(small())
    Checkpoint.objects.filter(code="hub").update(order=30)
    Checkpoint.objects.filter(code="tyre").update(order=10)
    load_catalogue(small(), overwrite=True)
    assert list(Checkpoint.objects.values_list("code", flat=True)) == ["hub", "tyre"]


# The command


def test_the_command_says_what_it_did(small, capsys):
    call_command("load_catalogue", folder=small())
    said = capsys.readouterr().out
    assert "Added 1 skill band, 1 labour rate" in said
    Part.objects.update(price_net=9)
    call_command("load_catalogue", folder=small())
    assert "Kept as the shop has them: 1" in capsys.readouterr().out
    call_command("load_catalogue", folder=small(), overwrite=True)
    assert "Changed to what the files say: 1" in capsys.readouterr().out


def test_the_command_keeps_silent_when_asked(small, capsys):
    call_command("load_catalogue", folder=small(), verbosity=0)
    assert not capsys.readouterr().out


def test_the_command_fails_with_what_is_wrong(small):
    with pytest.raises(CommandError, match=r"was not loaded\.\nsmall\.toml, part 'balls'"):
        call_command("load_catalogue", folder=small('name = "Balls"\n', ""))


def test_the_fixture_gives_a_loaded_catalogue(catalogue):
    assert catalogue.added["checkpoint"] == Checkpoint.objects.count() > 0

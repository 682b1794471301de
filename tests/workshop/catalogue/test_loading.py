"""Loading the catalogue: all or nothing, again without doubling, the shop's changes kept."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command

from inventory.parts.models import Part
from workshop.catalogue.loading import CatalogueError, load_catalogue
from workshop.catalogue.loading.kinds import KINDS
from workshop.inspections.models import Checkpoint, Fault, JudgementRule, RemedyOption
from workshop.labour.models import AccessStep, LabourRate, Operation, Remedy, SkillBand
from workshop.shop.models import VatRate

pytestmark = pytest.mark.django_db

SMALL = """
[[band]]
code = "bench"
name = "bench"

[[rate]]
band = "bench"
charged_net = 36.00
cost_net = 17
valid_from = 2026-01-01

[[vat_rate]]
code = "standard"
rate = 0.20
valid_from = 2011-01-04

[[part]]
code = "balls"
name = "Balls"
cost_net = 0.70
price_net = 1.80

[[access_step]]
code = "wheel-out"
name = "Wheel out"
minutes = 4
band = "bench"

[[access_step]]
code = "tyre-off"
name = "Tyre off"
minutes = 4
band = "bench"
needs = ["wheel-out"]

[[operation]]
code = "hub-grease"
name = "Grease hub"
minutes = 24
band = "bench"
access = ["wheel-out"]

[[operation]]
code = "hub-renew"
name = "Renew hub"
minutes = 40
band = "bench"
access = ["tyre-off"]
covers = ["hub-grease"]

[[remedy]]
code = "grease"
name = "Grease"
kind = "service"
operations = ["hub-grease"]
parts = ["balls"]

[[remedy]]
code = "renew"
name = "Renew"
kind = "renew"
operations = [{ operation = "hub-renew", times = 2 }]
parts = [{ part = "balls", quantity = 2.5, by = "hub-renew" }]

[[checkpoint]]
code = "hub"
name = "Hub"
zone = "front"
order = 10
folding = [490, 330]
how_to_test = \"\"\"
Lift it
and turn.\"\"\"
what_fools = "A loose wheel."

[[checkpoint.measure]]
code = "hub-play"
name = "Play"
unit = "mm"
range = [0, 10]

[[checkpoint.fault]]
code = "hub-loose"
name = "Hub has play"
words = "The hub is loose."
judgement = "needs_work"
remedies = ["grease", { remedy = "renew", from = "unsafe" }]

[[checkpoint.rule]]
key = "hub-play-some"
measure = "hub-play"
fault = "hub-loose"
at_least = 0.5
judgement = "needs_work"
source = "common practice, no source"

[[checkpoint]]
code = "tyre"
name = "Tyre"
zone = "front"
order = 20
how_to_test = "Look."
what_fools = "Polish."
"""


@pytest.fixture
def small(tmp_path):
    """A function that writes a small catalogue, with one text replaced, and returns its folder."""

    def write(old="", new=""):
        assert old in SMALL
        (tmp_path / "small.toml").write_text(SMALL.replace(old, new, 1) if old else SMALL)
        return tmp_path

    return write


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
    with django_assert_max_num_queries(40):
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


# What can be wrong in the files

WRONG = [
    ('name = "Balls"\n', 'name = "Balls"\ncolour = "red"\n', "part 'balls', colour: is not known"),
    ('name = "Balls"\n', "", "part 'balls', name: is missing"),
    ('name = "Balls"\n', 'name = ""\n', "part 'balls', name: This field cannot be blank"),
    ('name = "Balls"\n', "name = 5\n", "part 'balls', name: must be text"),
    ('name = "Balls"', f'name = "{"x" * 121}"', "at most 120 characters"),
    ('code = "balls"', 'code = "b alls"', "part 'b alls', code: Enter a valid “slug”"),
    ("price_net = 1.80", 'price_net = "cheap"', "part 'balls', price_net: “cheap” value must be"),
    ("price_net = 1.80", "price_net = -1", "greater than or equal to 0"),
    ("price_net = 1.80", "price_net = nan", "part 'balls', price_net"),
    ("cost_net = 0.70", "cost_net = 0.7\ncost_low_net = 0.9", "part cost low not above likely"),
    ('band = "bench"\ncharged', 'band = "wheels"\ncharged', "names 'wheels', which is no skill"),
    ('band = "bench"\ncharged', "charged", "band: is missing; write the code of a band"),
    ('band = "bench"\ncharged', "band = 3\ncharged", "must be a code in quotes, not 3"),
    ("valid_from = 2026-01-01", 'valid_from = "soon"', "“soon” value has an invalid date format"),
    ('needs = ["wheel-out"]', 'needs = ["tyre-off"]', "goes round in a circle"),
    ('needs = ["wheel-out"]', 'needs = "wheel-out"', "needs: must be a list in square brackets"),
    ('needs = ["wheel-out"]', 'needs = ["saddle-off"]', "names 'saddle-off', which is no access"),
    ('needs = ["wheel-out"]', 'needs = ["wheel-out", "wheel-out"]', "'wheel-out' twice"),
    ('covers = ["hub-grease"]', 'covers = ["hub-renew"]', "hub-renew → hub-renew"),
    ('operations = ["hub-grease"]', "operations = []", "name one operation at least"),
    ('by = "hub-renew"', 'by = "hub-grease"', "is none of the remedy's operations"),
    ('parts = ["balls"]', 'parts = [{ part = "balls", colour = 1 }]', "'colour' is not known"),
    ('kind = "service"', 'kind = "magic"', "Value 'magic' is not a valid choice"),
    ("folding = [490, 330]", "folding = [490]", "checkpoint 'hub', folding: must be two numbers"),
    ("folding = [490, 330]", 'frames = ["unicycle"]', "must be a list of folding, diamond"),
    ("range = [0, 10]", "range = [10, 0]", "measure range in order"),
    ("order = 20", "order = 10", "checkpoint 'tyre', order: 10 is taken by hub"),
    (
        'judgement = "needs_work"\nsource',
        'judgement = "bad"\nsource',
        "'bad' is not a valid choice",
    ),
    ('fault = "hub-loose"\n', "", "rule that finds names fault"),
    ('source = "common practice, no source"', "", "rule 'hub-play-some', source: is missing"),
    ('code = "tyre"', 'code = "hub"', "checkpoint 'hub': stands in small.toml already"),
    ("[[part]]", "[[spanner]]", "[[spanner]] is not known; known are [[band]]"),
    ("[[part]]", "[part]", "part: must be written as [[part]]"),
    ("[[part]]", "[[part]", "is not readable as TOML"),
]


@pytest.mark.parametrize(("old", "new", "message"), WRONG)
def test_what_is_wrong_is_said_with_file_entry_and_field_and_nothing_is_saved(
    small, old, new, message
):
    with pytest.raises(CatalogueError) as error:
        load_catalogue(small(old, new))
    assert message in str(error.value)
    assert str(error.value).startswith("small.toml")
    assert sum(counts().values()) == 0


def test_all_that_is_wrong_is_said_at_once(small):
    with pytest.raises(CatalogueError) as error:
        load_catalogue(small('name = "Balls"\ncost_net = 0.70', 'name = ""\ncost_net = "x"'))
    assert len(error.value.problems) == 2


def test_a_rule_must_stand_with_its_own_checkpoint(small):
    rule = '[[checkpoint.rule]]\nkey = "far"\nfault = "hub-loose"\njudgement = "unsafe"\n'
    added = f'what_fools = "Polish."\n\n{rule}source = "made up"\n'
    with pytest.raises(CatalogueError, match="belongs to checkpoint 'hub'; move the rule there"):
        load_catalogue(small('what_fools = "Polish."\n', added))


def test_an_order_that_the_shop_has_taken_is_refused(small):
    Checkpoint.objects.create(
        code="own", name="Own", zone="front", order=10, how_to_test="x", what_fools="y"
    )
    with pytest.raises(CatalogueError, match="10 is taken by own, added by the shop"):
        load_catalogue(small())


def test_an_entry_without_a_code_is_named_by_its_number(small):
    with pytest.raises(CatalogueError, match=r"part no\. 1 of the file, code: is missing"):
        load_catalogue(small('code = "balls"\n', ""))


def test_a_limit_broken_on_overwriting_leaves_all_as_it_was(small):
    load_catalogue(small())
    worse = small("cost_net = 0.70", "cost_net = 0.7\ncost_low_net = 0.9")
    with pytest.raises(CatalogueError, match="part cost low not above likely"):
        load_catalogue(worse, overwrite=True)
    assert Part.objects.get().cost_low_net is None


def test_a_folder_without_files_is_refused(tmp_path):
    with pytest.raises(CatalogueError, match=r"holds no \.toml file"):
        load_catalogue(tmp_path)


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

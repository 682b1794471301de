"""What can be wrong in the catalogue's files: each said in its place, and nothing saved."""

import pytest

from inventory.parts.models import Part
from workshop.catalogue.loading import CatalogueError, load_catalogue
from workshop.catalogue.loading.kinds import KINDS
from workshop.inspections.models import Checkpoint

pytestmark = pytest.mark.django_db

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
    assert not any(kind.model._default_manager.exists() for kind in KINDS.values())


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

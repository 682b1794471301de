"""The walk on a phone, in a real browser."""

import pytest

from tests.factories.inspections import jpeg
from tests.factories.people import PASSWORD
from workshop.inspections.models import Check, Outcome, Photo
from workshop.inspections.verbs.record import record_sound

pytestmark = pytest.mark.django_db(transaction=True)


def sign_in(page, person):
    page.goto("/sign-in/")
    page.fill("[name=username]", person.username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url("**/")


@pytest.fixture
def walk(phone_page, inspection, sam):
    """Sam's phone, with the address of the walk."""
    sign_in(phone_page, sam)
    return phone_page, f"/inspections/{inspection.pk}/"


def recorded(code):
    return Check.objects.get(checkpoint__code=code)


def test_sound_is_one_tap_after_another(walk):
    page, address = walk
    page.goto(address)
    page.tap("#walk-foot a")
    for code in ("main-hinge", "chain", "rear-hub"):
        page.tap(".button-sound")
        page.wait_for_url(f"**/{code}/**")
    page.tap(".button-sound")
    page.wait_for_url(f"**{address}")
    assert page.locator("#walk-progress").inner_text().endswith("4 of 4")
    page.tap("text=Finish the inspection")
    page.wait_for_url("**/bikes/*/")
    assert Check.objects.filter(outcome=Outcome.SOUND).count() == 4


def test_the_rules_speak_while_a_reading_is_typed(walk):
    page, address = walk
    page.goto(f"{address}main-hinge/")
    page.check("[value=hinge-stiff]")
    page.fill("[name=reading-hinge-play]", "0,2")
    page.wait_for_selector(".verdict >> text=Hinge has play")
    assert page.is_checked("[value=hinge-loose]")
    assert page.is_checked("[value=hinge-stiff]")
    page.fill("[name=reading-hinge-play]", "0.35")
    page.wait_for_selector(".verdict >> text=unsafe")
    page.tap(".button-save")
    page.wait_for_url("**/chain/**")
    found = recorded("main-hinge").findings
    assert {row.fault.code: row.judgement for row in found.all()} == {
        "hinge-loose": "unsafe",
        "hinge-stiff": "watch",
    }


def test_a_refused_save_keeps_what_was_typed_and_the_photo_chosen(walk, tmp_path):
    page, address = walk
    (tmp_path / "crack.jpg").write_bytes(jpeg())
    page.goto(f"{address}main-hinge/")
    page.set_input_files("#check [name=photos]", tmp_path / "crack.jpg")
    page.fill("[name=note]", "seen in the sun")
    page.tap(".button-save")
    page.wait_for_selector("[role=alert] >> text=Nothing is entered yet")
    assert page.input_value("[name=note]") == "seen in the sun"
    page.check("[value=hinge-crack]")
    page.tap(".button-save")
    page.wait_for_url("**/chain/**")
    assert Photo.objects.get().check_made == recorded("main-hinge")


def test_judging_otherwise_shows_once_a_fault_is_chosen(walk):
    page, address = walk
    page.goto(f"{address}main-hinge/")
    otherwise = page.locator("li.fault", has_text="Crack at the weld").locator(".fault-judge")
    assert not otherwise.is_visible()
    page.check("[value=hinge-crack]")
    otherwise.locator("summary").tap()
    page.select_option("[name=judge-hinge-crack]", "watch")
    page.fill("[name=why-hinge-crack]", "a scratch in the paint")
    page.tap(".button-save")
    page.wait_for_url("**/chain/**")
    assert recorded("main-hinge").findings.get().override_reason == "a scratch in the paint"


def test_could_not_test_takes_two_taps(walk):
    page, address = walk
    page.goto(f"{address}chain/")
    page.tap("summary >> text=Could not test it")
    page.tap("text=It is seized")
    page.wait_for_url("**/rear-hub/**")
    assert recorded("chain").not_tested_reason == "It is seized"


def test_two_people_at_one_checkpoint_lose_nothing(walk, inspection, hinge, mo, tmp_path):
    page, address = walk
    page.goto(f"{address}main-hinge/")
    record_sound(inspection, hinge, by=mo, base_version=0, note="looked twice")
    page.check("[value=hinge-stiff]")
    page.fill("[name=note]", "mine")
    (tmp_path / "stiff.jpg").write_bytes(jpeg())
    page.set_input_files("#check [name=photos]", tmp_path / "stiff.jpg")
    page.tap(".button-save")
    page.wait_for_selector("text=Mo Abara saved this checkpoint")
    assert page.locator("text=looked twice").is_visible()
    assert page.input_value("[name=note]") == "mine"
    assert page.is_checked("[value=hinge-stiff]")
    page.tap(".button-save")
    page.wait_for_url("**/chain/**")
    assert recorded("main-hinge").note == "mine"
    assert recorded("main-hinge").photos.count() == 1


def test_the_overview_shows_what_the_other_person_does(walk, inspection, points, mo):
    page, address = walk
    page.goto(address)
    record_sound(inspection, points[0], by=mo, base_version=0)
    page.wait_for_selector("#walk-list >> text=Mo Abara", timeout=15_000)
    assert page.locator("#walk-progress").inner_text().endswith("1 of 4")
    assert "Next: Main frame hinge" in page.locator("#walk-foot").inner_text()
    assert page.locator("#bike-drawing a[aria-label='1 Front hub: sound']").count() == 1


def test_a_photo_can_be_added_and_removed_in_place(walk, inspection, hinge, sam, tmp_path):
    page, address = walk
    record_sound(inspection, hinge, by=sam, base_version=0)
    (tmp_path / "hinge.jpg").write_bytes(jpeg())
    page.goto(f"{address}main-hinge/")
    page.set_input_files("#photos [name=photos]", tmp_path / "hinge.jpg")
    page.wait_for_selector("#photos img")
    page.tap("#photos >> text=Remove")
    page.wait_for_selector("#photos img", state="detached")
    assert not Photo.objects.exists()


def test_nothing_is_wider_than_the_phone(walk):
    page, address = walk
    for code in ("", "main-hinge/", "chain/"):
        page.goto(address + code)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_every_target_is_large_enough_for_a_thumb(walk):
    page, address = walk
    page.goto(f"{address}main-hinge/")
    page.check("[value=hinge-crack]")
    # the way up is left out: what can be tapped of it reaches beyond its box
    small = page.eval_on_selector_all(
        "main a:not(.crumbs a), main button, main summary, main .choice, main select,"
        " main textarea, main input:not([type=hidden], [type=checkbox]), .foot-bar button",
        "all => all.filter(e => e.checkVisibility() && e.getBoundingClientRect().height < 44)"
        ".map(e => e.outerHTML.slice(0, 120))",
    )
    assert small == []

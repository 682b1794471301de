"""The template tags: what they print, that it is escaped, and that it can be used without eyes."""

import re
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from django import forms
from django.core.paginator import Paginator
from django.template import Context, Template
from django.template.loader import render_to_string
from django.test import RequestFactory

from workshop.bikes.models import Stage
from workshop.core.drawing import Drawing, Mark, spread
from workshop.core.judgement import Judgement
from workshop.core.shapes import WORDS
from workshop.shop.models import Shop
from workshop.shop.templatetags.ui import (
    MESSAGE_KINDS,
    NOTICE_KINDS,
    STAGE_KINDS,
    filter_words,
)

SVG = "{http://www.w3.org/2000/svg}"


def render(source, **context):
    """Return a template's text with the ui tags loaded."""
    return Template("{% load ui %}" + source).render(Context(context))


def words(markup):
    """Return the text of some markup, without tags."""
    return " ".join(re.sub(r"<[^>]+>", " ", markup).split())


class Form(forms.Form):
    """One field of each kind."""

    frame = forms.CharField(label="Frame number", help_text="Under the bottom bracket.")
    note = forms.CharField(label="Note", required=False, widget=forms.Textarea)
    brakes = forms.ChoiceField(
        label="Brakes", choices=[("rim", "rim"), ("disc", "disc")], widget=forms.RadioSelect
    )
    rack = forms.BooleanField(label="Has a rack", required=False)
    play = forms.DecimalField(label="Play", max_value=5)


@pytest.mark.parametrize("judgement", [*WORDS, *Judgement])
def test_a_judgement_is_shape_and_word(judgement):
    """The word always stands beside the shape."""
    markup = render("{% judgement_mark judgement %}", judgement=judgement)
    assert words(markup) == WORDS[str(judgement)]
    assert markup.count("<svg") == 1
    assert f"mark-{judgement}" in markup


def test_the_shape_alone_has_no_words():
    """For a button that has its own."""
    markup = render("{% judgement_shape 'watch' %}{{ 'needs_work'|judgement_word }}")
    assert words(markup) == "needs work"


@pytest.mark.parametrize("stage", Stage)
def test_every_stage_of_a_bike_has_a_shape_of_its_kind(stage):
    """No stage falls back to the plain chip, and its label is the model's."""
    markup = render("{% stage_chip stage %}", stage=stage)
    assert words(markup) == stage.label
    assert stage in STAGE_KINDS
    assert "chip-plain" not in markup


def test_an_unknown_stage_is_plain_and_escaped():
    """Text that nobody foresaw is shown as text."""
    assert words(render("{% stage_chip 'on_holiday' %}")) == "on holiday"
    assert "<b>" not in render("{% stage_chip 'sent' label %}", label="<b>")


@pytest.mark.parametrize(
    ("amount", "shown"),
    [
        (Decimal("1234.5"), "£1,234.50"),
        (Decimal(-3), "-£3.00"),
        (Decimal(0), "£0.00"),
        (None, "–"),
    ],
)
def test_money_is_in_the_shops_currency(amount, shown):
    """As tag and as filter, the same; a dash where there is no amount."""
    shop = Shop(currency="GBP", locale="en_GB")
    assert render("{% money amount %}", amount=amount, shop=shop) == shown
    assert render("{{ amount|money:shop }}", amount=amount, shop=shop) == shown


def test_money_follows_the_shops_language():
    """A shop elsewhere has its own sign and order."""
    shop = Shop(currency="EUR", locale="de_DE")
    assert render("{% money amount %}", amount=Decimal("1234.5"), shop=shop) == "1.234,50\xa0€"


def test_a_field_ties_label_help_and_error_to_its_input():
    """The ids that the input points at are there, and the error is told by a word."""
    form = Form({"frame": ""})
    markup = render("{% field form.frame %}", form=form)
    described = re.search(r'aria-describedby="([^"]+)"', markup)[1].split()
    assert described
    assert all(f'id="{each}"' in markup for each in described)
    assert 'for="id_frame"' in markup
    assert 'aria-invalid="true"' in markup
    assert "Error: This field is required." in words(markup).replace("Error:  ", "Error: ")


def test_an_optional_field_says_so():
    """What may be left empty is marked; what must be filled is not."""
    assert "(optional)" in render("{% field form.note %}", form=Form())
    assert "(optional)" not in render("{% field form.frame %}", form=Form())


class NarrowedForm(forms.Form):
    q = forms.CharField(required=False)
    stage = forms.ChoiceField(choices=[("", "every stage"), ("sent", "quote sent")])
    since = forms.DateField(label="Seen since", required=False)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({}, []),
        ({"q": "hub"}, []),
        ({"stage": "sent"}, ["quote sent"]),
        ({"stage": "nonsense", "since": "2026-01-02"}, ["Seen since 2026-01-02"]),
    ],
)
def test_what_a_list_is_narrowed_to_is_said_in_words(data, words):
    assert filter_words(NarrowedForm(data)) == words


def test_choices_are_a_group_with_a_name():
    """Radios stand in a fieldset whose legend is the label; large ones are buttons."""
    markup = render("{% field form.brakes 'large' %}", form=Form({"brakes": "disc"}))
    assert "<fieldset" in markup
    assert re.search(r"<legend[^>]*>Brakes</legend>", markup)
    assert "choices-large" in markup
    assert markup.count('type="radio"') == 2
    assert markup.count("checked") == 1


def test_a_checkbox_has_its_label_behind_it():
    """A single tick box is one target with its words."""
    markup = render("{% field form.rack %}", form=Form())
    assert re.search(r'<label class="check"[^>]*><input type="checkbox".*Has a rack', markup)


def test_a_unit_stands_beside_the_input():
    """In front or behind, as asked."""
    markup = render("{% field form.play unit='mm' before='£' %}", form=Form())
    assert words(markup) == "Play £ mm"


def test_values_typed_by_people_are_escaped():
    """A label or a value never becomes markup."""
    form = Form({"frame": "<script>alert(1)</script>"})
    assert "<script>" not in render("{% field form.frame %}", form=form)


def drawing(shape="folding", url="/go/"):
    """A drawing with a mark of every judgement, three of them on one place."""
    marks = tuple(
        Mark(150, 300, judgement, f"place {n} <&>", n, url and f"{url}{n}")
        for n, judgement in enumerate(WORDS, start=1)
    )
    return Drawing(shape, "Bike S-1 <&>", "Six places.", marks)


def svg_of(markup):
    """Return the parsed drawing out of some markup."""
    return ET.fromstring(markup[markup.index("<svg") : markup.index("</svg>") + 6])  # noqa: S314 - our own markup


@pytest.mark.parametrize("shape", ["folding", "diamond"])
def test_each_mark_is_a_link_with_a_name(shape):
    """Number, place and judgement are read out; the link goes where it should."""
    svg = svg_of(render("{% bike_drawing drawing %}", drawing=drawing(shape)))
    links = svg.findall(f"{SVG}a")
    assert [link.get("href") for link in links] == [f"/go/{n}" for n in range(1, 7)]
    assert [link.get("aria-label") for link in links] == [
        f"{n} place {n} <&>: {word}" for n, word in enumerate(WORDS.values(), start=1)
    ]
    assert all(link.find(f"{SVG}title").text == link.get("aria-label") for link in links)


def test_marks_moved_aside_point_at_their_place():
    """A thin line leads from each moved mark to the place it means."""
    markup = render("{% bike_drawing drawing %}", drawing=drawing())
    moved = [each for each in spread(drawing().marks) if each.moved]
    assert len(moved) >= len(WORDS) - 1
    assert markup.count('d="M150 300L') == len(moved)


@pytest.mark.parametrize(("x", "from_rear"), [(100, True), (500, False)])
def test_the_drawing_opens_at_the_half_of_its_first_mark(x, from_rear):
    marks = (Mark(x, 200, "unsafe", "hub", "1", "#1"), Mark(320, 100, "watch", "bar", "2", "#2"))
    markup = render("{% bike_drawing drawing %}", drawing=Drawing("folding", "t", "d", marks))
    assert ("drawing-pan-rear" in markup) is from_rear


def test_on_paper_the_drawing_is_one_picture_without_links():
    """Marks without a URL make no link and no frame to pan in."""
    markup = render("{% bike_drawing drawing %}", drawing=drawing(url=""))
    svg = svg_of(markup)
    assert svg.get("role") == "img"
    assert svg.find(f"{SVG}a") is None
    assert "drawing-frame" not in markup


@pytest.mark.parametrize("shape", ["folding", "diamond"])
def test_the_drawing_needs_no_stylesheet(shape):
    """Every line has its colour and width as attributes, so that it prints the same."""
    svg = svg_of(render("{% bike_drawing drawing %}", drawing=drawing(shape)))
    drawn = [each for name in ("path", "circle", "rect") for each in svg.iter(SVG + name)]
    assert len(drawn) > 60
    assert all(each.get("stroke") and each.get("fill") for each in drawn)
    assert not any(each.get("style") for each in svg.iter())


@pytest.mark.parametrize("level", [*MESSAGE_KINDS, *NOTICE_KINDS])
def test_every_message_has_a_shape(level):
    """No message is told by colour alone."""
    assert "<svg" in render("{% notice_shape level %}", level=level)


def test_a_stop_notice_is_read_out_at_once():
    """What stops the work is an alert; its points are a list."""
    markup = render_to_string(
        "components/notice.html", {"kind": "stop", "title": "Halt", "points": ["<one>", "two"]}
    )
    assert 'role="alert"' in markup
    assert "&lt;one&gt;" in markup


def test_form_errors_lead_to_the_fields():
    """The summary links to each wrong field by the id that the field has."""
    form = Form({"frame": "", "brakes": "rim", "play": "7"})
    markup = render("{% include 'components/form_fields.html' with form=form %}", form=form)
    targets = re.findall(r'href="#([^"]+)"', markup)
    assert targets == ["frame-field", "play-field"]
    assert all(f'id="{target}"' in markup for target in targets)


@pytest.mark.parametrize(("label", "said"), [("Play", "</a>: This"), ("Which?", "</a> This")])
def test_a_question_is_followed_by_its_error_without_a_colon(label, said):
    form = Form({"brakes": "rim", "play": "7", "frame": ""})
    form.fields["frame"].label = label
    markup = render("{% include 'components/form_errors.html' with form=form %}", form=form)
    assert label + said in markup


@pytest.mark.django_db
@pytest.mark.parametrize(("number", "links"), [(1, ["next"]), (2, ["prev", "next"]), (3, ["prev"])])
def test_pages_keep_the_rest_of_the_query(number, links):
    """Turning the page keeps the filters that are set."""
    request = RequestFactory().get("/bikes/", {"stage": "sent", "page": number})
    markup = render_to_string(
        "components/pagination.html", {"page_obj": Paginator(range(30), 10).page(number)}, request
    )
    assert re.findall(r'rel="(\w+)"', markup) == links
    assert markup.count("stage=sent") == len(links)
    assert f"Page {number} of 3" in markup

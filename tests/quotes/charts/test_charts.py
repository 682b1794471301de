"""Charts: well formed, named and described, told apart without colour, their tables exact."""

import io
import random
import re
from collections.abc import Callable
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest
from django.template.loader import render_to_string

from quotes.charts.chart import Axis
from quotes.charts.histogram import TENTHS, Zone, bins_of, histogram
from quotes.charts.money import money_axis, whole_money
from quotes.charts.scatter import Point, Sort, Target, Words, scatter
from quotes.charts.svg import number
from quotes.charts.tornado import Swing, tornado

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '</svg><script>alert("1")</script>&'
AGE = Axis("age", lambda value: f"{float(value):g}")
POUNDS = Axis("price", lambda value: f"£{float(value):.2f}")
SORTS = {Sort.FULL: "sold", Sort.RING: "asked", Sort.CROSS: "dropped"}
POINTS = [
    Point("Larkfold 2019", 6, 400, Sort.FULL),
    Point("Larkfold 2021", 4, 450, Sort.RING),
    Point("Larkfold 2015", 10, 300, Sort.CROSS),
]
SWINGS = [
    Swing("Resale price", "£360", "£480", -5, 140),
    Swing("Hidden faults", "none", "£90", 95, 10),
    Swing("Work", "2 h", "4 h", 90, 60),
    Swing("Fees", "2 %", "3 %", 71, 70),
]


def draws(count=2000):
    rnd = random.Random(5)
    return [rnd.gauss(70, 60) for _ in range(count)]


def the_scatter(points=POINTS, *, name="Price against age"):
    words = Words(name, "Three prices.", "bike", "fitted", SORTS)
    target = Target("B0001", 6, 390, 340, 450)
    return scatter("s", words, (AGE, POUNDS), points, curve=[(4, 450), (10, 300)], target=target)


def the_histogram(name="Profit", values=None):
    values = draws() if values is None else values
    ranked = sorted(values)
    tenths = tuple(ranked[int(len(ranked) * share)] for share in (0.1, 0.5, 0.9))
    zones = (
        Zone("loses money", "hatched", 0),
        Zone("below target", "empty", 80),
        Zone("reaches target", "solid"),
    )
    return histogram(
        "h", name, "Draws.", POUNDS, values, tenths, zones=zones, marks=[(80.0, "target")]
    )


def the_tornado(name="What moves it"):
    return tornado("t", name, "Three facts.", POUNDS, 70, SWINGS)


ALL: list[Callable] = [the_scatter, the_histogram, the_tornado]


def parsed(markup):
    return ET.fromstring(markup)  # noqa: S314 - our own


def texts(chart):
    return [each.text for each in parsed(chart.svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("make", ALL)
def test_a_chart_is_one_picture_with_name_and_description(make):
    root = parsed(make().svg)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    named = root.get("aria-labelledby").split()
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert named == [title.get("id"), desc.get("id")]
    assert title.text == make().title
    assert desc.text


@pytest.mark.parametrize("make", ALL)
def test_what_people_wrote_cannot_become_markup(make):
    chart = make(name=HOSTILE)
    html = render_to_string("components/chart.html", {"chart": chart})
    assert "<script" not in html
    assert parsed(chart.svg).find(f"{SVG}title").text == HOSTILE


@pytest.mark.parametrize("make", ALL)
def test_a_chart_needs_no_style_script_or_foreign_file(make):
    markup = make().svg
    assert not re.search(r"style=|<style|class=|href|url\(|<script|\son\w+=", markup)


@pytest.mark.parametrize("make", ALL)
def test_everything_is_drawn_on_the_paper(make):
    root = parsed(make().svg)
    _, _, width, height = map(float, root.get("viewBox").split())
    for each in root.iter(f"{SVG}text"):
        assert -1 <= float(each.get("x")) <= width
        assert 0 <= float(each.get("y")) <= height
    for path in root.iter(f"{SVG}path"):
        for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", path.get("d")):
            assert -0.5 <= float(x) <= width + 0.5
            assert -0.5 <= float(y) <= height + 0.5


@pytest.mark.parametrize("make", ALL)
def test_the_table_stands_beneath_with_every_cell(make):
    chart = make()
    html = render_to_string("components/chart.html", {"chart": chart})
    assert html.index("</svg>") < html.index("<table")
    assert html.count("<tr>") == len(chart.rows) + 1
    cells = [re.sub("<.*?>", "", each) for each in re.findall(r"<t[dh].*?>.*?</t[dh]>", html)]
    assert cells[len(chart.head) :] == [cell for row in chart.rows for cell in row]


def test_the_scatter_plots_table_holds_the_figures_given():
    assert the_scatter().rows == (
        ("Larkfold 2019", "6", "£400.00", "sold"),
        ("Larkfold 2021", "4", "£450.00", "asked"),
        ("Larkfold 2015", "10", "£300.00", "dropped"),
        ("B0001", "6", "£390.00", "£340.00 to £450.00"),
    )


def test_the_scatter_plots_points_stand_where_their_figures_say():
    root = parsed(the_scatter([Point("a", 0, 0), Point("b", 10, 500)]).svg)
    places = [
        (float(each.get("cx")), float(each.get("cy")))
        for each in root.iter(f"{SVG}circle")
        if each.get("r") == "4.2"
    ][:2]
    (left, low), (right, high) = places
    assert left < right
    assert low == pytest.approx(268)
    assert high < 60


def test_sorts_differ_in_shape_when_every_colour_is_black():
    def bare(sort):
        markup = the_scatter([Point("a", 1, 1, sort)]).svg
        group = re.search(r"<title>a: .*?</g>", markup)[0]
        return re.sub(r'(fill|stroke)="#(?!fffaf0)[0-9a-f]{6}"', r'\1="#000000"', group)

    assert len({bare(sort) for sort in Sort}) == len(Sort)


def test_the_key_names_only_what_is_there():
    words = texts(the_scatter([Point("a", 1, 1), Point("b", 2, 2)]))
    assert "sold" in words
    assert "fitted" in words
    assert "asked" not in words
    assert "dropped" not in words


def test_a_name_at_the_right_edge_is_written_to_the_left():
    words = Words("t", "d", "bike", "fitted", SORTS)
    target = Target("a rather long stock number", 10, 390, 340, 450)
    markup = scatter("s", words, (AGE, POUNDS), POINTS, target=target).svg
    label = next(
        each
        for each in parsed(markup).iter(f"{SVG}text")
        if each.text == target.name and each.get("font-weight")
    )
    assert label.get("text-anchor") == "end"


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda: the_scatter([]), "needs a point"),
        (lambda: bins_of([]), "needs figures"),
        (lambda: tornado("t", "t", "d", POUNDS, 1, []), "needs a fact"),
    ],
)
def test_a_chart_of_nothing_is_refused(make, what):
    with pytest.raises(ValueError, match=what):
        make()


def test_every_figure_falls_into_one_bar_with_round_edges():
    values = draws()
    bins = bins_of(values)
    assert sum(each.count for each in bins) == len(values)
    assert bins[0].low <= min(values)
    assert bins[-1].high > max(values)
    width = bins[0].high - bins[0].low
    assert width in {5, 10, 20, 50}
    assert all(each.low % width == 0 for each in bins)
    for each in bins:
        assert each.count == sum(each.low <= value < each.high for value in values)


@pytest.mark.parametrize("values", [[5.0], [5.0, 5.0], [0.0, 0.0], [-3.0, 7.0]])
def test_few_or_equal_figures_make_a_histogram_too(values):
    assert sum(each.count for each in bins_of(values)) == len(values)
    assert the_histogram(values=values).svg


def test_the_histograms_table_holds_counts_shares_and_marks():
    chart = the_histogram()
    bars, marks = chart.rows[:-4], chart.rows[-4:]
    assert sum(int(count) for _, count, _ in bars) == 2000
    assert sum(float(share.rstrip("%")) for *_, share in bars) == pytest.approx(100, abs=1.5)
    assert [name for name, *_ in marks] == [*TENTHS, "target"]
    assert marks[-1][1] == "£80.00"


def test_marks_that_stand_close_are_written_below_one_another():
    root = parsed(the_histogram().svg)
    heights = {
        each.text.split()[0]: float(each.get("y"))
        for each in root.iter(f"{SVG}text")
        if each.text.split()[0] in {"P50", "target"}
    }
    assert heights["P50"] != heights["target"]


def test_zones_differ_without_colour():
    root = parsed(the_histogram().svg)
    bars = [each for each in root.iter(f"{SVG}g") if each.find(f"{SVG}rect") is not None]
    kinds = {
        (each.find(f"{SVG}rect").get("fill") == "#fffaf0", each.find(f"{SVG}path") is not None)
        for each in bars
    }
    assert kinds == {(True, True), (True, False), (False, False)}


def test_the_tornado_shows_the_facts_that_move_most_widest_first():
    chart = the_tornado()
    assert [row[0] for row in chart.rows] == ["Resale price", "Hidden faults", "Work", "likely"]
    assert chart.rows[0] == ("Resale price", "£360", "£-5.00", "£480", "£140.00")
    assert chart.rows[1] == ("Hidden faults", "none", "£95.00", "£90", "£10.00")
    assert not any("Fees" in words for words in texts(chart))


def test_a_fact_that_moves_nothing_is_drawn_without_a_bar():
    chart = tornado("t", "t", "d", POUNDS, 70, [Swing("Fees", "2 %", "3 %", 70, 70)])
    assert "Fees: 2 % to 3 %" in texts(chart)


def test_charts_are_drawn_on_paper_too():
    """WeasyPrint reads the same markup, its words as text."""
    from pypdf import PdfReader
    from weasyprint import HTML

    html = "".join(str(make().svg) for make in ALL)
    pdf = PdfReader(io.BytesIO(HTML(string=html).write_pdf()))
    words = " ".join(page.extract_text() for page in pdf.pages)
    for each in ("fitted", "loses money", "P90", "the fact at its low", "likely"):
        assert each in words


def test_money_is_whole_at_ticks_and_exact_in_the_table():
    axis = money_axis("price", "GBP", "en_GB")
    assert axis.show(1234.5) == "£1,234.50"
    assert axis.at_tick(1200) == "£1,200"
    assert axis.at_tick(0.5) == "£0.50"
    assert money_axis("Preis", "EUR", "de_DE").at_tick(1200) == "1.200\N{NO-BREAK SPACE}€"
    assert money_axis("price", "JPY", "en_GB").at_tick(1200) == "JP¥1,200"


@pytest.mark.parametrize(
    ("amount", "words"), [("331.50", "£332"), ("331.49", "£331"), ("0.4", "£0")]
)
def test_whole_money_rounds_half_up(amount, words):
    assert whole_money(Decimal(amount), "GBP", "en_GB") == words


@pytest.mark.parametrize(
    ("value", "words"),
    [(0, "0"), (-0.001, "0"), (-0.5, "-0.5"), (10, "10"), (100.0, "100"), (1.256, "1.26")],
)
def test_coordinates_are_short(value, words):
    assert number(value) == words

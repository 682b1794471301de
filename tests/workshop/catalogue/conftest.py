"""The catalogue's rows as they stand in its files, and a small catalogue to load and to spoil."""

import pytest

from workshop.catalogue.loading import default_folder
from workshop.catalogue.loading.entries import read_folder
from workshop.catalogue.loading.kinds import KINDS
from workshop.catalogue.loading.rows import rows_of


@pytest.fixture(scope="session")
def rows():
    """Every row of the catalogue: kind → code → row; nothing in the files is wrong."""
    problems = []
    found = rows_of(read_folder(default_folder(), problems, country="GB"), problems)
    assert not problems, "\n".join(map(str, problems))
    return {
        kind: {" ".join(map(str, row.key)): row for row in found if row.kind == kind}
        for kind in KINDS
    }


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

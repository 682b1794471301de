"""The lock file falls into sections, each with its pins and its digest."""

import pytest

from workshop.bootstrap.handover import REPO
from workshop.bootstrap.lockfile import RUNTIME, TEST, read_sections

TEXT = """\
# Exact versions.

# [runtime]
bell==1.2 \\
    --hash=sha256:aa
lamp==3 ; sys_platform == 'win32' \\
    --hash=sha256:bb

# [test]
pump-head==0.4.1.post2 \\
    --hash=sha256:cc
"""


@pytest.fixture
def lock(tmp_path):
    path = tmp_path / "requirements.lock"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_each_section_has_its_own_pins(lock):
    sections = read_sections(lock)
    assert sections[RUNTIME].pins == ["bell==1.2", "lamp==3"]
    assert sections[TEST].pins == ["pump-head==0.4.1.post2"]


def test_a_section_keeps_markers_and_hashes(lock):
    text = read_sections(lock)[RUNTIME].text
    assert "lamp==3 ; sys_platform == 'win32' \\\n    --hash=sha256:bb\n" in text


def test_a_change_in_one_section_leaves_the_other_ones_digest(lock):
    before = read_sections(lock)
    lock.write_text(TEXT.replace("sha256:cc", "sha256:cd"), encoding="utf-8")
    after = read_sections(lock)
    assert after[RUNTIME].digest == before[RUNTIME].digest
    assert after[TEST].digest != before[TEST].digest


@pytest.mark.parametrize("name", [RUNTIME, TEST])
def test_a_missing_section_is_named(lock, name):
    lock.write_text(TEXT.replace(f"# [{name}]", ""), encoding="utf-8")
    with pytest.raises(ValueError, match=rf"lacks the section {name}"):
        read_sections(lock)


def test_the_projects_own_lock_has_both_sections_with_a_hash_for_every_pin():
    for section in read_sections(REPO / "requirements.lock").values():
        entries = section.text.count("==") - section.text.count(" == ")
        assert len(section.pins) > 10
        assert section.text.count("--hash=sha256:") >= len(section.pins)
        assert len(section.pins) <= entries

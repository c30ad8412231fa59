import base64
import hashlib
import io
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import pytest

from captriage.report.verdict_html import write_html

VOID = {"meta", "br", "link", "img", "hr", "input"}


class Page(HTMLParser):
    """Elements with their attributes, and whether every one of them is closed in its turn."""

    def __init__(self, text):
        super().__init__()
        self.open, self.elements, self.words = [], [], []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)

    def all(self, tag):
        return [attrs for name, attrs in self.elements if name == tag]


def written(judgement):
    out = io.StringIO()
    write_html(judgement, out)
    return out.getvalue()


@pytest.fixture
def text(judgement):
    return written(judgement)


@pytest.fixture
def page(text):
    return Page(text)


def test_what_a_sheet_says_stays_text(text, page):
    assert "<script" not in text
    assert "<b>1" not in text
    assert "alert(&#34;1&#34;)" in text
    assert page.all("script") == []


def test_the_page_loads_nothing_and_runs_nothing(text, page):
    policy = next(m["content"] for m in page.all("meta") if "http-equiv" in m)
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL).group(1)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert policy == f"default-src 'none'; style-src 'sha256-{digest}'"
    assert "url(" not in style
    assert "@import" not in style
    for tag, attrs in page.elements:
        assert "src" not in attrs
        assert "style" not in attrs, "the policy does not allow it"
        assert not any(name.startswith("on") for name in attrs), tag
        assert attrs.get("href", "#").startswith("#")


def test_every_link_leads_somewhere(page):
    names = [attrs["id"] for _, attrs in page.elements if "id" in attrs]
    assert len(names) == len(set(names))
    for link in page.all("a"):
        assert link["href"][1:] in names
    for _, attrs in page.elements:
        assert attrs.get("aria-labelledby", names[0]) in names


def test_the_same_judgement_gives_the_same_bytes(judgement, text):
    assert written(judgement) == text


def test_every_part_and_every_finding_is_there(page, text, judgement):
    assert len(page.all("article")) == len(judgement.parts)
    said = " ".join("".join(page.words).split())
    for row in judgement.verdicts.to_dict("records"):
        assert row["because"] in said
        assert row["next"] in said
    assert text.count('class="nowrap">fail') == (judgement.findings["outcome"] == "fail").sum() > 0


def test_every_heading_of_a_table_has_its_scope_and_every_picture_its_words(page):
    assert all("scope" in attrs for attrs in page.all("th"))
    pictures = page.all("svg")
    assert len(pictures) == 3
    assert all(attrs["role"] == "img" and "limit" in attrs["aria-label"] for attrs in pictures)


def test_the_verdict_is_a_word_and_not_only_a_colour(text):
    for word in ("keep", "reform", "replace", "not judged"):
        name = word.replace(" ", "-")
        assert f'<span class="verdict {name}">{word}</span>' in text


def test_pictures_are_well_formed_and_nothing_is_drawn_outside_them(text):
    for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL):
        root = ET.fromstring(svg)
        width = float(root.get("viewBox").split()[2])
        for element in root.iter():
            for name in ("x", "x1", "x2", "cx"):
                assert 0 <= float(element.get(name, 0)) <= width
            assert float(element.get("width", 1)) > 0


def test_what_was_set_aside_is_shown_as_it_stood(page):
    assert "<b>1,234</b>" in page.words
    assert any("write 1234 or 1.234" in words for words in page.words)

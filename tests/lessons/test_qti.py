"""The QTI package: whole, well-formed, and read back it says what the lessons say.

No registry package that was opened carries the schema of QTI 3.0, so what it asks of these files
is written out here: names of elements, their order, and that every reference leads somewhere.
"""

import io
import zipfile
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.lessons.example import write_every_kind
from tipsim.lesson.ask import variants
from tipsim.lesson.check import check_folder
from tipsim.lesson.format import School
from tipsim.lesson.kinds import KINDS
from tipsim.lesson.kinds.match import MatchItem
from tipsim.lesson.kinds.number import NumberItem
from tipsim.lesson.kinds.one import ChoiceItem
from tipsim.lesson.kinds.order import OrderItem
from tipsim.lesson.kinds.place import PlaceItem
from tipsim.lesson.markdown import html, unmarked
from tipsim.lesson.qti import NAMESPACE, identifier
from tipsim.lesson.qti_package import MANIFEST_NAMESPACE, package

Q = f"{{{NAMESPACE}}}"
M = f"{{{MANIFEST_NAMESPACE}}}"
ORDER = [
    "qti-response-declaration",
    "qti-outcome-declaration",
    "qti-item-body",
    "qti-response-processing",
    "qti-modal-feedback",
]
"""Parts of an item, in the order that the standard wants."""


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> School:
    own = write_every_kind(tmp_path_factory.mktemp("qti") / "lessons")
    picture = own / "items.yaml"
    text = picture.read_text(encoding="utf-8")
    text = text.replace("text: Compared", "text: >\n    ![a needle](needle.svg) Compared", 1)
    picture.write_text(text.replace("with A, B's", "with A, [[stroke]] of B's", 1), "utf-8")
    own.joinpath("needle.svg").write_text("<svg/>", encoding="utf-8")
    found, faults = check_folder(own.parent)
    assert not list(map(str, faults))
    return found


@pytest.fixture(scope="module")
def archive(school: School) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(package(school)))


def item(archive: zipfile.ZipFile, id: str) -> ET.Element:
    return ET.fromstring(archive.read(f"items/{id}.xml"))


def words(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


def right_values(element: ET.Element) -> list[str]:
    return [v.text or "" for v in element.findall(f".//{Q}qti-correct-response/{Q}qti-value")]


def test_the_manifest_names_every_file_once(archive: zipfile.ZipFile) -> None:
    assert archive.testzip() is None
    root = ET.fromstring(archive.read("imsmanifest.xml"))
    assert [child.tag for child in root] == [
        f"{M}{n}" for n in ("metadata", "organizations", "resources")
    ]
    named = [f.get("href") for f in root.iter(f"{M}file")]
    assert sorted(named) == sorted(set(archive.namelist()) - {"imsmanifest.xml"})  # type: ignore[type-var]
    assert "pictures/example-power/needle.svg" in named
    for resource in root.iter(f"{M}resource"):
        assert resource.get("type") == "imsqti_item_xmlv3p0"
        assert resource.get("href") == f"items/{resource.get('identifier')}.xml"


def test_every_item_is_built_as_the_standard_wants(archive: zipfile.ZipFile) -> None:
    names = [n for n in archive.namelist() if n.startswith("items/")]
    assert names
    for name in names:
        root = ET.fromstring(archive.read(name))
        assert root.tag == f"{Q}qti-assessment-item"
        assert name == f"items/{root.get('identifier')}.xml"
        places = [ORDER.index(child.tag.removeprefix(Q)) for child in root]
        assert places == sorted(places)
        outcomes = {o.get("identifier") for o in root.iter(f"{Q}qti-outcome-declaration")}
        assert outcomes == {"SCORE", "MAXSCORE", "FEEDBACK"}
        asked = [e for e in root.iter() if e.get("response-identifier")]
        assert [e.get("response-identifier") for e in asked] == ["RESPONSE"]
        told = {m.get("identifier") for m in root.iter(f"{Q}qti-modal-feedback")}
        path = f".//{Q}qti-multiple/{Q}qti-base-value"
        assert {v.text for v in root.findall(path)} == told
        for plain in root.iter():
            assert plain.tag.startswith(f"{Q}qti-") or plain.tag.removeprefix(Q) in PLAIN, plain.tag


PLAIN = {"p", "em", "strong", "ul", "ol", "li", "img", "code", "blockquote", "table", "thead"}
PLAIN |= {"tbody", "tr", "th", "td", "br", "a"}


def test_read_back_the_package_says_what_the_lessons_say(
    school: School, archive: zipfile.ZipFile
) -> None:
    seen = set[str]()
    for lesson in school.lessons.values():
        for each in lesson.items.values():
            for number, asked in enumerate(variants(lesson, each), 1):
                root = item(archive, identifier(asked, number))
                seen.add(each.kind)
                body = root.find(f"{Q}qti-item-body")
                assert body is not None
                question = ET.fromstring(f"<d>{html(unmarked(asked.fill(each.text)))}</d>")
                assert words(body).startswith(words(question))
                if isinstance(each, ChoiceItem):
                    shown = {
                        c.get("identifier"): words(c) for c in body.iter(f"{Q}qti-simple-choice")
                    }
                    assert shown == {c.id: asked.fill(c.text) for c in each.choices}
                    assert set(right_values(root)) == each.right_choices(asked)
                elif isinstance(each, NumberItem):
                    (right,) = right_values(root)
                    assert float(right) == pytest.approx(asked.truth, rel=1e-5)
                    assert asked.truth is not None
                    edge = each.tolerance.around(asked.truth)
                    tried = [asked.truth + k * edge for k in (-1.01, -0.99, 0, 0.99, 1.01)]
                    assert [accepts(root, value) for value in tried] == [0, 1, 1, 1, 0]
                elif isinstance(each, OrderItem):
                    assert tuple(right_values(root)) == each.right_order(asked)
                elif isinstance(each, MatchItem):
                    rights = each.rights(asked)
                    pairs = {p.id: asked.fill(p.right) for p in each.pairs}
                    assert {v.split()[0]: rights[v.split()[1]] for v in right_values(root)} == pairs
                elif isinstance(each, PlaceItem):
                    assert all(accepts(root, truth) >= 1 for truth in asked.truths)
                    assert accepts(root, float(right_values(root)[0])) >= 1
    assert seen == set(KINDS)


def accepts(root: ET.Element, value: float | None) -> int:
    """Count the scoring comparisons that hold for a value."""
    scored = root.find(f"{Q}qti-response-processing/{Q}qti-response-condition/{Q}qti-response-if")
    assert scored is not None
    assert value is not None
    count = 0
    for equal in scored.iter(f"{Q}qti-equal"):
        assert equal.get("tolerance-mode") == "absolute"
        below, above = map(float, (equal.get("tolerance") or "").split())
        target = float(equal.findtext(f"{Q}qti-base-value") or "nan")
        count += target - below <= value <= target + above
    return count


def test_the_same_lessons_give_the_same_bytes(school: School) -> None:
    assert package(school) == package(school)


def test_a_picture_is_found_from_its_item(archive: zipfile.ZipFile) -> None:
    (picture,) = item(archive, "example-predict").iter(f"{Q}img")
    assert picture.get("alt") == "a needle"
    path = Path("items") / (picture.get("src") or "")
    assert path.as_posix().replace("items/../", "") in archive.namelist()

"""All items as one QTI 3.0 package: a zip with a manifest."""

import io
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree as ET

from tipsim.lesson.ask import variants
from tipsim.lesson.format import School
from tipsim.lesson.kinds import texts_of
from tipsim.lesson.markdown import marks
from tipsim.lesson.qti import assessment_item, identifier

MANIFEST_NAMESPACE = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
_MANIFEST_SCHEMA = (
    "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd"
)
_XSI = "http://www.w3.org/2001/XMLSchema-instance"
_DATE = (2000, 1, 1, 0, 0, 0)
"""Of every file in the zip, so that the same lessons give the same bytes."""


def package(school: School) -> bytes:
    """Write every variant of every item into a package.

    Returns
    -------
    bytes
        Of a zip file with ``imsmanifest.xml``, ``items/*.xml`` and the pictures they show.
    """
    items = dict(_items(school))
    pictures = dict(_pictures(school))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        _write(archive, "imsmanifest.xml", manifest(items, list(pictures)).encode())
        for id, text in items.items():
            _write(archive, f"items/{id}.xml", text.encode())
        for name, content in pictures.items():
            _write(archive, name, content)
    return out.getvalue()


def _write(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    archive.writestr(zipfile.ZipInfo(name, _DATE), content, zipfile.ZIP_DEFLATED)


def _items(school: School) -> Iterator[tuple[str, str]]:
    for lesson in school.lessons.values():
        for item in lesson.items.values():
            for number, asked in enumerate(variants(lesson, item), 1):
                id = identifier(asked, number)
                yield id, assessment_item(asked, id)


def _pictures(school: School) -> Iterator[tuple[str, bytes]]:
    for lesson in school.lessons.values():
        for item in lesson.items.values():
            for text in texts_of(item):
                for file, _ in marks(text.source).pictures:
                    yield f"pictures/{lesson.id}/{file}", (lesson.folder / file).read_bytes()


def manifest(items: dict[str, str], pictures: list[str]) -> str:
    """Write the manifest: one resource an item, with the pictures that it shows."""
    root = ET.Element(
        "manifest",
        {
            "xmlns": MANIFEST_NAMESPACE,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{MANIFEST_NAMESPACE} {_MANIFEST_SCHEMA}",
            "identifier": "tipsim-items",
        },
    )
    metadata = ET.SubElement(root, "metadata")
    ET.SubElement(metadata, "schema").text = "QTI Package"
    ET.SubElement(metadata, "schemaversion").text = "3.0.0"
    ET.SubElement(root, "organizations")
    resources = ET.SubElement(root, "resources")
    for id, text in items.items():
        href = f"items/{id}.xml"
        attributes = {"identifier": id, "type": "imsqti_item_xmlv3p0", "href": href}
        resource = ET.SubElement(resources, "resource", attributes)
        shown = [name for name in pictures if f"../{name}" in text]
        for name in (href, *shown):
            ET.SubElement(resource, "file", {"href": name})
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"

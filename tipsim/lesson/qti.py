"""Items as QTI 3.0: one assessment item for each variant, written by the item's kind."""

from xml.etree import ElementTree as ET

from tipsim.lesson.ask import Asked
from tipsim.lesson.kinds import kind_of
from tipsim.lesson.qti_parts import Qti

NAMESPACE = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
SCHEMA = "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"


def identifier(asked: Asked, number: int) -> str:
    """Return the identifier of a variant, counted from 1."""
    return asked.item.id if len(asked.item.variants) == 1 else f"{asked.item.id}-v{number}"


def assessment_item(asked: Asked, id: str) -> str:
    """Write one variant of an item as a QTI 3.0 assessment item.

    Parameters
    ----------
    id : str
        See `identifier`.

    Returns
    -------
    str
        An XML document.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> text = assessment_item(ask(lesson, lesson.items["stroke-paper"], 0), "stroke-paper")
    >>> ET.fromstring(text).get("identifier")
    'stroke-paper'
    """
    root = ET.Element(
        "qti-assessment-item",
        {
            "xmlns": NAMESPACE,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{NAMESPACE} {SCHEMA}",
            "identifier": id,
            "title": f"{asked.lesson.title}: {id}",
            "xml:lang": "en",
            "adaptive": "false",
            "time-dependent": "false",
        },
    )
    qti = Qti(root, asked)
    kind_of(asked.item).qti(asked.item, asked, qti)
    qti.finish()
    # One line a part; deeper down, spaces would come between words.
    root.text = "\n"
    for part in root:
        part.tail = "\n"
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"

"""Any needle goes into a file and comes back the same to the last bit; any file is answered."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.property.benches import materials, needles
from tests.property.test_doors import complaint
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import decode_needle, needle_to_toml, parse_needle, read_needle

ANY = needles(materials()) | st.sampled_from(sorted(catalogue().needles)).map(needle)


@given(ANY)
@settings(max_examples=100)
def test_a_file_gives_back_the_same_needle(needle: Needle) -> None:
    text = needle_to_toml(needle)
    assert parse_needle(text) == needle
    assert decode_needle(text.encode(), "n.toml") == needle
    assert needle_to_toml(parse_needle(text)) == text


@given(st.binary(max_size=300) | st.text(max_size=100).map(lambda t: t.encode()))
@example(b"a = " + b"[" * 5000)
@example(b"a = 1e99999999999999999999")
@example(b"a = " + b"9" * 5000)
@example(b'format = "tipsim needle 1"')
@example(b'format = ["tipsim needle 1"]')
@example(b'format = "tipsim needle 1"\npieces = [1]\nid = "x"\ntitle = "x"\nshape = 1\n')
@settings(max_examples=150)
def test_any_file_is_refused_in_one_sentence_that_names_it(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path = tmp_path_factory.mktemp("needles") / "some.toml"
    path.write_bytes(data)
    for act in (lambda: read_needle(path), lambda: decode_needle(data, "some.toml")):
        sentence = complaint(act)
        assert sentence is not None and "some.toml" in sentence


@given(st.data(), ANY)
@settings(max_examples=150)
def test_a_spoiled_line_is_refused_or_read(data: st.DataObject, needle: Needle) -> None:
    lines = needle_to_toml(needle).splitlines()
    i = data.draw(st.integers(0, len(lines) - 1))
    lines[i] = data.draw(
        st.sampled_from(["", "x = 1", "shape = 3", "hub_radius_mm = nan", "pieces = []"])
        | st.text(max_size=30)
    )
    complaint(lambda: decode_needle("\n".join(lines).encode(), "some.toml"))

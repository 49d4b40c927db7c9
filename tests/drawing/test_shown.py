"""Drawings as signs and as SVG: true to scale, every label whole and alone, nothing beyond its room."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from drawn_jobs import PLANS, PLATE, drawn, make_job
from hypothesis import given, settings
from hypothesis import strategies as st

from handwheel.drawing.figures import LEAST, figures
from handwheel.drawing.layout import elbows, rows_for
from handwheel.drawing.make import drawings
from handwheel.drawing.shapes import Area, Dimension, Drawing, Outline, Place, Point
from handwheel.drawing.svg import svg_of
from handwheel.drawing.text import Line, Piece, plain_lines, text_of
from handwheel.plan.resolve import Plan
from handwheel.store.jobs import load_job
from handwheel.values import Entered, Value

SIZES = [(34, 12), (60, 10), (78, 18), (120, 34)]


def everything() -> Iterator[Drawing]:
    """Give every drawing of the two jobs."""
    for plan in PLANS:
        for operation in plan.operations:
            yield from drawings(plan, operation, 2, {1})


ALL = [*everything()]


def value(number: float) -> Value:
    return Value(number, "mm", Entered("job.toml features.x.depth", f"{number} mm", "drawing"))


# --- to scale ------------------------------------------------------------------------------------------


def halves(lines: list[str]) -> set[tuple[int, int]]:
    """Give the halves of cells that are solid: column, and half row from the top."""
    found = set()
    for row, line in enumerate(lines):
        for column, sign in enumerate(line):
            found |= {(column, 2 * row)} if sign in "█▀" else set()
            found |= {(column, 2 * row + 1)} if sign in "█▄" else set()
    return found


@given(st.floats(0.05, 5000), st.floats(0.05, 5000), st.integers(12, 120), st.integers(4, 40))
def test_a_rectangle_keeps_its_shape(wide: float, high: float, width: int, height: int) -> None:
    """A half is as wide as it is high: both sides are drawn to the same scale, within one half."""
    points = (Point(0, 0), Point(wide, 0), Point(wide, high), Point(0, high), Point(0, 0))
    drawing = Drawing("section", "Box", "front", outlines=(Outline(points),))
    found = halves(plain_lines(text_of(drawing, width, height)))
    across = max(x for x, _ in found) - min(x for x, _ in found)
    up = max(y for _, y in found) - min(y for _, y in found)
    assert abs(across * high / wide - up) <= 1 + high / wide
    assert across + 1 <= width and up + 1 <= 2 * height
    room = height - 1
    assert across >= width - 3 or up >= 2 * room - 4  # as large as one of the two allows


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_hole_is_as_wide_to_its_depth_as_in_the_part(plate: Plan, width: int, height: int) -> None:
    """Between the walls lie as many columns as the diameter has halves of the plate's thickness."""
    lines = plain_lines(text_of(drawn(plate, 20), width, height))
    solid = halves(lines)
    bottom = max(y for _, y in solid)
    top = min(y for _, y in solid)
    middle = [x for x, y in solid if y == (top + bottom) // 2]
    scale = (bottom - top) / 20
    assert max(middle) - min(middle) == pytest.approx(9 * scale, abs=1 + 9 / 20)


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_depth_stands_in_the_row_where_it_is(plate: Plan, width: int, height: int) -> None:
    """The leader of the tip of the drill leaves the picture as far below the face as the tip is."""
    lines = plain_lines(text_of(drawn(plate, 20), width, height))
    solid = halves(lines)
    top, bottom = min(y for _, y in solid), max(y for _, y in solid)
    tip = next(row for row, line in enumerate(lines) if "drill tip" in line)
    depth = 23.7 * (bottom - top) / 20
    assert abs(tip - (top + depth) / 2) <= 1.5


@pytest.mark.parametrize("ascii", [False, True])
def test_holes_lie_where_they_are(plate: Plan, ascii: bool) -> None:
    """Column and row of each sign follow from X and Y, to a cell; the first is at the right."""
    drawing = drawn(plate, 20, "places", 2, {1})
    drawing_ = text_of(drawing, 78, 20, ascii=ascii)
    lines = plain_lines(drawing_)
    now, done, to_come = ("@", "*", "o") if ascii else ("◆", "●", "○")
    found: dict[str, list[tuple[int, int]]] = {now: [], done: [], to_come: []}
    for row, line in enumerate(drawing_):
        at = 0
        for text, ink in line:
            for sign in found:
                if sign in text and ink in ("now", "done", "to come"):
                    found[sign].append((at + text.index(sign), row))
            at += len(text)
    assert [len(found[sign]) for sign in (now, done, to_come)] == [1, 1, 4]
    (x2, y2), (x1, y1) = found[now][0], found[done][0]
    scale = (x1 - x2) / 41.569  # columns to the millimetre, from the first hole to the second
    assert (y1 - y2) * 2 == pytest.approx(24 * scale, abs=2.5)
    left = min(x for x, _ in found[to_come])
    assert x1 - left == pytest.approx(2 * 41.569 * scale, abs=2.5)
    assert (
        f"{now} now 2" in lines[-1] and f"{done} done 1" in lines[-1] and f"{to_come} to come 4" in lines[-1]
    )


# --- labels --------------------------------------------------------------------------------------------


def shown_labels(drawing: Drawing, text: str, ascii: bool) -> int:
    """Count the labels that stand whole in a text, with their words or as numbers alone."""
    count = 0
    for one in drawing.dimensions:
        wanted = one.number(drawing.system).replace("Ø", "dia " if ascii else "Ø")
        if wanted in text:
            count += 1
    return count


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("ascii", [False, True])
def test_every_size_stands_there_or_is_counted(width: int, height: int, ascii: bool) -> None:
    """No label is cut off: those that stand there are whole, the others are counted in a line."""
    for drawing in ALL:
        lines = plain_lines(text_of(drawing, width, height, ascii=ascii))
        text = "\n".join(lines)
        more = re.search(r"(\d+) more sizes", text)
        left_out = int(more[1]) if more else 0
        assert shown_labels(drawing, text, ascii) >= len(drawing.dimensions) - left_out
        assert len(lines) <= height and max(map(len, lines)) <= width


def test_at_its_own_page_every_size_has_room() -> None:
    """At 78x20 no size of these jobs is left out."""
    for drawing in ALL:
        assert "more sizes" not in "\n".join(plain_lines(text_of(drawing, 78, 20)))


def test_the_ascii_form_is_ascii_alone() -> None:
    for drawing in ALL:
        for width, height in SIZES:
            assert "".join(plain_lines(text_of(drawing, width, height, ascii=True))).isascii()


@st.composite
def random_drawings(draw: st.DrawFn) -> Drawing:
    """Give a drawing with sizes of any kind, far apart or on each other."""
    number = st.floats(-1e5, 1e5)
    point = st.builds(Point, number, number)
    dimension = st.builds(
        Dimension, point, point, name=st.just("feature.depth"), value=st.builds(value, st.floats(0, 1e7)),
        words=st.sampled_from(["", "tip", "full size", "thread M8x1.25", "Länge 長さ <b>"]),
        before=st.sampled_from(["", "Ø", "X "]), along=st.sampled_from(["x", "y"]), running=st.booleans(),
    )  # fmt: skip
    points = st.lists(point, max_size=6).map(tuple)
    states = st.sampled_from(["done", "now", "to come"])
    hole = st.builds(Place, st.integers(1, 2000), point, st.none() | st.floats(0, 1e4), states)
    return Drawing(
        "section", "Section of any-thing", "from above",
        outlines=tuple(draw(st.lists(st.builds(Outline, points), max_size=4))),
        areas=tuple(draw(st.lists(st.builds(Area, points), max_size=2))),
        dimensions=tuple(draw(st.lists(dimension, max_size=9))),
        places=tuple(draw(st.lists(hole, max_size=12))),
        zero=draw(st.none() | point),
        unknown=tuple(draw(st.lists(st.sampled_from(["the depth", "x" * 90]), max_size=2))),
    )  # fmt: skip


@settings(max_examples=60)
@given(random_drawings(), st.integers(1, 130), st.integers(1, 45), st.booleans())
def test_any_drawing_keeps_to_its_room(drawing: Drawing, width: int, height: int, ascii: bool) -> None:
    """Whatever is to be drawn in whatever room: no row too many, none too wide, the same every time."""
    lines = text_of(drawing, width, height, ascii=ascii)
    plain = plain_lines(lines)
    assert len(plain) <= height and all(len(line) <= width for line in plain)
    assert plain_lines(text_of(drawing, width, height, ascii=ascii)) == plain
    assert not ascii or "".join(plain).isascii()


@settings(max_examples=60)
@given(random_drawings(), st.integers(50, 130), st.integers(14, 45))
def test_labels_never_overlap(drawing: Drawing, width: int, height: int) -> None:
    """Each label stands in one piece of its own: nothing is written into it."""
    lines = text_of(drawing, width, height)
    more = re.search(r"(\d+) more sizes", "\n".join(plain_lines(lines)))
    count = len(drawing.dimensions) - (int(more[1]) if more else 0)
    if drawing.empty:
        return
    pieces = [piece.text.strip() for line in lines for piece in labels(line)]
    for one in drawing.dimensions[:count]:
        assert any(one.number(drawing.system) in piece for piece in pieces)


def labels(line: Line) -> list[Piece]:
    return [piece for piece in line if piece.ink == "label"]


@given(st.lists(st.integers(0, 30), min_size=1, max_size=12), st.integers(12, 31))
def test_each_label_gets_a_row_of_its_own_in_order(wanted: list[int], count: int) -> None:
    wanted = sorted(min(one, count - 1) for one in wanted)
    rows = rows_for(wanted, count)
    assert rows == sorted(set(rows)) and rows[0] >= 0 and rows[-1] < count


@given(st.lists(st.integers(0, 20), min_size=2, max_size=8))
def test_leaders_never_cross(wanted: list[int]) -> None:
    """Two leaders with different starts share no cell but where one runs straight out of the drawing."""
    wanted = sorted(set(wanted))
    rows = rows_for(wanted, 21)
    turns = elbows(wanted, rows)
    for one, other in combinations(range(len(wanted)), 2):
        cells = [
            {(column, wanted[index]) for column in range(turns[index] + 1)}
            | {(turns[index], row) for row in range(*span(wanted[index], rows[index]))}
            | {(column, rows[index]) for column in range(turns[index], 12)}
            for index in (one, other)
        ]
        assert not cells[0] & cells[1]


def span(begin: int, end: int) -> tuple[int, int]:
    return min(begin, end), max(begin, end) + 1


def test_two_thousand_holes_are_drawn(tmp_path: Path) -> None:
    """With more holes than signs a number stands only beside a sign that is one hole."""
    grid = 'rows = 2\ncolumns = 2\npitch_x = "48 mm"\npitch_y = "40 mm"'
    many = 'rows = 40\ncolumns = 50\npitch_x = "3 mm"\npitch_y = "2.5 mm"'
    assert grid in PLATE
    plan = load_job(make_job(tmp_path / "job", PLATE.replace(grid, many))).plan
    drawing = drawn(plan, 30, "places", 733, set(range(1, 733)))
    lines = plain_lines(text_of(drawing, 78, 20))
    assert sum(line.count("◆") for line in lines[:-1]) == 1
    assert lines[-1] == "● done 732  ◆ now 733  ○ to come 1267"
    assert svg_of(drawing).count("<circle") > 2000


# --- SVG -----------------------------------------------------------------------------------------------

NAME = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[tuple[float, float, str]]:
    root = ElementTree.fromstring(svg)
    return [
        (float(one.get("x", "")), float(one.get("y", "")), one.text or "") for one in root.iter(f"{NAME}text")
    ]


def test_every_size_is_in_the_svg_as_text() -> None:
    for drawing in ALL:
        words = [text for _, _, text in texts(svg_of(drawing))]
        for one in drawing.dimensions:
            assert one.label(drawing.system) in words


@settings(max_examples=60)
@given(random_drawings())
def test_labels_of_an_svg_neither_overlap_nor_leave_it(drawing: Drawing) -> None:
    """Every text lies within the picture; no two labels of sizes share a line and a place on it."""
    svg = svg_of(drawing, "a<b")
    box = [float(one) for one in ElementTree.fromstring(svg).get("viewBox", "").split()]
    wanted = {one.label(drawing.system) for one in drawing.dimensions}
    found = [(x, y, text) for x, y, text in texts(svg) if text in wanted]
    assert len(found) >= len(drawing.dimensions)
    for x, y, text in found:
        assert x >= 0 and x + 13 * 0.6 * len(text) <= box[2] + 1 and 0 <= y <= box[3]
    for one, other in combinations(found, 2):
        apart = one[0] + 8.06 * len(one[2]) <= other[0] or other[0] + 8.06 * len(other[2]) <= one[0]
        assert apart or abs(one[1] - other[1]) >= 10


def test_an_svg_is_to_scale_and_black_on_nothing_foreign(plate: Plan) -> None:
    """One scale for X and Y; no style sheet, no script, no link."""
    svg = svg_of(drawn(plate, 20))
    root = ElementTree.fromstring(svg)
    points = [
        tuple(float(one) for one in pair.split(","))
        for area in root.iter(f"{NAME}polygon")
        for pair in area.get("points", "").split()
    ]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    wide = 2 * 4.5 * 1.8  # how much is drawn beside the hole
    assert (max(xs) - min(xs)) / wide == pytest.approx((max(ys) - min(ys)) / 20, rel=0.01)
    assert not re.search(r"<script|<style|href|http(?!://www\.w3\.org/2000/svg)", svg)


# --- figures -------------------------------------------------------------------------------------------


@given(
    st.from_regex(r"-?[0-9]{1,4}(\.[0-9]{1,3})?", fullmatch=True), st.integers(20, 140), st.integers(5, 30)
)
def test_figures_keep_to_their_room_and_are_at_least_five_rows(number: str, room: int, height: int) -> None:
    drawn_ = figures(number, room, height)
    if drawn_:
        assert LEAST <= len(drawn_) <= height and {len(line) for line in drawn_} == {len(drawn_[0])}
        assert len(drawn_[0]) <= room
    else:
        assert 8 * len(number) + 8 > room  # even the smallest did not fit


@pytest.mark.parametrize("rows", [5, 7, 10, 16, 24])
@pytest.mark.parametrize("ascii", [False, True])
def test_no_two_figures_look_alike(rows: int, ascii: bool) -> None:
    """In every size each figure differs from each other in several cells."""
    drawn_ = {sign: figures(sign, 200, rows, ascii=ascii) for sign in "0123456789"}
    for one, other in combinations(drawn_, 2):
        cells = [
            sum(a != b for a, b in zip(x, y, strict=True))
            for x, y in zip(drawn_[one], drawn_[other], strict=True)
        ]
        assert sum(cells) >= 3, (one, other)
    assert not ascii or "".join("".join(lines) for lines in drawn_.values()).isascii()


def test_the_point_is_a_block_at_the_foot() -> None:
    """The point cannot be taken for a speck: it is broader than a stroke, and stands free."""
    lines = figures("1.5", 100, 10)
    alone = figures(".", 100, 10)
    assert {len(line) for line in alone} == {5} and alone[-1] == "█████" and not "".join(alone[:-3]).strip()
    assert "  █████  " in lines[-1]


def test_what_cannot_be_drawn_is_left_to_text() -> None:
    assert figures("", 100, 20) == [] and figures("µ", 100, 20) == [] and figures("123456789", 20, 20) == []

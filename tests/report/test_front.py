"""The front as text and on the page: every figure, what is not known, and nothing covering anything."""

import re
from html import unescape

import pytest
from msgspec.structs import replace

from lampwright.report.page.file import front_html
from lampwright.report.topics.front import front_text, order_text
from lampwright.report.topics.front_plot import HIGH, LEFT, WIDE, front_plot, meaning_of
from lampwright.results.ranking import Front, FrontPoint, Ranking
from lampwright.words import Aim

ORDER: tuple[Aim, ...] = ("extra parts", "wires", "joints", "conductors", "margin", "faults")
POINTS = (
    FrontPoint(
        rank=1, extra_parts=0, wires=0, conductors=2, margin_stops=0.513, fault_score=0.065, certain=True
    ),
    FrontPoint(
        rank=2, extra_parts=1, wires=0, conductors=2, margin_stops=0.596, fault_score=0.419, certain=True
    ),
    FrontPoint(
        rank=4, extra_parts=2, wires=1, conductors=3, margin_stops=0.675, fault_score=0.4056, certain=True
    ),
    FrontPoint(
        rank=5, extra_parts=2, wires=1, conductors=3, margin_stops=0.675, fault_score=0.4056, certain=True
    ),
)
WHOLE = Front(preferred=ORDER, compared=7, scored=7, undecided=0, points=POINTS)
OPEN = Front(
    preferred=ORDER,
    compared=7,
    scored=3,
    undecided=2,
    points=(
        *POINTS[:2], replace(POINTS[2], certain=False),
        replace(POINTS[3], fault_score=None, certain=False),
    ),
)  # fmt: skip


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("front", [WHOLE, OPEN])
def test_the_text_has_every_figure_within_its_width(sidecar: Ranking, front: Front, width: int) -> None:
    text = front_text(front, sidecar.designs, width)
    assert max(len(line) for line in text.splitlines()) <= width, "too wide"
    lines = text.splitlines()
    for point in front.points:
        score = "not known" if point.fault_score is None else f"{point.fault_score:.3f}"
        start = [
            f"{point.rank}{'' if point.certain else '?'}",
            *(f"{count}" for count in (point.extra_parts, point.wires, point.conductors)),
            f"{point.margin_stops:.2f}",
            *score.split(),
        ]
        assert any(line.split()[: len(start)] == start for line in lines) or width < 80, f"{start} is missing"


def test_one_point_is_no_trade_off(sidecar: Ranking) -> None:
    one = replace(WHOLE, points=POINTS[:1])
    for front in (one, None):
        assert front_text(front, sidecar.designs, 80) == "", "there is nothing to choose"
        assert front_html(front, sidecar.designs, 5) == "", "on the page neither"
    assert order_text(None, 80) == "", "nothing to rank"
    assert order_text(replace(one, compared=1, scored=1), 80) == "", "one design is not ranked"


def test_the_order_is_said() -> None:
    preferred = replace(WHOLE, preferred=("faults", *ORDER[:-1]))
    assert order_text(WHOLE, 80) == (
        "Ranked by extra parts, then wires, joints, conductors, margin and fault score."
    )
    said = order_text(preferred, 80)
    assert said == "Ranked by fault score, then extra parts, wires, joints, conductors and margin."


def test_what_is_not_known_is_said(sidecar: Ranking) -> None:
    text = flat(front_text(OPEN, sidecar.designs, 80))
    assert "The fault scores of 3 of 7 designs were worked out" in text, "how many"
    assert "may yet beat this one" in text, "what the question mark means"
    assert "2 designs are not shown and may belong here" in text, "what is left out"
    assert "designs without one come last" in flat(order_text(OPEN, 80)), "and what that does to the order"
    for said in ("worked out", "may yet beat", "may belong"):
        assert said not in flat(front_text(WHOLE, sidecar.designs, 80)), "all is known, and doubted"
    page = flat(unescape(front_html(OPEN, sidecar.designs, 5)))
    assert "1 design without a fault score stands in the table only." in page, "the plot leaves one out"
    assert "2 designs are not shown and may belong here" in page, "what is left out"


def test_a_long_front_is_cut_in_the_text_and_says_so(sidecar: Ranking) -> None:
    many = replace(WHOLE, points=tuple(replace(POINTS[0], rank=1 + n % 7) for n in range(25)))
    assert "5 more are in ranking.json." in front_text(many, sidecar.designs, 80)


def test_the_plot_is_to_scale(sidecar: Ranking) -> None:
    view = front_plot(WHOLE)
    assert view is not None
    assert len(view.markers) == 3, "two equal designs are one mark"
    known = ((0.513, 0.065), (0.596, 0.419), (0.675, 0.4056))
    for ticks, values, places in (
        (view.across, [margin for margin, _ in known], [one.x for one in view.markers]),
        (view.up, [score for _, score in known], [one.y for one in view.markers]),
    ):
        (first, start), (last, end) = ((float(tick.said), tick.at) for tick in (ticks[0], ticks[-1]))
        for value, at in zip(values, places, strict=True):
            assert first <= value <= last, "the scale reaches every value"
            # places are written to a tenth of a pixel
            assert abs(at - (start + (value - first) * (end - start) / (last - first))) <= 0.11, f"{value}"
    assert view.up[0].at > view.up[-1].at, "more is higher"
    text = front_html(WHOLE, sidecar.designs, 7)
    assert f'viewBox="0 0 {WIDE:g} {HIGH:g}"' in text, "the drawing and its frame agree"
    (frame,) = re.findall(r'class="frame" d="M (\d+) (\d+) H (\d+) V (\d+)', text)
    assert [float(n) for n in frame] == [LEFT, view.up[-1].at, view.across[-1].at, view.up[0].at], (
        "and the ticks"
    )


def test_each_mark_says_in_shape_and_words_what_it_is(sidecar: Ranking) -> None:
    view = front_plot(WHOLE)
    assert view is not None
    assert len({one.path for one in view.markers}) == 3, "0, 1 and 2 extra parts have shapes of their own"
    assert [meaning_of(kind) for kind in view.kinds] == ["no extra parts", "1 extra part", "2 extra parts"], (
        "the key"
    )
    assert [one.label.text for one in view.markers] == ["1: 0+0+2", "2: 1+0+2", "4, 5: 2+1+3"], "the labels"
    assert view.markers[2].spoken.replace("\u00a0", " ") == (
        "Designs 4, 5: 2 extra parts, 1 link wire, 3 conductors; 0.68 stops of margin, fault score 0.406"
    )
    html = front_html(WHOLE, sidecar.designs, 4)
    assert html.count('<a class="choose" href="#design-4" data-rank="4"') == 2, "from the plot and the table"
    assert "#design-5" not in html, "a design that is not drawn has no sheet to lead to"
    few = front_html(WHOLE, sidecar.designs, 1)
    assert set(re.findall(r'href="#design-(\d)"', few)) == {"1"}, "neither from the plot nor from the table"
    assert few.count('class="marker" transform') == 3, "it is marked all the same"


def test_many_marks_keep_their_labels_apart(sidecar: Ranking) -> None:
    points = tuple(
        FrontPoint(
            rank=1 + n % 7,
            extra_parts=n % 5,
            wires=0,
            conductors=2,
            margin_stops=0.3 + 0.02 * (n * 7 % 24),
            fault_score=0.2 + 0.02 * (n * 11 % 25),
            certain=True,
        )
        for n in range(50)
    )
    view = front_plot(replace(WHOLE, points=points))
    assert view is not None
    html = front_html(replace(WHOLE, points=points), sidecar.designs, 7)
    assert html.count('<td class="fit">') == 50, "the table has every design, labelled in the plot or not"
    boxes = []
    for label in (one.label for one in view.markers if one.label.text):
        # 8 units a letter, the widest that fonts with wide figures have at this size
        wide = 8.0 * len(label.text)
        left = label.x - {"start": 0.0, "end": wide, "middle": wide / 2}[label.anchor]
        boxes.append((left, label.y - 10, left + wide, label.y + 2))
    assert 10 < len(boxes) < 50, "some fit and some do not"
    for at, (left, top, right, bottom) in enumerate(boxes):
        for left2, top2, right2, bottom2 in boxes[:at]:
            assert right <= left2 or right2 <= left or bottom <= top2 or bottom2 <= top, "labels overlap"
        for one in view.markers:
            inside = left < one.x + 6 and one.x - 6 < right and top < one.y + 6 and one.y - 6 < bottom
            assert not inside, "a label covers a mark"


def test_a_name_from_the_spec_cannot_become_markup(sidecar: Ranking) -> None:
    first = sidecar.designs[0]
    evil = replace(first, parts=(replace(first.parts[0], type="<b>&"), *first.parts[1:]))
    html = front_html(WHOLE, (evil, *sidecar.designs[1:]), 7)
    assert "<b>&" not in html, "text becomes markup"
    assert "&lt;b&gt;&amp;" in html, "text is written as text"

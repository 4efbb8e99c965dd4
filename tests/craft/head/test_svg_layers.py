"""The layers of a drawing, and that a whole sheet stays light."""

from __future__ import annotations

import gzip
from xml.etree import ElementTree as ET

import pytest

from academy.craft.head.foils import plan
from academy.craft.head.outlines import outlines
from academy.craft.head.sectioning import PATTERNS, FoilSettings
from academy.craft.head.sheet import VIEWS
from academy.craft.head.svg import LAYERS, Drawing, Fault, layers_of, view_svg, view_svgs
from academy.craft.head.zones import ZONES, Zone

SVG = "{http://www.w3.org/2000/svg}"
HALF = plan("half_head", FoilSettings())
SHIPPED = [key for key in PATTERNS if key not in ("custom", "one_panel")]
LIGHT, LIGHT_PACKED = 60_000, 12_000  # bytes of five views, and as they go over the wire
FULL = Drawing(
    plan=HALF,
    partings=True,
    heat={Zone.TOP: 0.3, Zone.CROWN: 0.1},
    faults=[Fault(1, 60, 50, "Slip")],
)


def parsed(view: str, drawing: Drawing) -> ET.Element:
    return ET.fromstring(view_svg(view, drawing))  # noqa: S314 - our own output


def layers_drawn(drawing: Drawing) -> set[str]:
    groups = [node for view in VIEWS for node in parsed(view, drawing).iter(f"{SVG}g")]
    layers = [group for group in groups if "hd-layer" in group.get("class", "")]
    assert all(len(layer) for layer in layers)
    return {layer.get("data-layer", "") for layer in layers}


@pytest.mark.parametrize(
    "drawing",
    [
        Drawing(),
        Drawing(plan=HALF),
        Drawing(plan=HALF, partings=True),
        Drawing(plan=plan("quarters", FoilSettings(6, 0))),
        Drawing(heat={Zone.TOP: 0.3}),
        Drawing(faults=[Fault(1, 60, 50, "Slip")]),
        FULL,
    ],
)
def test_the_groups_are_the_layers_a_drawing_has(drawing: Drawing) -> None:
    assert layers_drawn(drawing) == set(layers_of(drawing))


def test_a_full_drawing_has_every_layer() -> None:
    assert layers_of(FULL) == LAYERS
    assert layers_of(Drawing()) == ("zones",)


def test_partings_under_foils_are_hidden_and_partings_alone_are_not() -> None:
    def parting_classes(drawing: Drawing) -> set[str]:
        nodes = parsed("top", drawing).iter(f"{SVG}g")
        return {n.get("class", "") for n in nodes if n.get("data-layer") == "partings"}

    assert parting_classes(Drawing(plan=HALF, partings=True)) == {"hd-layer hd-off"}
    assert parting_classes(Drawing(plan=plan("quarters", FoilSettings(6, 0)))) == {"hd-layer"}
    assert parting_classes(Drawing(plan=HALF)) == set()


def test_a_foils_bar_and_disc_carry_its_number_and_the_ears_lie_between() -> None:
    text = view_svg("left", Drawing(plan=HALF, labels=False))
    root = ET.fromstring(text)  # noqa: S314 - our own output
    for group in root.iter(f"{SVG}g"):
        for number in group.iter(f"{SVG}text") if group.get("data-foil") else ():
            assert number.text == group.get("data-foil")
    last_bar, first_disc = text.rindex('class="hd-foil"'), text.index('class="hd-no"')
    assert last_bar < text.index(outlines()["left"].large.ears) < first_disc


def test_every_foil_can_be_found_on_the_sheet_by_its_number() -> None:
    keys = {
        node.get("data-foil") for view in VIEWS for node in parsed(view, Drawing(plan=HALF)).iter()
    }
    assert keys - {None} == {str(foil.number) for foil in HALF.foils}


def test_no_drawing_has_an_id_that_could_clash_with_another_sheet() -> None:
    assert not any(" id=" in svg for svg in view_svgs(FULL).values())


def test_the_right_side_is_drawn_as_the_mirror_image_of_the_left() -> None:
    def insides(view: str) -> str:
        text = view_svg(view, Drawing(labels=False))
        return text[text.index('<path class="hd-skin"') :].removesuffix("</svg>")

    right = insides("right").removesuffix("</g>").replace("side_right", "side_left")
    assert right == insides("left")


@pytest.mark.parametrize("key", SHIPPED)
def test_a_whole_sheet_of_any_pattern_is_light(key: str) -> None:
    settings = FoilSettings() if PATTERNS[key].foils else FoilSettings(6, 0)
    _weigh(Drawing(plan=plan(key, settings), partings=True, labels=False))


@pytest.mark.parametrize("zone", ZONES)
def test_a_whole_sheet_of_one_panel_is_light(zone: Zone) -> None:
    _weigh(Drawing(plan=plan("one_panel", FoilSettings(), zone=zone), partings=True, labels=False))


def _weigh(drawing: Drawing) -> None:
    text = "".join(view_svgs(drawing).values()).encode()
    assert 20_000 < len(text) < LIGHT
    assert len(gzip.compress(text)) < LIGHT_PACKED

"""The shipped modules against the trade page, section 3, typed here again by hand.

Steps and criteria there are common practice, no source. Level boundaries, weights, times, practice
targets, heads and months are academy rules. The few published figures are named in the files.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    Known,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    TimePer,
    as_dict,
    check,
    check_needs,
    parse_module,
)
from academy.curriculum.reference import (
    cautions,
    contraindications,
    practice_faults,
    stop_events,
)

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "fixtures" / "modules").glob("*.toml"))


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text("utf-8"), parse_float=Decimal)


MODULES: dict[str, ModuleContent] = {path.stem: parse_module(read(path)) for path in FILES}
AWARDS = read(ROOT / "fixtures" / "awards.toml")["award"]

# Section 3.0, "Edges" (academy rule).
NEEDS = {
    "hygiene": "",
    "consultation": "hygiene",
    "records": "consultation",
    "quarters": "hygiene",
    "slices": "quarters",
    "weaves": "slices",
    "patterns": "slices",
    "foil-folding": "slices",
    "backcombed-weave": "weaves foil-folding",
    "regrowth": "consultation quarters",
    "strand-check": "regrowth",
    "white-coverage": "regrowth strand-check",
    "lightener": "consultation foil-folding strand-check",
    "gloss": "lightener",
    "pre-pigmentation": "regrowth strand-check",
    "correction": "lightener gloss pre-pigmentation records",
    "two-process": "white-coverage lightener gloss patterns weaves",
}

# Sections 3.1 to 3.17: criteria, those judged by zone, must-passes, practice, minutes, cautions.
# A criterion with x2 weighs double (academy rule).
TABLE = {
    "hygiene": ("H1 H2 H3 H4 H5", "", "H1 H3", "3 set-ups", "15 work", "K3 K4 K5 K6"),
    "consultation": (
        "C1 C2 C3 C4 C5 C6",
        "C4",
        "C1 C2",
        "5 heads; 2 heads white",
        "20 work",
        "K1 K2 K9",
    ),
    "records": ("R1 R2 R3 R4 R5", "", "R1", "5 records", "10 work", "K13"),
    "quarters": ("Q1 Q2 Q3 Q4", "Q3", "", "5 heads", "8 work", "K6"),
    "slices": ("S1 S2 S3 S4", "S1 S2 S3 S4", "", "4 panels; 40 foils", "25 work", "K6"),
    "weaves": (
        "W1x2 W2 W3 W4 W5",
        "W1 W2 W3",
        "",
        "2 panels fine; 2 panels medium; 2 panels chunky; 48 foils",
        "30 work",
        "K6",
    ),
    "patterns": (
        "P1 P2 P3 P4 P5",
        "P3 P5",
        "",
        "1 heads diamond; 1 heads face-frame; 1 heads t-section; 1 heads horseshoe",
        "35 work",
        "K6 K11",
    ),
    "foil-folding": (
        "F1x2 F2 F3 F4 F5",
        "F1 F2 F3 F4",
        "",
        "30 foils; 3 panels",
        "2.5 foil",
        "K6 K7",
    ),
    "backcombed-weave": (
        "B1 B2 B3 B4",
        "B2 B3 B4",
        "B1",
        "3 heads; 30 foils",
        "40 work",
        "K6 K11",
    ),
    "regrowth": ("G1x2 G2 G3 G4 G5", "G1 G2 G3", "G5", "5 heads", "35 work", "K1 K3 K4 K7"),
    "white-coverage": (
        "V1x2 V2 V3 V4 V5",
        "V1 V3",
        "V4 V5",
        "5 heads; 3 heads resistant",
        "45 work",
        "K1 K3 K4 K8",
    ),
    "strand-check": (
        "N1 N2 N3 N4 N5",
        "",
        "N2 N3",
        "6 checks; 3 heads; 1 checks extension",
        "5 check",
        "K8",
    ),
    "lightener": (
        "L1 L2 L3 L4 L5 L6",
        "L3 L4 L6",
        "L1 L5",
        "1 heads one-panel; 1 heads half-head; 1 heads virgin-full-head; 1 heads regrowth",
        "60 work",
        "K1 K3 K4 K7 K8 K11",
    ),
    "gloss": ("T1 T2 T3 T4 T5", "T3 T5", "", "4 heads", "30 work", "K1 K3 K8"),
    "pre-pigmentation": ("E1 E2 E3 E4 E5", "E3 E4", "E5", "3 heads", "60 work", "K1 K3 K8"),
    "correction": (
        "X1 X2 X3 X4 X5",
        "X2",
        "X1 X5",
        "3 plans; 1 heads",
        "30 plan",
        "K1 K2 K3 K8 K10",
    ),
    "two-process": (
        "D1 D2 D3 D4 D5 D6",
        "D4 D5",
        "D2 D3",
        "3 heads",
        "90 work",
        "K1 K3 K4 K7 K8 K11",
    ),
}

ALL = "fringe top crown side_left side_right occipital nape"
FRONT = "fringe top crown side_left side_right"

# "Judged:" and "Sheet:" of sections 3.1 to 3.17. A sheet reads: pattern, zone, depth / left,
# stitch + gap, foil (millimetres, academy rule); "-" where it has none.
JUDGED = {
    "hygiene": "",
    "consultation": ALL,
    "records": "",
    "quarters": ALL,
    "slices": "occipital",
    "weaves": "occipital",
    "patterns": FRONT,
    "foil-folding": "side_left side_right occipital",
    "backcombed-weave": FRONT,
    "regrowth": ALL,
    "white-coverage": ALL,
    "strand-check": "",
    "lightener": ALL,
    "gloss": ALL,
    "pre-pigmentation": ALL,
    "correction": ALL,
    "two-process": ALL,
}
SHEETS = {
    "hygiene": [],
    "consultation": ["zones"],
    "records": ["zones"],
    "quarters": ["quarters - 6/- -+- -"],
    "slices": ["one_panel occipital 6/6 -+- 100"],
    "weaves": [
        "one_panel occipital 6/6 2+3 100",
        "one_panel occipital 6/6 4+4 100",
        "one_panel occipital 6/6 7+3 100",
    ],
    "patterns": [
        "diamond - 6/12 4+4 100",
        "face_frame - 6/6 4+4 100",
        "t_section - 6/6 4+4 100",
        "horseshoe - 6/6 4+4 100",
    ],
    "foil-folding": [
        "one_panel side_left 6/6 -+- 100",
        "one_panel side_right 6/6 -+- 100",
        "one_panel occipital 6/6 -+- 100",
    ],
    "backcombed-weave": ["half_head - 6/12 7+3 100", "diamond - 6/12 7+3 100"],
    "regrowth": ["quarters - 6/- -+- -"],
    "white-coverage": ["quarters - 6/- -+- -", "quarters - 3/- -+- -"],
    "strand-check": ["zones"],
    "lightener": ["half_head - 6/6 4+4 100", "quarters - 3/- -+- -"],
    "gloss": ["zones"],
    "pre-pigmentation": ["zones"],
    "correction": ["zones"],
    "two-process": ["quarters - 6/- -+- -", "t_section - 6/12 4+4 100"],
}

# Section 5.3 (academy rule): heads in a row, months in date.
HEADS_AND_MONTHS = {
    (1, 12): "hygiene records",
    (2, 24): "consultation quarters slices weaves patterns foil-folding backcombed-weave "
    "strand-check gloss pre-pigmentation",
    (3, 24): "regrowth white-coverage lightener correction two-process",
}

# Section 4: the families of formulation exercises that a module can name.
FAMILIES = frozenset(
    [
        "dilute-a-developer",
        "blend-two-developers",
        "strength-on-the-head",
        "mixing-ratio-quantities",
        "scale-a-recipe-to-a-head",
        "cover-white-hair",
        "neutralise-a-tone",
        "lightener-and-lift-choice",
        "gloss-equal-parts",
        "foil-plan",
        "two-process-timing",
        "strand-check-decision",
        "legal-and-safety-gate",
        "find-the-error",
        "pre-pigment-plan",
        "estimate-white-percentage",
    ]
)

every_module = pytest.mark.parametrize("key", TABLE)


def test_there_is_one_file_for_each_of_the_seventeen_modules() -> None:
    assert len(TABLE) == 17
    assert sorted(MODULES) == sorted(TABLE)
    assert all(module.key == name for name, module in MODULES.items())


@every_module
def test_a_shipped_module_could_be_published_as_it_stands(key: str) -> None:
    needs = {name: module.needs for name, module in MODULES.items()}
    assert check(MODULES[key], Known(families=FAMILIES, modules=needs)) == []


@every_module
def test_a_shipped_module_survives_being_written_out_and_read_again(key: str) -> None:
    assert parse_module(as_dict(MODULES[key])) == MODULES[key]


def test_the_needs_are_the_edges_of_the_trade_page_and_close_no_circle() -> None:
    needs = {name: set(module.needs) for name, module in MODULES.items()}
    assert needs == {name: set(words.split()) for name, words in NEEDS.items()}
    assert check_needs(needs) == []


@every_module
def test_criteria_weights_and_must_passes_equal_the_trade_page(key: str) -> None:
    codes, zones, must, *_ = TABLE[key]
    criteria = MODULES[key].criteria
    named = [c.code if c.weight == 1 else f"{c.code}x{c.weight}" for c in criteria]
    assert named == codes.split()
    assert [c.code for c in criteria if c.scope is Scope.ZONES] == zones.split()
    assert [c.code for c in criteria if c.must_pass] == must.split()


@every_module
def test_practice_time_and_cautions_equal_the_trade_page(key: str) -> None:
    *_, practice, time, printed = TABLE[key]
    module = MODULES[key]
    lines = [f"{line.count} {line.unit} {line.tag}".strip() for line in module.targets]
    minutes, per = time.split()
    assert lines == practice.split("; ")
    assert (module.time_minutes, module.time_per) == (Decimal(minutes), TimePer(per))
    assert list(module.cautions) == printed.split()


@every_module
def test_sheets_and_judged_zones_equal_the_trade_page(key: str) -> None:
    assert [in_words(sheet) for sheet in MODULES[key].sheets] == SHEETS[key]
    assert [str(zone) for zone in MODULES[key].judged_zones] == JUDGED[key].split()


def test_heads_and_months_equal_the_trade_page() -> None:
    expected = {key: pair for pair, keys in HEADS_AND_MONTHS.items() for key in keys.split()}
    found = {key: (m.heads_required, m.months_valid) for key, m in MODULES.items()}
    assert found == expected


def test_every_award_asks_for_every_module_that_its_modules_need() -> None:
    assert len(AWARDS) == 5
    for award in AWARDS:
        asked = set(award["modules"])
        needed = {need for key in asked for need in MODULES[key].needs}
        assert needed <= asked, award["key"]
        assert award["months_valid"] == 24
        assert award["two_assessors"]


# Section 5.3, each award from those before it as the page tells them.
FOILS = {"hygiene", "quarters", "slices", "weaves", "patterns", "foil-folding", "backcombed-weave"}
WHITE = {
    "hygiene",
    "consultation",
    "records",
    "quarters",
    "regrowth",
    "strand-check",
    "white-coverage",
}
GLOSS = FOILS | {"consultation", "records", "regrowth", "strand-check", "lightener", "gloss"}


def test_awards_hold_the_modules_of_the_trade_page() -> None:
    found = {award["key"]: set(award["modules"]) for award in AWARDS}
    assert found == {
        "foundation-foils": FOILS,
        "white-hair-coverage": WHITE,
        "lightening-and-gloss": GLOSS,
        "two-process-service": WHITE | GLOSS | {"two-process"},
        "correction-basics": GLOSS | {"pre-pigmentation", "correction"},
    }
    assert [len(modules) for modules in found.values()] == [7, 7, 13, 15, 15]


# Section 6.4, in its order.
STOPS = (
    "no-skin-test contraindication-ignored no-gloves over-the-limit incompatibility-ignored "
    "metal-with-peroxide eye-not-rinsed contaminated-tools past-ceiling-with-distress false-record"
)


# Sections 6.1, 6.2, 6.4 and 3.18.
def test_the_shared_lists_are_complete() -> None:
    assert [caution.id for caution in cautions()] == [f"K{n}" for n in range(1, 16)]
    assert [caution.id for caution in cautions() if caution.everywhere] == ["K14"]
    assert [event.id for event in stop_events()] == STOPS.split()
    assert [fault.id for fault in practice_faults()] == [
        "bleed",
        "gap",
        "overlap",
        "uneven-parting",
        "slipped-foil",
        "dry-patch",
        "stain",
        "hard-line",
        "banding",
        "missed-cross-check",
        "tangled",
        "breakage",
    ]
    words = {fault.id: fault.word for fault in practice_faults()}
    assert words["uneven-parting"] == "uneven parting"
    assert words["slipped-foil"] == "slipped foil"
    assert all(len(word) <= 18 for word in words.values())
    questions = contraindications()
    assert [question.refuses for question in questions] == ["yes"] * 4 + ["no"] + [""] * 7
    on_mannequin = [n for n, question in enumerate(questions, start=1) if question.on_mannequin]
    assert on_mannequin == [5, 7, 8, 9]


@pytest.mark.parametrize(
    "name", ["cautions", "stop_events", "practice_faults", "contraindications"]
)
def test_a_shared_list_names_its_source_and_standing(name: str) -> None:
    data = read(ROOT / "shared" / f"{name}.toml")
    assert data["source"]
    assert data["standing"]


def test_practice_units_are_the_seven_of_the_trade_page() -> None:
    units = ["heads", "panels", "foils", "set-ups", "checks", "records", "plans"]
    assert [unit.value for unit in PracticeUnit] == units


def in_words(sheet: SheetContent) -> str:
    if not sheet.pattern:
        return sheet.kind.value
    zone = sheet.zone or "-"
    sizes = (sheet.depth_mm, sheet.left_mm, sheet.stitch_mm, sheet.gap_mm, sheet.foil_mm)
    depth, left, stitch, gap, foil = ("-" if size is None else str(size) for size in sizes)
    return f"{sheet.pattern} {zone} {depth}/{left} {stitch}+{gap} {foil}"


def test_the_seven_zones_are_those_of_the_head_model() -> None:
    assert [zone.value for zone in Zone] == ALL.split()

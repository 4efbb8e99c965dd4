"""Reading, checking and comparing the content of a module."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, strategies as st

from academy.craft.head.zones import Zone
from academy.curriculum.content import (
    Change,
    ContentError,
    CriterionContent,
    FaultContent,
    Known,
    ModuleContent,
    PracticeUnit,
    Scope,
    SheetContent,
    SheetKind,
    StepContent,
    TargetLine,
    TimePer,
    as_dict,
    check,
    check_needs,
    differences,
    parse_module,
)

LEVELS = ("Not done.", "Wrong.", "Right in part.", "Right.", "Right, with the reason.")
PANEL = SheetContent(
    SheetKind.PATTERN,
    "one_panel",
    Zone.NAPE,
    depth_mm=Decimal(6),
    left_mm=Decimal("7.5"),
    foil_mm=Decimal(100),
)
GOOD = ModuleContent(
    key="nape-panels",
    title="Nape panels",
    purpose="Lay foils where the hair is short.",
    needs=("slices",),
    cautions=("K6",),
    judged_zones=(Zone.NAPE,),
    steps=(StepContent("Clip", "Clip the panel."), StepContent("Part", "Draw the parting.")),
    faults=(FaultContent("Wedge", "The comb was tipped."),),
    criteria=(
        CriterionContent("A1", "Depth", Scope.ZONES, LEVELS),
        CriterionContent("A2", "Order", Scope.HEAD, LEVELS),
    ),
    targets=(TargetLine(4, PracticeUnit.PANELS, "nape"),),
    sheets=(PANEL,),
)


def with_criterion(**changes: Any) -> ModuleContent:
    return replace(GOOD, criteria=(replace(GOOD.criteria[0], **changes), GOOD.criteria[1]))


def with_sheet(**changes: Any) -> ModuleContent:
    return replace(GOOD, sheets=(replace(PANEL, **changes),))


def test_a_complete_module_has_nothing_against_it() -> None:
    assert check(GOOD) == []


@pytest.mark.parametrize(
    ("content", "path"),
    [
        (replace(GOOD, key="Nape Panels"), "key"),
        (replace(GOOD, key=""), "key"),
        (replace(GOOD, title=""), "title"),
        (replace(GOOD, title="x" * 121), "title"),
        (replace(GOOD, purpose=""), "purpose"),
        (replace(GOOD, heads_required=0), "heads_required"),
        (replace(GOOD, heads_required=11), "heads_required"),
        (replace(GOOD, months_valid=61), "months_valid"),
        (replace(GOOD, time_minutes=Decimal(0)), "time_minutes"),
        (replace(GOOD, steps=()), "steps"),
        (replace(GOOD, steps=(StepContent("Clip", ""),)), "steps.0.text"),
        (replace(GOOD, steps=(GOOD.steps[0], GOOD.steps[0])), "steps"),
        (replace(GOOD, faults=(FaultContent("Wedge", ""),)), "faults.0.cause"),
        (replace(GOOD, criteria=()), "criteria"),
        (replace(GOOD, criteria=(GOOD.criteria[0], GOOD.criteria[0])), "criteria"),
        (replace(GOOD, judged_zones=()), "judged_zones"),
        (replace(GOOD, judged_zones=(Zone.NAPE, Zone.NAPE)), "judged_zones"),
        (replace(GOOD, judged_zones=(Zone.NAPE, Zone.TOP)), "judged_zones"),
        (replace(GOOD, targets=(TargetLine(0, PracticeUnit.HEADS),)), "targets.0.count"),
        (replace(GOOD, targets=GOOD.targets * 2), "targets"),
        (replace(GOOD, cautions=("K16",)), "cautions.0"),
        (replace(GOOD, needs=("nape-panels",)), "needs"),
        (with_criterion(code=""), "criteria.0.code"),
        (with_criterion(code="A12345678"), "criteria.0.code"),
        (with_criterion(title=""), "criteria.0.title"),
        (with_criterion(weight=0), "criteria.0.weight"),
        (with_criterion(weight=6), "criteria.0.weight"),
        (with_criterion(must_pass=True), "criteria.0.must_pass_reason"),
        (with_criterion(must_pass_reason="It breaks."), "criteria.0.must_pass"),
        (with_criterion(levels=LEVELS[:4]), "criteria.0.levels"),
        (with_criterion(levels=("", *LEVELS[1:])), "criteria.0.levels.0"),
        (with_criterion(levels=("Right.", *LEVELS[1:])), "criteria.0.levels"),
        (with_criterion(levels=("x" * 241, *LEVELS[1:])), "criteria.0.levels.0"),
        (with_sheet(pattern="zigzag", zone=None), "sheets.0.pattern"),
        (with_sheet(zone=None), "sheets.0.zone"),
        (with_sheet(pattern="full_head"), "sheets.0.zone"),
        (with_sheet(depth_mm=Decimal(2)), "sheets.0.depth_mm"),
        (with_sheet(depth_mm=None), "sheets.0.depth_mm"),
        (with_sheet(left_mm=Decimal(31)), "sheets.0.left_mm"),
        (with_sheet(left_mm=None), "sheets.0.left_mm"),
        (with_sheet(foil_mm=None), "sheets.0.foil_mm"),
        (with_sheet(stitch_mm=Decimal(4)), "sheets.0.gap_mm"),
        (with_sheet(stitch_mm=Decimal(16), gap_mm=Decimal(3)), "sheets.0.stitch_mm"),
        (with_sheet(kind=SheetKind.ZONES), "sheets.0.pattern"),
        (with_sheet(kind=SheetKind.NONE), "sheets.0.kind"),
    ],
)
def test_what_keeps_a_module_from_being_published_is_named_by_its_path(
    content: ModuleContent, path: str
) -> None:
    problems = check(content)
    assert path in [problem.path for problem in problems]
    assert all(problem.sentence.endswith(".") for problem in problems)


def test_lines_only_take_no_foil_sizes() -> None:
    lines = SheetContent(SheetKind.PATTERN, "quarters", depth_mm=Decimal(6))
    assert check(replace(GOOD, sheets=(lines,))) == []
    foiled = replace(lines, foil_mm=Decimal(100))
    assert [p.path for p in check(replace(GOOD, sheets=(foiled,)))] == ["sheets.0.foil_mm"]


def test_both_ends_of_a_range_are_allowed() -> None:
    assert check(with_sheet(depth_mm=Decimal(3), left_mm=Decimal(0))) == []
    assert check(with_sheet(depth_mm=Decimal(12), left_mm=Decimal(30))) == []
    assert check(replace(GOOD, heads_required=10, months_valid=60)) == []


def test_several_sheets_together_cover_the_judged_zones() -> None:
    frame = replace(PANEL, pattern="face_frame", zone=None)
    both = replace(GOOD, judged_zones=(Zone.NAPE, Zone.FRINGE), sheets=(PANEL, frame))
    assert check(both) == []


def test_families_and_needs_are_checked_against_what_the_academy_has() -> None:
    known = Known(families={"foil-plan"}, modules={"slices": ("nape-panels",)})
    found = [problem.path for problem in check(replace(GOOD, families=("foil",)), known)]
    assert found == ["families.0", "needs"]


def test_a_need_without_a_module_is_named() -> None:
    assert [problem.path for problem in check_needs({"a": ["b"]})] == ["a"]


def test_a_circle_of_needs_is_named_once_from_its_first_module() -> None:
    graph = {"d": ["c"], "c": ["b"], "b": ["a", "e"], "a": ["c"], "e": []}
    (problem,) = check_needs(graph)
    assert problem.path == "a"
    assert "a → c → b → a" in problem.sentence


def test_two_circles_are_both_named() -> None:
    graph = {"a": ["b"], "b": ["a"], "c": ["d"], "d": ["c"]}
    assert [problem.path for problem in check_needs(graph)] == ["a", "c"]


@given(st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7)), max_size=20))
def test_needs_that_only_point_backwards_never_close_a_circle(
    edges: list[tuple[int, int]],
) -> None:
    graph: dict[str, list[str]] = {str(n): [] for n in range(8)}
    for one, other in edges:
        if one != other:
            graph[str(max(one, other))].append(str(min(one, other)))
    assert check_needs(graph) == []


@given(st.lists(st.integers(0, 9), min_size=1, max_size=6, unique=True))
def test_every_circle_is_found_however_long(keys: list[int]) -> None:
    graph: dict[str, list[str]] = {"x": [], "y": ["x"]}
    names = [str(key) for key in keys]
    for here, there in zip(names, [*names[1:], names[0]], strict=True):
        graph[here] = [there, "y"]
    assert len(check_needs(graph)) == 1


def test_content_comes_back_the_same_through_json() -> None:
    weave = replace(PANEL, stitch_mm=Decimal("2.5"), gap_mm=Decimal(3), to_confirm=True)
    content = replace(GOOD, sheets=(PANEL, weave), time_minutes=Decimal("2.5"))
    assert parse_module(json.loads(json.dumps(as_dict(content)))) == content


texts = st.text(st.characters(codec="utf-8"), max_size=30).map(str.strip)
numbers = st.none() | st.decimals(0, 500, places=1)
contents = st.builds(
    ModuleContent,
    key=texts,
    title=texts,
    purpose=texts,
    families=st.lists(texts).map(tuple),
    needs=st.lists(texts).map(tuple),
    cautions=st.lists(texts).map(tuple),
    time_note=texts,
    time_minutes=st.decimals(0, 500, places=1),
    judged_zones=st.lists(st.sampled_from(Zone)).map(tuple),
    steps=st.lists(st.builds(StepContent, texts, texts, st.booleans()), max_size=3).map(tuple),
    faults=st.lists(st.builds(FaultContent, texts, texts), max_size=3).map(tuple),
    criteria=st.lists(
        st.builds(
            CriterionContent,
            scope=st.sampled_from(Scope),
            code=texts,
            title=texts,
            levels=st.lists(texts, max_size=6).map(tuple),
            must_pass_reason=texts,
        ),
        max_size=2,
    ).map(tuple),
    targets=st.lists(
        st.builds(TargetLine, st.integers(0, 9), st.sampled_from(PracticeUnit), texts), max_size=2
    ).map(tuple),
    sheets=st.lists(
        st.builds(
            SheetContent,
            kind=st.sampled_from(SheetKind),
            zone=st.none() | st.sampled_from(Zone),
            pattern=texts,
            note=texts,
            depth_mm=numbers,
            left_mm=numbers,
            stitch_mm=numbers,
            gap_mm=numbers,
            foil_mm=numbers,
        ),
        max_size=2,
    ).map(tuple),
)


@given(contents)
def test_any_content_comes_back_the_same_and_is_checked_without_falling_over(
    content: ModuleContent,
) -> None:
    assert parse_module(as_dict(content)) == content
    assert all(problem.sentence for problem in check(content))
    assert differences(content, content) == []


def test_every_place_that_cannot_be_read_is_named_at_once() -> None:
    with pytest.raises(ContentError) as caught:
        parse_module(
            {
                "key": 3,
                "colour": "red",
                "judged_zones": ["nape", "ear"],
                "time_minutes": "soon",
                "steps": "Clip",
                "criteria": [{"code": "A1", "weight": 1.5, "scope": "side", "must_pass": "yes"}],
                "targets": ["four"],
                "sheets": [{"zone": "ear", "depth_mm": True}],
            }
        )
    assert sorted(problem.path for problem in caught.value.problems) == [
        "colour",
        "criteria.0.must_pass",
        "criteria.0.scope",
        "criteria.0.weight",
        "judged_zones.1",
        "key",
        "sheets.0.depth_mm",
        "sheets.0.zone",
        "steps",
        "targets.0",
        "time_minutes",
    ]


def test_an_unknown_value_is_answered_with_those_that_are_known() -> None:
    said = r"“ear” is not known here\. It can be one of: fringe, top, crown"
    with pytest.raises(ContentError, match=said):
        parse_module({"key": "a", "judged_zones": ["ear"]})


@pytest.mark.parametrize("written", [2.5, "2.5", Decimal("2.5")])
def test_a_number_is_exact_however_it_is_written(written: object) -> None:
    assert parse_module({"key": "a", "time_minutes": written}).time_minutes == Decimal("2.5")


def test_no_minutes_are_not_turned_into_the_usual_ones() -> None:
    assert parse_module({"key": "a", "time_minutes": 0}).time_minutes == 0


@pytest.mark.parametrize("written", ["nan", "inf", True, [], ""])
def test_what_is_not_a_finite_number_is_refused(written: object) -> None:
    with pytest.raises(ContentError):
        parse_module({"key": "a", "time_minutes": written})


def test_a_draft_that_is_hardly_begun_can_be_read() -> None:
    assert parse_module({"key": "a"}) == ModuleContent("a")


def test_the_kind_of_sheet_of_a_module_follows_from_its_sheets() -> None:
    zones = SheetContent(SheetKind.ZONES)
    assert replace(GOOD, sheets=()).sheet_kind is SheetKind.NONE
    assert replace(GOOD, sheets=(zones,)).sheet_kind is SheetKind.ZONES
    assert replace(GOOD, sheets=(zones, PANEL)).sheet_kind is SheetKind.PATTERN


def test_equal_editions_have_no_differences() -> None:
    assert differences(GOOD, GOOD) == []


@pytest.mark.parametrize(
    ("new", "field", "change", "sentence"),
    [
        (
            replace(GOOD, title="Foils at the nape"),
            "module",
            Change.CHANGED,
            "Title: was “Nape panels”, now “Foils at the nape”.",
        ),
        (
            replace(GOOD, time_per=TimePer.FOIL),
            "module",
            Change.CHANGED,
            "Minutes are for one: was “work”, now “foil”.",
        ),
        (
            with_criterion(levels=(*LEVELS[:4], "Right within 1 mm.")),
            "criteria",
            Change.CHANGED,
            "Criterion A1, level 4: was “Right, with the reason.”, now “Right within 1 mm.”.",
        ),
        (
            with_criterion(scope=Scope.HEAD),
            "criteria",
            Change.CHANGED,
            "Criterion A1, where: was “in each judged zone”, now “once for the head”.",
        ),
        (
            replace(GOOD, criteria=GOOD.criteria[:1]),
            "criteria",
            Change.REMOVED,
            "Criterion A2: taken out.",
        ),
        (
            replace(GOOD, criteria=GOOD.criteria[::-1]),
            "criteria",
            Change.MOVED,
            "The order of the criteria changed.",
        ),
        (
            replace(GOOD, targets=(TargetLine(6, PracticeUnit.PANELS, "nape"),)),
            "targets",
            Change.CHANGED,
            "Practice target panels nape, count: was “4”, now “6”.",
        ),
        (replace(GOOD, needs=()), "needs", Change.REMOVED, "Needed module slices: taken out."),
        (
            replace(GOOD, judged_zones=(Zone.NAPE, Zone.SIDE_LEFT)),
            "judged_zones",
            Change.ADDED,
            "Judged zone side left: added.",
        ),
        (
            with_sheet(left_mm=Decimal(12)),
            "sheets",
            Change.CHANGED,
            "Sheet one panel, nape, left between: was “7.5 mm”, now “12 mm”.",
        ),
        (
            replace(GOOD, steps=(GOOD.steps[0], StepContent("Part", "Part it.", to_confirm=True))),
            "steps",
            Change.CHANGED,
            "Step “Part”, text: was “Draw the parting.”, now “Part it.”.",
        ),
    ],
)
def test_a_change_is_told_in_a_sentence(
    new: ModuleContent, field: str, change: Change, sentence: str
) -> None:
    first = differences(GOOD, new)[0]
    assert (first.field, first.change, first.sentence) == (field, change, sentence)


def test_a_second_sheet_of_the_same_kind_is_followed_by_its_place() -> None:
    fine = replace(PANEL, stitch_mm=Decimal(2), gap_mm=Decimal(3))
    (difference,) = differences(GOOD, replace(GOOD, sheets=(PANEL, fine)))
    assert difference.sentence == "Sheet one panel, nape (2): added."
    assert "stitch: 2 mm" in difference.new


@given(contents, contents)
def test_different_editions_of_known_parts_always_show_a_difference(
    old: ModuleContent, new: ModuleContent
) -> None:
    new = replace(old, title=new.title, purpose=new.purpose, time_minutes=new.time_minutes)
    assert bool(differences(old, new)) == (old != new)

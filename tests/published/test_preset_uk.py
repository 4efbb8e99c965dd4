"""The UK preset against the trade page, sections 2.11 and 2.12."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from academy.craft.rules import Mode, RuleBook, standard_rules

TEXT = (Path(__file__).parents[2] / "shared" / "presets" / "uk.toml").read_text("utf-8")
BOOK = RuleBook.from_toml(TEXT)


# Regulation (EC) No 1223/2009, Annex III: entries 12, 8a, 9a, 22, 217, 243, 4.
def test_the_legal_limits_are_locked_at_the_published_figures() -> None:
    limits = {key: rule for key, rule in BOOK.rules.items() if key.startswith("legal_limit.")}
    assert {key.partition(".")[2]: rule.default for key, rule in limits.items()} == {
        "peroxide": Decimal(12),
        "p_phenylenediamine": Decimal(2),
        "toluene_2_5_diamine": Decimal(2),
        "resorcinol": Decimal("1.25"),
        "m_aminophenol": Decimal("1.2"),
        "2-methylresorcinol": Decimal("1.8"),
        "ammonia": Decimal(6),
        "ammonia_label_word": Decimal(2),
    }
    assert all(rule.mode is Mode.LOCKED and rule.source for rule in limits.values())


# UK hairdressing trade body and FDA (48 h); Annex III warning text (16 years).
def test_skin_test_and_age_may_only_be_made_stricter() -> None:
    hours, age = BOOK.rule("skin_test_hours"), BOOK.rule("minimum_age")
    assert (hours.default, hours.minimum, hours.maximum) == tuple(map(Decimal, (48, 48, 72)))
    assert (age.default, age.minimum, age.maximum) == tuple(map(Decimal, (16, 16, 18)))
    assert hours.mode is age.mode is Mode.STRICTER_LARGER


# 12 weeks, 2 and 6 years: common practice, no source; growth 1.25 cm: salon texts, published.
def test_periods_and_growth_equal_the_trade_page() -> None:
    assert BOOK.rule("skin_test_days").default == 84
    assert BOOK.rule("record_years.cards").default == 2
    assert BOOK.rule("record_years.tests").default == 6
    assert BOOK.rule("record_years.cards").unsure
    assert BOOK.rule("growth").default == Decimal("1.25")


def test_every_published_figure_names_its_source() -> None:
    published = [rule for rule in BOOK.rules.values() if rule.standing == "P"]
    assert len(published) >= 15
    assert all(rule.source for rule in published)


def test_preset_and_standard_rules_say_the_same_where_both_speak() -> None:
    standard = standard_rules().rules
    both = sorted(set(BOOK.rules) & set(standard))
    assert len(both) >= 14
    for key in both:
        mine, other = BOOK.rules[key], standard[key]
        assert (mine.default, mine.minimum, mine.maximum, mine.mode, mine.standing) == (
            other.default,
            other.minimum,
            other.maximum,
            other.mode,
            other.standing,
        )

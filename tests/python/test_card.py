# SPDX-License-Identifier: GPL-3.0-or-later
"""The card by its schema: what the library writes follows it, and a broken card is refused by the schema and the library."""
import copy
import json
import math
from typing import Any

import jsonschema
import oxtint
import pytest
from oxtint.growth import LAWS

from conftest import ROOT
from test_docs import module_of

SCHEMA = json.loads((ROOT / "docs/static/card.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def follows(card: dict[str, Any]) -> bool:
    return bool(VALIDATOR.is_valid(card))


def loads(card: dict[str, Any]) -> bool:
    try:
        oxtint.Steel.from_card(json.dumps(card))
    except oxtint.OxtintError:
        return False
    return True


def named_card(law: str) -> oxtint.Steel:
    values = dict(steel="Dogwood 4", k_ref_nm2_per_s=40.0, T_ref_K=588.7, Q_J_per_mol=80e3, dof=10.0, bath_low_K=560.0,
                  bath_high_K=640.0, thickness_low_nm=20.0, thickness_high_nm=80.0)
    if law != "parabolic":
        values |= dict(law=law, law_shape={"power": 3.0, "linear-parabolic": 0.0}.get(law, 15.0), law_middle_nm=45.0,
                       ln_shape_stderr=0.1)
    return oxtint.Steel.from_values(**values)


def made_cards() -> dict[str, oxtint.Steel]:
    """A card by each call that makes one; the fullest of them is "all"."""
    log = oxtint.read_trials(ROOT / "examples/demo/trials.csv")
    cards = {f"fit of {group.steel}, {group.finish}": oxtint.fit(log, group.steel, group.finish).steel
             for group in log.groups}
    cards |= {f"pool of {name}": steel for name, steel in oxtint.pool(log).steels.items()}
    cards |= {f"law {law}": named_card(law) for law in LAWS}
    steel = oxtint.fit(log, "Alder 1", "satin").steel
    coupon = oxtint.TrialLog()
    coupon.add(steel="Alder 1", finish="satin", bath="600 F", time="1:10", colour="purple")
    coupon.add(steel="Dogwood 4", bath="600 F", time="1:10", colour="purple")
    dip = steel.dip("blue", "600 F", part="6 mm", lift="4 s")
    days = oxtint.TrialLog()
    for day, bath, time, nm in [("1", "560 F", "4:00", 45.1), ("1", "600 F", "1:30", 36.5), ("2", "600 F", "4:00", 66.0),
                                ("2", "640 F", "1:30", 49.9), ("2", "560 F", "2:00", 33.0), ("1", "640 F", "3:00", 66.0)]:
        days.add("Dogwood 4", bath=bath, time=time, thickness_nm=nm, day=day, part="2 mm", lift="4 s")
    return cards | {
        "prior": oxtint.starting_steel("Dogwood 4", "satin"),
        "anchor": steel.anchor(coupon, label="new salt"),
        "record": steel.record(dip, "dark blue", label="2026-03-03"),
        "words": steel.with_words({"lamp blue": "blue", "clock blue": (47, 55)}),
        "days": (steel := oxtint.fit(days, steel="Dogwood 4").steel),
        "all": steel.anchor(coupon).record(dip, "dark blue").with_words({"lamp blue": "blue", "clock blue": (47, 55)})}


CARDS = made_cards()
FULL: dict[str, Any] = json.loads(CARDS["all"].to_card()) | {"covariance_J_per_mol": 0.0}
FULL["coupon"] |= {"size_low_m": 0.0, "size_high_m": 1.0, "lift_low_s": 0.0, "lift_high_s": 3600.0}


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", CARDS)
def test_a_card_that_is_made_follows_the_schema(name) -> None:
    VALIDATOR.validate(json.loads(CARDS[name].to_card()))


# ---- broken cards ----

def places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every member of a card, those of its parts too."""
    found = [path] if path else []
    steps = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, member in steps:
        found += places(member, (*path, key))
    return found


def changed(path: tuple[str | int, ...], *value: Any) -> dict[str, Any]:
    """The full card with a member replaced, or without it."""
    card = copy.deepcopy(FULL)
    inside: Any = card
    for key in path[:-1]:
        inside = inside[key]
    if value:
        inside[path[-1]] = value[0]
    else:
        del inside[path[-1]]
    return card


# What relates two numbers of a card, or the letters of a name to the trade's; a schema does not say that.
RELATED = {"covariance_J_per_mol", "bath_low_K", "bath_high_K", "thickness_low_nm", "thickness_high_nm", "size_low_m",
           "size_high_m", "lift_low_s", "lift_high_s", "low_nm", "high_nm", "band"}
WRONG = [None, True, "", "mauve", "x" * 400, -1, -1e-9, 0, 0.5, 1.5, 10**17, [], {}, [1], {"a": 1}]


@pytest.mark.parametrize("path", places(FULL), ids=lambda path: ".".join(map(str, path)))
def test_the_schema_and_the_library_agree_on_a_broken_card(path) -> None:
    broken = [changed(path), *(changed(path, value) for value in WRONG)]
    for card in broken:
        if not follows(card):
            assert not loads(card), f"only the schema refuses {path}: {card}"
        elif path[-1] not in RELATED:
            assert loads(card), f"only the library refuses {path}: {card}"


# coupon_time_s is of a card whose constants include the path of its coupons, which states no coupon.
def test_the_full_card_has_every_member_of_the_schema_but_those_of_other_laws() -> None:
    kept = {path[-1] for path in places(FULL) if isinstance(path[-1], str)}
    named = set(SCHEMA["properties"]) | {key for part in SCHEMA["$defs"].values() for key in part["properties"]}
    named |= {"major", "minor"}
    of_laws = {"law_shape", "law_middle_nm", "ln_shape_stderr", "initial_nm", "initial_stderr_nm2"} | {"coupon_time_s"}
    assert named - kept == of_laws and kept <= named


def test_each_limit_of_the_schema_is_that_of_the_library() -> None:
    parts = {("coupon",): "coupon", ("words", 0): "word", ("history", 0): "change", ("record", 0): "dip"}
    tried = 0
    for prefix, properties in [((), SCHEMA["properties"]),
                               *((place, SCHEMA["$defs"][name]["properties"]) for place, name in parts.items())]:
        for key, rule in properties.items():
            path = (*prefix, key)
            if path in places(FULL) and "maxLength" in rule and key not in RELATED:
                most = rule["maxLength"]
                assert loads(changed(path, "x" * most)) and not loads(changed(path, "x" * (most + 1))), path
                tried += 1
            for kind in ("minimum", "exclusiveMinimum", "maximum"):
                if kind not in rule or key in RELATED or path not in places(FULL):
                    continue
                outside = math.inf if kind.endswith("aximum") else -math.inf
                near = math.nextafter(rule[kind], outside) if not kind.startswith("exclusive") else rule[kind]
                card = changed(path, int(near) + 1 if rule["type"] == "integer" and near > 0 else near)
                assert not follows(card) and not loads(card), path
                if not kind.startswith("exclusive"):
                    assert loads(changed(path, rule[kind])), path
                tried += 1
    assert tried > 40


@pytest.mark.parametrize("law", LAWS[1:])
def test_a_law_without_its_film_is_refused(law) -> None:
    card = json.loads(named_card(law).to_card())
    for broken in ({key: value for key, value in card.items() if key != "law_middle_nm"}, card | {"law_middle_nm": 0.5},
                   card | {"law_shape": 1e7}):
        assert not follows(broken) and not loads(broken)
    limits = next(rule["then"]["properties"] for rule in SCHEMA["allOf"]
                  if rule["if"]["properties"].get("law", {}).get("const") == law)
    for key, limit in limits.items():
        for end, beyond in (("minimum", -math.inf), ("maximum", math.inf)):
            outside = card | {key: math.nextafter(limit[end], beyond)}
            assert loads(card | {key: limit[end]}) and not loads(outside) and not follows(outside), (key, end)


def test_every_member_is_explained_and_its_table_stands_on_the_page() -> None:
    page = (ROOT / "docs/reference/card.md").read_text(encoding="utf-8")
    tables = module_of("docs/extensions/schema.py")
    for part in ("", *SCHEMA["$defs"]):
        assert f"```{{schema}} card {part}".rstrip() + "\n" in page
        assert all(text and limits for _, limits, text in tables.members("card", part)), part
    assert tables.members("card")[6] == ("k_ref_nm2_per_s", "above 0", "nm^2/s, rate at T_ref_K")
    assert ("[low_nm]", "above 0, up to 1000") == tables.members("card", "word")[2][:2]


def test_the_laws_of_the_schema_are_those_of_the_library() -> None:
    assert tuple(SCHEMA["properties"]["law"]["enum"]) == LAWS


@pytest.mark.parametrize("path", sorted((ROOT / "tests/fuzz/corpus/card").iterdir()), ids=lambda path: path.name)
def test_cards_that_fuzzing_found(path) -> None:
    try:
        card = json.loads(path.read_bytes())
    except ValueError:
        return
    if loads(card):
        VALIDATOR.validate(card)


def test_the_card_of_the_page_follows_the_schema() -> None:
    pages = [page.read_text(encoding="utf-8") for page in (ROOT / "docs").rglob("*.md")]
    shown = [block for page in pages for block in page.split("```json\n")[1:]]
    cards = [json.loads(block.partition("```")[0]) for block in shown if '"oxtint_card"' in block]
    assert cards
    for card in cards:
        VALIDATOR.validate(card)
        assert loads(card)

"""Orders that can be checked by hand."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.measure.takeoff import BeadPiece, Edge, RoomTakeoff, Surface, Takeoff
from takeoff.supply.materials import materials
from takeoff.supply.order import Order, OrderLine
from takeoff.supply.systems import (
    AreaUse,
    BaseCoat,
    BeadProfile,
    Coat,
    CoatingSystem,
    Drying,
    EdgeUse,
    Pack,
    PerMetre,
    Product,
    Stock,
    Substrate,
    available,
    load,
)


def product(name: str, unit: str, size: float, price: str | None = "10") -> Product:
    pack = Pack(name=f"{size:g} {unit}", size=size, price=Decimal(price) if price else None)
    return Product(name=name, unit=unit, packs=(pack,))  # type: ignore[arg-type]


def bar(profile: str, proud_mm: float = 0.0, *, coil: bool = False) -> BeadProfile:
    return BeadProfile(
        id=profile,
        name=f"{profile} bead",
        stock=(Stock(name="3 m", length_mm=3000, price=Decimal(4)),),
        angle_from_deg=185 if coil else 255,
        angle_to_deg=360 if coil else 285,
        coil=coil,
        proud_mm=proud_mm,
        feather_mm=200,
    )


PLAIN = CoatingSystem(
    schema="takeoff-system/1",
    id="plain",
    name="Plain figures",
    demo=True,
    currency="XTS",
    substrates=(
        Substrate(id="plasterboard", name="plasterboard", base_coats=1, unevenness_mm=0.0),
        Substrate(id="brick", name="brick", base_coats=2, unevenness_mm=1.0, porous=True),
    ),
    fallback_substrate="brick",
    coat=Coat(product=product("coat", "L", 10), thickness_mm=1.0, layers=2, pack_l_per_l=1.0, loss_percent=10),
    base=BaseCoat(product=product("base", "L", 5), per_m2=0.1),
    drying=Drying(after_base_h=1, between_layers_h=2, before_paint_h=3),
    beads=(bar("square"), bar("flexible", coil=True)),
    by_edge=(
        EdgeUse(id="filler", product=product("filler", "L", 1), per_m=PerMetre(wall_wall=0.05)),
        EdgeUse(id="caulk", product=product("caulk", "ml", 300), per_m=PerMetre(wall_ceiling=20)),
        EdgeUse(id="sealant", product=product("sealant", "ml", 300), per_m=PerMetre(frame_joint=30)),
        EdgeUse(id="masking", product=product("tape", "m", 20), per_m=PerMetre(floor_edge=1)),
    ),
    by_area=(AreaUse(id="abrasives", product=product("sheets", "piece", 10), per_m2=0.2),),
)


def room(**changed: object) -> RoomTakeoff:
    """Room A of the worked examples, as far as an order looks at it: all on plasterboard."""
    net = (("w", "wall", 39.924), ("c", "ceiling", 16.0), ("r", "reveal", 1.038))
    figures: dict[str, object] = {
        "room": "a", "storey": "s", "name": "Kitchen", "times": 1, "confidence": "sure",
        "height_min_mm": 2400.0, "height_max_mm": 2400.0, "floor_m2": 16.0, "perimeter_m": 18.0,
        "ceiling_m2": 16.0, "wall_gross_m2": 43.2, "openings_m2": 3.276, "excluded_m2": 0.0,
        "not_coated_m2": 0.0, "wall_net_m2": 39.924, "drop_m2": 0.0, "reveal_m2": 1.038,
        "coated_m2": 56.962, "external_corner_m": 10.98, "external_corner_by_kind_m": {},
        "internal_corner_m": {"wall_wall": 12.0, "wall_ceiling": 18.0, "reveal": 0.5},
        "coat_edge_m": 1.5, "coat_edge_by_kind_m": {"open": 0.0, "against": 1.5, "corner": 0.0},
        "floor_edge_m": 17.3, "frame_joint_m": 8.58, "frame_joint_by_kind_m": {"frame": 3.6, "lining": 4.98},
        "bead_m": 10.98,
        "bead_pieces": tuple(
            BeadPiece(length, "square", where)
            for length, where in (
                (2400.0, "corner"), (1200.0, "window head"), (1200.0, "window jamb 1"),
                (1200.0, "window jamb 2"), (900.0, "door head"), (2040.0, "door jamb 1"),
                (2040.0, "door jamb 2"),
            )
        ),
        "faces": (), "edges": (), "dims": (),
        "surfaces": tuple(
            Surface(key, kind, key, "plasterboard", gross_m2=area, net_m2=area)  # type: ignore[arg-type]
            for key, kind, area in net
        ),
    }  # fmt: skip
    return RoomTakeoff(**(figures | changed))  # type: ignore[arg-type]


def order(*rooms: RoomTakeoff, system: CoatingSystem = PLAIN) -> Order:
    return materials(Takeoff(rooms=rooms, totals={}, unsure=(), findings=()), system)


def line(of: Order, key: str) -> OrderLine:
    return next(one for one in of.lines if one.id == key)


def codes(of: Order) -> list[str]:
    return [one.code for one in of.findings]


def test_room_worked_by_hand_orders_what_the_hand_finds() -> None:
    done = order(room())
    needs = {one.id: (round(one.need, 6), one.packs) for one in done.lines}
    assert needs == {
        "base": (5.6962, (("5 L", 2),)),  # 56.962 × 0.1
        "coat": (62.6582, (("10 L", 7),)),  # 56.962 × 1.0 × 1.10
        "filler": (0.6, (("1 L", 1),)),  # 12 × 0.05
        "caulk": (360.0, (("300 ml", 2),)),  # 18 × 20
        "sealant": (257.4, (("300 ml", 1),)),  # 8.58 × 30
        "masking": (17.3, (("20 m", 1),)),
        "abrasives": (11.3924, (("10 piece", 2),)),  # 56.962 × 0.2
        "bead-square": (10.98, (("3 m", 5),)),  # 2400 | 2040 + 900 | 2040 | 1200 + 1200 | 1200
    }
    assert done.cost == (2 + 7 + 1 + 2 + 1 + 1 + 2) * 10 + 5 * 4


def test_working_can_be_typed_into_a_calculator() -> None:
    done = order(room())
    assert line(done, "coat").working == "56.962 m² × (1 + 0) mm × 1.1 = 62.66 L"
    assert line(done, "base").working == "56.962 m² × 1 coat × 0.1 L/m² = 5.70 L"
    assert line(done, "bead-square").working == "7 pieces, 10.98 m, from 15.00 m; least cost"


def test_porous_substrate_takes_two_base_coats_and_its_unevenness() -> None:
    wall = Surface("w", "wall", "wall", "brick", gross_m2=10.0, net_m2=10.0)
    done = order(room(surfaces=(wall,), coated_m2=10.0))
    assert line(done, "base").need == pytest.approx(2.0)  # 10 × 2 × 0.1
    assert line(done, "coat").need == pytest.approx(22.0)  # 10 × (1 + 1) × 1.10
    assert line(done, "coat").working == "10.000 m² × (1 + 1) mm × 1.1 = 22.00 L"


def test_loss_and_yield_are_taken_once_on_every_item() -> None:
    lossy = msgspec.structs.replace(
        PLAIN,
        coat=msgspec.structs.replace(PLAIN.coat, pack_l_per_l=1.5),
        base=msgspec.structs.replace(PLAIN.base, loss_percent=20.0),
        by_edge=tuple(msgspec.structs.replace(use, loss_percent=50.0) for use in PLAIN.by_edge),
        by_area=tuple(msgspec.structs.replace(use, loss_percent=25.0) for use in PLAIN.by_area),
    )
    factors = {"coat": 1.5, "base": 1.2, "filler": 1.5, "caulk": 1.5, "masking": 1.5, "abrasives": 1.25}
    plain, done = order(room()), order(room(), system=lossy)
    for key, factor in factors.items():
        assert line(done, key).need == pytest.approx(factor * line(plain, key).need)
    assert line(done, "coat").working == "56.962 m² × (1 + 0) mm × 1.1 × 1.5 = 93.99 L"


def test_two_substrates_are_worked_apart_and_bought_together() -> None:
    both = tuple(Surface(s, "wall", s, s, gross_m2=10.0, net_m2=10.0) for s in ("brick", "plasterboard"))
    coat = line(order(room(surfaces=both, coated_m2=20.0)), "coat")
    assert coat.need == pytest.approx(33.0)
    assert coat.packs == (("10 L", 4),)
    assert coat.working.endswith("22.00 + 11.00 = 33.00 L")


def test_printed_sum_is_the_sum_of_the_printed_lines() -> None:
    # 3 × 0.125 = 0.375 prints 0.38; its three lines print 0.13 each and so does their sum, 0.39.
    filler = EdgeUse(
        id="filler", product=product("filler", "L", 1), per_m=PerMetre(wall_wall=0.125, ceiling=0.125, drop=0.125)
    )
    done = order(
        room(internal_corner_m=dict.fromkeys(("wall_wall", "ceiling", "drop"), 1.0)),
        system=msgspec.structs.replace(PLAIN, by_edge=(filler,)),
    )
    assert line(done, "filler").need == pytest.approx(0.375)
    assert line(done, "filler").working.endswith("; 0.13 + 0.13 + 0.13 = 0.39 L")


def test_room_that_stands_three_times_is_ordered_three_times() -> None:
    once, thrice = order(room()), order(room(times=3))
    for one in once.lines:
        assert line(thrice, one.id).need == pytest.approx(3 * one.need)
    cuts = [cut for bar_ in thrice.beads[0].bars for cut in bar_.cuts]
    assert len(cuts) == 21
    assert "Kitchen: corner, 3 of 3" in {cut.where for cut in cuts}


def test_takeoff_without_rooms_gives_an_empty_order() -> None:
    done = order()
    assert (done.lines, done.beads, done.workings, done.findings) == ((), (), (), ())
    assert done.cost == 0


def test_room_that_is_not_coated_orders_nothing() -> None:
    bare = room(
        surfaces=(), coated_m2=0.0, internal_corner_m={}, coat_edge_m=0.0, floor_edge_m=0.0,
        coat_edge_by_kind_m=dict.fromkeys(("open", "against", "corner"), 0.0),
        frame_joint_by_kind_m=dict.fromkeys(("frame", "lining"), 0.0),
        frame_joint_m=0.0, bead_m=0.0, bead_pieces=(),
    )  # fmt: skip
    assert order(bare).lines == ()


def test_bead_that_stands_proud_takes_coat_on_both_faces() -> None:
    # 2 faces × ½ × 1 mm × 200 mm = 0.2 L/m; 10.98 m × 0.2 × 1.10 = 2.4156 L more
    proud = msgspec.structs.replace(PLAIN, beads=(bar("square", 2.0),))
    more = line(order(room(), system=proud), "coat").need - line(order(room()), "coat").need
    assert more == pytest.approx(2.4156)


def test_bead_lower_than_the_coat_takes_no_strip() -> None:
    low = msgspec.structs.replace(PLAIN, beads=(bar("square", 0.5),))
    assert line(order(room(), system=low), "coat").need == line(order(room()), "coat").need


def test_only_open_ends_take_a_feathered_strip_unless_they_are_stopped() -> None:
    feathering = msgspec.structs.replace(PLAIN, coat=msgspec.structs.replace(PLAIN.coat, edge_feather_mm=100.0))
    stopped = Edge("e", "coat_edge", "face", 1.2, 180.0, ("w",), finish="stop", ends="open")
    open_ends = {"coat_edge_m": 3.0, "coat_edge_by_kind_m": {"open": 1.5, "against": 1.0, "corner": 0.5}}
    plain = line(order(room()), "coat").need
    all_of_it = line(order(room(**open_ends), system=feathering), "coat").need - plain
    not_stopped = line(order(room(**open_ends, edges=(stopped,)), system=feathering), "coat").need - plain
    assert all_of_it == pytest.approx(1.5 * 0.05 * 1.1)  # 1 mm × 100 mm ÷ 2 = 0.05 L/m
    assert not_stopped == pytest.approx(0.3 * 0.05 * 1.1)
    # room A as it is has none: its 1.5 m lie against the board of the sill
    assert line(order(room(), system=feathering), "coat").need == plain


def test_ends_in_corners_take_caulk_and_linings_a_sealing_of_their_own() -> None:
    def needs(caulk: PerMetre, sealant: PerMetre) -> tuple[float, float]:
        uses = tuple(
            msgspec.structs.replace(use, per_m={"caulk": caulk, "sealant": sealant}.get(use.id, use.per_m))
            for use in PLAIN.by_edge
        )
        kinds = {"open": 1.0, "against": 2.0, "corner": 4.0}
        made = order(
            room(coat_edge_m=7.0, coat_edge_by_kind_m=kinds), system=msgspec.structs.replace(PLAIN, by_edge=uses)
        )
        return line(made, "caulk").need, line(made, "sealant").need

    as_before = needs(PerMetre(wall_ceiling=20), PerMetre(frame_joint=30))
    # 18 m of wall to ceiling; 3.6 m at the window and 4.98 m at the door, all sealed alike
    assert as_before == pytest.approx((18 * 20, 8.58 * 30))
    # 4 m of ends in corners more; the door's lining at 10 ml/m, or at nothing
    assert needs(PerMetre(wall_ceiling=20, corner_end=5), PerMetre(frame_joint=30, lining_joint=10)) == pytest.approx(
        (18 * 20 + 4 * 5, 3.6 * 30 + 4.98 * 10)
    )
    assert needs(PerMetre(wall_ceiling=20), PerMetre(frame_joint=30, lining_joint=0))[1] == pytest.approx(3.6 * 30)


def test_curved_corner_takes_coil_and_is_never_cut_from_a_bar() -> None:
    arch = Edge("arch", "external", "opening", 2.5, 270.0, ("w", "r"), curved=True, bead="new")
    done = order(room(bead_pieces=(BeadPiece(2500.0, "square", "arch"),), edges=(arch,)))
    assert [(one.profile, one.kind, one.bars) for one in done.beads] == [("flexible", "coil", ())]
    assert "bead-profile-replaced" in codes(done)


def test_piece_says_in_words_where_it_goes_and_keeps_the_ids_of_its_edge() -> None:
    head = Edge("s0|w1.head", "external", "opening", 1.2, 270.0, ("s0", "w1.head"), bead="new")
    surfaces = (
        Surface("s0", "wall", "wall", "plasterboard", gross_m2=10.0, net_m2=10.0),
        Surface("w1.head", "reveal", "head", "plasterboard", gross_m2=0.18, net_m2=0.18),
    )
    piece = BeadPiece(1200.0, "square", "s0|w1.head")
    done = order(room(surfaces=surfaces, coated_m2=10.18, edges=(head,), bead_pieces=(piece,)))
    cut = done.beads[0].bars[0].cuts[0]
    assert cut.where == "Kitchen: opening, head"
    assert cut.at is not None
    assert (cut.at.edge, cut.at.kind) == ("s0|w1.head", "opening")


def test_piece_without_a_profile_gets_it_by_the_angle_of_its_corner() -> None:
    corner = Edge("corner", "external", "room", 2.4, 300.0, ("w", "v"), bead="new")
    done = order(room(bead_pieces=(BeadPiece(2400.0, "", "corner"),), edges=(corner,)))
    assert [one.profile for one in done.beads] == ["flexible"]
    assert "bead-profile-replaced" not in codes(done)


def test_profile_that_the_system_lacks_is_replaced_and_reported_once() -> None:
    done = order(room(bead_pieces=(BeadPiece(900.0, "oval", "x"), BeadPiece(800.0, "oval", "x"))))
    assert [one.profile for one in done.beads] == ["square"]
    assert codes(done).count("bead-profile-replaced") == 1


def test_system_without_bead_reports_each_corner_it_cannot_serve() -> None:
    done = order(room(), system=msgspec.structs.replace(PLAIN, beads=()))
    assert codes(done).count("bead-not-in-system") == 7


def test_joined_bead_is_reported_with_its_place() -> None:
    done = order(room(bead_pieces=(BeadPiece(3500.0, "square", "stair"),)))
    text = next(one.text for one in done.findings if one.code == "bead-joined")
    assert text == ("square bead at Kitchen: stair is longer than the longest bar: join 2 pieces.")


def test_many_joined_pieces_make_one_note() -> None:
    done = order(room(bead_pieces=(BeadPiece(3500.0, "square", "stair"),), times=30))
    texts = [one.text for one in done.findings if one.code == "bead-joined"]
    assert len(texts) == 1
    assert texts[0].startswith("30 runs of square bead")


def test_unknown_substrate_is_ordered_for_as_the_fallback_and_reported() -> None:
    wall = Surface("w", "wall", "wall", "straw", gross_m2=10.0, net_m2=10.0)
    done = order(room(surfaces=(wall,), coated_m2=10.0))
    assert line(done, "coat").need == pytest.approx(22.0)
    assert "unknown-substrate" in codes(done)


def test_surfaces_that_do_not_add_up_to_the_coated_area_are_an_error() -> None:
    assert "areas-do-not-close" in codes(order(room(coated_m2=60.0)))
    assert "areas-do-not-close" not in codes(order(room()))


def test_invented_figures_are_said_to_be_invented() -> None:
    assert "demo-system" in codes(order(room()))


def test_cost_is_unknown_when_one_price_is() -> None:
    unpriced = msgspec.structs.replace(
        PLAIN, base=msgspec.structs.replace(PLAIN.base, product=product("base", "L", 5, None))
    )
    done = order(room(), system=unpriced)
    assert line(done, "base").cost is None
    assert line(done, "coat").cost == Decimal(70)
    assert done.cost is None


@pytest.mark.parametrize("changed", [{"bead_m": float("nan")}, {"internal_corner_m": {"drop": float("inf")}}])
def test_figure_that_is_no_number_is_refused_with_room_and_name(changed: dict[str, object]) -> None:
    with pytest.raises(InputError, match=rf"Kitchen \({next(iter(changed))}\)"):
        order(room(**changed))


@pytest.mark.parametrize("system_id", available())
def test_every_line_holds_its_need_and_its_workings_add_up(system_id: str) -> None:
    done = order(room(), room(room="b", name="Hall", times=4), system=load(system_id))
    for one in done.lines:
        assert one.supplied >= one.need - 1e-9
        assert one.count > 0
        workings = [w.amount for w in done.workings if w.item == one.id]
        assert not workings or sum(workings) == pytest.approx(one.need)
    assert {w.item for w in done.workings} == {one.id for one in done.lines if "bead" not in one.id}

from service.tailoring.work.finishing import careful_heat
from service.tailoring.work.finishing_plans import GarmentToPress, finishing_plan


def pressed(garment="trousers", **make):
    [only] = finishing_plan((GarmentToPress(garment, **make),)).garments
    return only


def test_a_cloth_whose_fibre_is_not_known_is_pressed_by_its_care_label_and_pointed_out():
    plan = finishing_plan((GarmentToPress("trousers", cloth="wool"), GarmentToPress("trousers", cloth="navy")))
    [warning] = plan.warnings
    assert ("fibre_not_known", ("garments", 1)) == (warning.code, warning.at)
    assert {"most_c": careful_heat().most_c} == dict(warning.facts)


def test_a_share_that_is_not_known_leaves_the_whole_cloth_unknown():
    assert pressed(cloth="50 % wool 50 % moonlight", fibres=("wool",)).heat is None


def test_fronts_of_a_jacket_are_taken_for_fused_unless_they_are_not():
    assert "fused fronts" in pressed("jacket", fibres=("wool",)).heat.fibres
    assert ("wool",) == pressed("jacket", fibres=("wool",), fused=False).heat.fibres


def test_fused_fronts_say_nothing_of_a_cloth_that_is_not_known():
    assert pressed("jacket").heat is None


def test_only_trousers_have_creases():
    assert () == pressed("jacket", pleats=0).creases
    assert pressed(pleats=0).creases


def test_the_crease_of_a_flat_front_stops_below_the_band_and_that_of_a_pleat_runs_into_it():
    assert pressed(pleats=0).crease_below_band is not None
    assert pressed(pleats=1).crease_below_band is None


def test_a_lining_is_pressed_by_its_own_fibre():
    assert ("wool",) == pressed(fibres=("silk",), lining="wool").lining.fibres


def test_what_a_cloth_does_not_bear_is_not_among_its_steps():
    velvet = pressed("jacket", cloth="black velvet")
    assert not any("clap" in f"{step.words} {step.note}" for step in velvet.steps)
    silk = pressed(fibres=("silk",))
    assert not any("steam" in f"{step.words} {step.note}" for step in silk.steps)


def test_casual_cotton_has_no_crease_among_its_steps_unless_asked():
    for make in ({"casual": True}, {"cloth": "cotton chino"}):
        assert not any("crease" in step.words for step in pressed(**make).steps)
        assert not any("front crease" in rule for rule in pressed(**make).rules)
        asked = pressed(**make, crease=True, pleats=0)
        assert any("crease" in step.words for step in asked.steps)
        assert asked.crease_below_band is not None

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import lengths

from sheetcalc.errors import InputError, NotFound, NotReadable
from sheetcalc.trade.moisture import (
    board_movement,
    equilibrium_moisture,
    gap_needed,
    joint_space,
    movement_coefficient,
    readings_needed,
    ready_to_hang,
)
from sheetcalc.trade.tables import rows

SPECIES = [row["species"] for row in rows("wood_movement")]

widths = lengths(1, 600)
moistures = st.integers(40, 400).map(lambda tenths: tenths / 10)  # 4 to 40 %, as a meter reads
coefficients = st.sampled_from([0.00071, 0.00212, 0.00234, 0.00369])

VALID = {
    equilibrium_moisture: {"temperature": 68, "humidity": 50},
    board_movement: {"width": 10, "coefficient": 0.002, "moisture_now": 8, "moisture_later": 12},
    gap_needed: {"across": 120, "coefficient": 0.002, "moisture_now": 8, "moisture_later": 12},
    joint_space: {"face": 5, "coefficient": 0.002, "moisture_now": 8, "moisture_wettest": 12},
}


# --- equilibrium moisture ---


def test_equilibrium_moisture_at_the_ends():
    assert equilibrium_moisture(temperature=70, humidity=0) == 0
    assert 25 < equilibrium_moisture(temperature=70, humidity=100) < 30


@given(fahrenheit=st.integers(30, 210), humidity=st.integers(1, 99))
def test_equilibrium_moisture_rises_with_humidity(fahrenheit, humidity):
    drier = equilibrium_moisture(temperature=fahrenheit, humidity=humidity)
    assert 0 < drier < equilibrium_moisture(temperature=fahrenheit, humidity=humidity + 1)


@given(fahrenheit=st.integers(50, 209), humidity=st.integers(1, 90))
def test_equilibrium_moisture_falls_with_warmth(fahrenheit, humidity):
    cooler = equilibrium_moisture(temperature=fahrenheit, humidity=humidity)
    assert equilibrium_moisture(temperature=fahrenheit + 1, humidity=humidity) < cooler


@given(fahrenheit=st.floats(-4, 212), humidity=st.floats(1, 100))
def test_equilibrium_moisture_is_a_moisture_wherever_it_answers(fahrenheit, humidity):
    assert 0 < equilibrium_moisture(temperature=fahrenheit, humidity=humidity) < 30


@pytest.mark.parametrize("temperature", [-4, 212])
def test_equilibrium_moisture_takes_its_outermost_temperatures(temperature):
    assert equilibrium_moisture(temperature=temperature, humidity=50) > 0


@pytest.mark.parametrize("temperature", [-5, 213, -459.67, 1e9])
def test_equilibrium_moisture_refuses_other_temperatures_as_given(temperature):
    with pytest.raises(InputError, match="deep frost") as refused:
        equilibrium_moisture(temperature=temperature, humidity=50)
    assert (refused.value.argument, refused.value.value) == ("temperature", temperature)


@pytest.mark.parametrize("humidity", [0.5, 0.01, 0.99, -1, 100.5])
def test_a_share_is_no_humidity(humidity):
    with pytest.raises(InputError) as refused:
        equilibrium_moisture(temperature=70, humidity=humidity)
    assert refused.value.argument == "humidity"


# --- species ---


@pytest.mark.parametrize("species", SPECIES)
def test_every_species_is_found_by_its_letters_alone(species):
    typed = f" {species.upper().replace('-', ' ').replace(',', ' ')} 2 "
    for grain in ("flat", "quarter"):
        assert movement_coefficient(species=typed, grain=grain) == movement_coefficient(
            species=species, grain=grain
        )


@pytest.mark.parametrize(
    ("typed", "species"),
    [
        ("Western Red Cedar", "western redcedar"),
        ("WESTERN RED-CEDAR", "western redcedar"),
        ("northern white cedar", "northern white-cedar"),
        ("bald cypress", "baldcypress"),
        ("coast Douglas fir", "Douglas-fir, coast"),
        ("old-growth redwood", "redwood, old growth"),
        ("second-growth redwood", "redwood, second growth"),
        ("Young-growth redwood", "redwood, second growth"),
        ("yellow poplar", "yellow-poplar"),
        ("tulip poplar", "yellow-poplar"),
        ("Monterey pine", "radiata pine"),
    ],
)
def test_names_a_yard_uses(typed, species):
    assert movement_coefficient(species=typed, grain="quarter") == movement_coefficient(
        species=species, grain="quarter"
    )
    assert movement_coefficient(species=typed) == movement_coefficient(species=species)


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("redwood", "redwood, old growth; redwood, second growth"),
        ("poplar", "yellow-poplar"),
        ("cedar", "western redcedar; northern white-cedar; incense-cedar"),
        ("Douglas fir", "Douglas-fir, coast"),
        ("oak", "red oak; white oak"),
    ],
)
def test_a_name_of_several_woods_is_not_guessed(typed, offered):
    with pytest.raises(NotFound) as refused:
        movement_coefficient(species=typed)
    assert refused.value.rule == f"must be one wood: {offered}"


@pytest.mark.parametrize("typed", ["plastic", "teakwood", "12", "--"])
def test_a_wood_that_is_not_in_the_table(typed):
    with pytest.raises(NotFound, match="must be a wood of the table"):
        movement_coefficient(species=typed)


@pytest.mark.parametrize("typed", ["", " ", 12, None])
def test_a_species_is_text(typed):
    with pytest.raises(NotReadable) as refused:
        movement_coefficient(species=typed)
    assert refused.value.argument == "species"


def test_no_name_means_two_woods():
    names = [name for row in rows("wood_movement") for name in (row["species"], row["also"]) if name]
    letters = {"".join(filter(str.isalpha, name.casefold())) for name in names}
    assert len(letters) == len(names)


@pytest.mark.parametrize("grain", ["vertical", "", None, 1])
def test_another_grain_is_not_readable(grain):
    with pytest.raises(NotReadable, match="flat or quarter"):
        movement_coefficient(species="white fir", grain=grain)


def test_quarter_grain_moves_less_than_flat():
    for species in SPECIES:
        assert movement_coefficient(species=species, grain="quarter") < movement_coefficient(species=species)


# --- movement, gaps, spaces ---


def test_board_movement_is_positive_when_the_board_grows():
    assert board_movement(width=10, coefficient=0.002, moisture_now=8, moisture_later=12) == pytest.approx(
        0.08
    )
    assert board_movement(width=10, coefficient=0.002, moisture_now=12, moisture_later=8) == pytest.approx(
        -0.08
    )


def test_wetter_than_30_counts_as_30():
    wet = board_movement(width=10, coefficient=0.002, moisture_now=60, moisture_later=12)
    assert wet == board_movement(width=10, coefficient=0.002, moisture_now=30, moisture_later=12)
    assert board_movement(width=10, coefficient=0.002, moisture_now=35, moisture_later=200) == 0
    assert gap_needed(across=100, coefficient=0.002, moisture_now=10, moisture_later=50) == pytest.approx(2)
    assert joint_space(face=5, coefficient=0.002, moisture_now=10, moisture_wettest=50) == pytest.approx(0.2)


def test_gap_needed_is_half_the_growth_of_the_widest_reading():
    found = gap_needed(across=[119, None, 120, 118], coefficient=0.002, moisture_now=8, moisture_later=12)
    assert found == pytest.approx(0.48)
    assert found == gap_needed(across=120, coefficient=0.002, moisture_now=8, moisture_later=12)


@given(widths, coefficients, moistures, moistures)
def test_boards_that_dry_need_no_room(width, coefficient, wetter, drier):
    wetter, drier = max(wetter, drier), min(wetter, drier)
    assert gap_needed(across=width, coefficient=coefficient, moisture_now=wetter, moisture_later=drier) == 0
    assert joint_space(face=width, coefficient=coefficient, moisture_now=wetter, moisture_wettest=drier) == 0


@given(widths, coefficients, moistures, moistures)
def test_room_is_what_the_boards_grow(width, coefficient, now, later):
    growth = max(
        0, board_movement(width=width, coefficient=coefficient, moisture_now=now, moisture_later=later)
    )
    gap = gap_needed(across=width, coefficient=coefficient, moisture_now=now, moisture_later=later)
    assert 2 * gap == pytest.approx(growth)
    space = joint_space(face=width, coefficient=coefficient, moisture_now=now, moisture_wettest=later)
    assert space == pytest.approx(growth)


@given(widths, coefficients, moistures, moistures, moistures)
def test_movement_adds_up_over_the_seasons(width, coefficient, first, second, third):
    def moved(now, later):
        return board_movement(width=width, coefficient=coefficient, moisture_now=now, moisture_later=later)

    assert moved(first, second) + moved(second, third) == pytest.approx(moved(first, third), abs=1e-9)


@pytest.mark.parametrize("function", [board_movement, gap_needed, joint_space])
@pytest.mark.parametrize("coefficient", [0.0101, 0.234, -0.001])
def test_a_coefficient_in_per_cent_is_refused(function, coefficient):
    with pytest.raises(InputError) as refused:
        function(**{**VALID[function], "coefficient": coefficient})
    assert refused.value.argument == "coefficient"


@pytest.mark.parametrize("coefficient", [0, 0.01])
def test_the_ends_of_the_coefficient_are_taken(coefficient):
    moved = board_movement(width=10, coefficient=coefficient, moisture_now=8, moisture_later=12)
    assert moved == pytest.approx(40 * coefficient)


@pytest.mark.parametrize("function", [board_movement, gap_needed, joint_space])
@pytest.mark.parametrize("which", [2, 3])
@pytest.mark.parametrize("value", [0.12, 0.999, -1, math.nan])
def test_a_moisture_typed_as_a_share_is_refused_by_name(function, which, value):
    name = list(VALID[function])[which]
    with pytest.raises(InputError) as refused:
        function(**{**VALID[function], name: value})
    assert (refused.value.argument, name.startswith("moisture")) == (name, True)


@pytest.mark.parametrize("function", [board_movement, gap_needed, joint_space])
def test_bone_dry_and_one_per_cent_are_moistures(function):
    arguments = {**VALID[function], list(VALID[function])[2]: 0, list(VALID[function])[3]: 1}
    assert function(**arguments) > 0


@pytest.mark.parametrize(
    ("function", "name"), [(board_movement, "width"), (gap_needed, "across"), (joint_space, "face")]
)
@pytest.mark.parametrize("value", [0, -5])
def test_a_width_is_over_0_and_named(function, name, value):
    with pytest.raises(InputError) as refused:
        function(**{**VALID[function], name: value})
    assert refused.value.argument == name


@pytest.mark.parametrize("function", VALID)
def test_text_in_a_numbers_place_is_not_readable(function):
    for name in VALID[function].keys() - {"across"}:
        with pytest.raises(NotReadable) as refused:
            function(**{**VALID[function], name: "12"})
        assert refused.value.argument == name


# --- readings needed ---


@pytest.mark.parametrize(
    ("area", "options", "expected"),
    [
        (160, {}, 10),
        (250, {}, 10),
        (251, {}, 11),
        (1000, {}, 40),
        (1001, {}, 41),
        (160, {"at_least": 0}, 7),
        (160, {"at_least": 3, "per_1000": 100}, 16),
        (300, {"per_1000": 0}, 10),
        (0, {}, 0),
    ],
)
def test_readings_needed(area, options, expected):
    found = readings_needed(area=area, **options)
    assert (found, type(found)) == (expected, int)


def test_readings_needed_is_not_tipped_by_float_dust():
    assert readings_needed(area=0.1 * 3 * 1000, per_1000=40, at_least=0) == 12


@pytest.mark.parametrize(
    ("argument", "value"), [("area", -1), ("per_1000", -1), ("at_least", -1), ("at_least", 2.5)]
)
def test_readings_needed_names_the_argument(argument, value):
    with pytest.raises(InputError) as refused:
        readings_needed(**{"area": 160, argument: value})
    assert refused.value.argument == argument


# --- ready to hang ---


@pytest.mark.parametrize(
    ("readings", "options", "expected"),
    [
        ([12, 11, 13], {}, "ready"),
        ([12], {}, "ready"),
        ([12] * 10 + [18, 21], {}, "ready, set aside 2"),
        ([12] * 9 + [18] * 3, {}, "ready, set aside 3"),  # exactly a quarter
        ([12] * 8 + [18] * 4, {}, "wait: 4 of 12 at 18 or more"),
        ([12] * 7 + [18, 19, 20, 21, 22], {}, "wait: 5 of 12 at 18 or more"),
        ([12, 12, 18], {}, "wait: 1 of 3 at 18 or more"),  # a third
        ([19], {}, "wait: 1 of 1 at 18 or more"),
        ([17.999999999999] * 2, {}, "wait: 2 of 2 at 18 or more"),  # a float's dust under the limit
        ([16, 16.5], {"limit": 16.5}, "wait: 1 of 2 at 16.5 or more"),
        ([16, 17], {"limit": 16.25}, "wait: 1 of 2 at 16.3 or more"),
        ([12] * 3 + [25], {"target": 12}, "ready, set aside 1"),  # the wet board is not in the mean
        ([16, 16], {"target": 12}, "wait: mean 16, target 12 within 2"),
        ([8, 8.5], {"target": 12}, "wait: mean 8.3, target 12 within 2"),
        ([14, 14], {"target": 12}, "ready"),
        ([10, 10], {"target": 12}, "ready"),
        ([14.1, 14.1], {"target": 12}, "wait: mean 14.1, target 12 within 2"),
        ([15, 15], {"target": 12, "tolerance": 3}, "ready"),
        ([13, 13], {"target": 12, "tolerance": 0}, "wait: mean 13, target 12 within 0"),
        ([14, 14], {"target": 10.5, "tolerance": 1.5}, "wait: mean 14, target 10.5 within 1.5"),
        ([17] * 7 + [20], {"target": 12}, "wait: mean 17, target 12 within 2"),  # one reason only
        ([19, 19], {"target": 12}, "wait: 2 of 2 at 18 or more"),  # the limit first
    ],
)
def test_ready_to_hang(readings, options, expected):
    assert ready_to_hang(**{"readings": readings, "limit": 18, **options}) == expected


@pytest.mark.parametrize(("reading", "shown"), [(14.04, "14.1"), (9.96, "9.9")])
def test_a_reason_never_reads_as_if_it_did_not_hold(reading, shown):
    found = ready_to_hang(readings=[reading], limit=18, target=12)
    assert found == f"wait: mean {shown}, target 12 within 2"


def test_readings_of_one_tenth_steps_have_no_float_dust():
    assert ready_to_hang(readings=[14.1, 13.9, 14.0] * 3, limit=18, target=12) == "ready"


@given(st.lists(moistures, min_size=1, max_size=24), st.integers(14, 20), st.integers(8, 14), st.randoms())
def test_the_verdict_does_not_depend_on_order(readings, limit, target, random):
    shuffled = random.sample(readings, len(readings))
    verdict = ready_to_hang(readings=readings, limit=limit, target=target)
    assert ready_to_hang(readings=shuffled, limit=limit, target=target) == verdict


@given(st.lists(moistures, min_size=1, max_size=24), st.integers(14, 20))
def test_more_than_a_quarter_wet_waits_and_no_less(readings, limit):
    wet = sum(reading >= limit for reading in readings)
    verdict = ready_to_hang(readings=readings, limit=limit)
    if wet > len(readings) / 4:
        assert verdict == f"wait: {wet} of {len(readings)} at {limit} or more"
    else:
        assert verdict == (f"ready, set aside {wet}" if wet else "ready")


def test_no_reading_is_no_verdict():
    with pytest.raises(NotReadable) as refused:
        ready_to_hang(readings=[], limit=18)
    assert refused.value.argument == "readings"


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        *((argument, value) for argument in ("limit", "target", "tolerance") for value in (-1, math.inf)),
        ("limit", 0.18),
        ("target", 0.18),
    ],
)
def test_ready_to_hang_names_a_share(argument, value):
    with pytest.raises(InputError) as refused:
        ready_to_hang(**{"readings": [12, 13], "limit": 18, "target": 12, argument: value})
    assert refused.value.argument == argument


def test_ready_to_hang_takes_a_tolerance_of_half_a_percent():
    assert ready_to_hang(readings=[12.5], limit=18, target=12, tolerance=0.5) == "ready"
    assert ready_to_hang(readings=[12.6], limit=18, target=12, tolerance=0.5).startswith("wait")


@pytest.mark.parametrize("reading", [0.12, -1, math.nan])
def test_ready_to_hang_refuses_a_reading_typed_as_a_share(reading):
    with pytest.raises(InputError) as refused:
        ready_to_hang(readings=[12, reading], limit=18)
    assert (refused.value.argument, refused.value.rule[:4]) == ("readings", "must")


@pytest.mark.parametrize("reading", ["12", None])
def test_a_reading_is_a_number(reading):
    with pytest.raises(NotReadable):
        ready_to_hang(readings=[12, reading], limit=18)

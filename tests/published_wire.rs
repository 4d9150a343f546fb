//! Wire sizes, resistance, voltage drop and temperature against published tables and worked examples.
//!
//! Each check names its source. "Read" means that the numbers were read in a copy of the source's text; "derived" that they
//! were calculated from stated inputs; "memory" that they were not seen in a copy.

use pinchpoint::{
    circuit::{
        ConductorSize, Wire,
        material::{COPPER, Material, voltage_drop},
        stock,
        wire::{at_temperature, awg_diameter_mm},
    },
    quantity::{
        Metres, Ohms, SquareMillimetres, Unit, typed_number,
        units::{
            amperes, as_metres, as_milliamperes, as_ohms, as_square_millimetres, as_volts, metres,
            ohms, square_millimetres, volts,
        },
    },
};

fn near(got: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{what}: {got} is not {expected} ± {tolerance}"
    );
}

fn wire(size: ConductorSize, length: Metres) -> Wire {
    let ends = ["M1.feed", "SP1"].map(|text| text.parse().expect("a point"));
    let [from, to] = ends;
    Wire {
        size,
        length: Some(length),
        ..stock::wire("W1", from, to)
    }
}

fn feet(number: f64) -> Metres {
    metres(typed_number(&format!("{number} ft"), Unit::Metres).expect("a length"))
}

/// One circular mil is a circle of 1/1000 inch.
fn circular_mils(number: f64) -> SquareMillimetres {
    square_millimetres(number * std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254)
}

/// A material by its ohms per circular mil and foot.
fn per_circular_mil_foot(number: f64, coefficient: f64) -> Material {
    Material {
        resistivity: number * as_square_millimetres(circular_mils(1.0)) / as_metres(feet(1.0)),
        coefficient,
    }
}

/// 10 to 24 AWG. Diameters in inch: Lessons in Electric Circuits I, chapter 12 (read). Ohms per 1000 ft: a published wire
/// table equal to NBS Circular 31 (read for 12 to 20 and 22 to 24; 10, 11 and 21 from memory). The rest is derived from
/// 1/58 Ω·mm²/m (IEC 60028, read in summaries) and ASTM B258 (memory).
const AWG: [(i8, f64, f64, f64, f64, f64, f64); 15] = [
    (10, 0.1019, 2.5882, 5.2612, 10383.0, 0.9989, 3.277),
    (11, 0.09074, 2.3048, 4.1723, 8234.1, 1.2595, 4.132),
    (12, 0.08081, 2.0525, 3.3088, 6529.9, 1.5883, 5.211),
    (13, 0.07196, 1.8278, 2.6240, 5178.5, 2.0028, 6.571),
    (14, 0.06408, 1.6277, 2.0809, 4106.7, 2.5254, 8.286),
    (15, 0.05707, 1.4495, 1.6502, 3256.8, 3.1845, 10.448),
    (16, 0.05082, 1.2908, 1.3087, 2582.7, 4.0156, 13.174),
    (17, 0.04526, 1.1495, 1.0378, 2048.2, 5.0636, 16.613),
    (18, 0.04030, 1.0237, 0.8230, 1624.3, 6.3850, 20.948),
    (19, 0.03589, 0.9116, 0.6527, 1288.1, 8.0514, 26.415),
    (20, 0.03196, 0.8118, 0.5176, 1021.5, 10.1526, 33.309),
    (21, 0.02846, 0.7229, 0.4105, 810.1, 12.8022, 42.002),
    (22, 0.02535, 0.6438, 0.3255, 642.4, 16.1432, 52.963),
    (23, 0.02257, 0.5733, 0.2582, 509.5, 20.3562, 66.786),
    (24, 0.02010, 0.5106, 0.2047, 404.0, 25.6688, 84.215),
];

#[test]
fn gauges_have_the_published_sizes_and_resistances() {
    // The published table for 12 to 20 and 22 to 24, to four digits as it is printed.
    let printed = [
        1.588,
        2.003,
        2.525,
        3.184,
        4.016,
        5.064,
        6.385,
        8.051,
        10.15,
        f64::NAN,
        16.14,
        20.36,
        25.67,
    ];
    for (gauge, inch, mm, mm2, cmil, per_1000_ft, per_km) in AWG {
        let what = format!("{gauge} AWG");
        let size = ConductorSize::Awg(gauge);
        near(awg_diameter_mm(gauge) / 25.4, inch, 0.000_05, &what);
        near(awg_diameter_mm(gauge), mm, 0.000_06, &what);
        let area = as_square_millimetres(size.area());
        near(area, mm2, 0.000_06, &what);
        near(
            area / as_square_millimetres(circular_mils(1.0)),
            cmil,
            0.06 + 5e-5 * cmil,
            &what,
        );
        let foot_table = as_ohms(wire(size, feet(1000.0)).resistance());
        near(foot_table, per_1000_ft, 5e-4 * per_1000_ft, &what);
        near(
            as_ohms(wire(size, metres(1000.0)).resistance()),
            per_km,
            5e-4 * per_km,
            &what,
        );
        if let Some(printed) = usize::try_from(gauge - 12)
            .ok()
            .and_then(|at| printed.get(at))
            && printed.is_finite()
        {
            near(foot_table, *printed, 5e-4 * printed, &what);
        }
    }
}

/// FAA AC 43.13-1B CHG 1, table 11-9 (read): the most that stranded tin-plated aircraft copper may have, ohms per 1000 ft
/// at 20 °C. Solid copper of the same gauge has less.
#[test]
fn solid_copper_stays_below_the_limits_for_aircraft_wire() {
    for (gauge, limit) in [
        (24, 28.40),
        (22, 16.20),
        (20, 9.88),
        (18, 6.23),
        (16, 4.81),
        (14, 3.06),
        (12, 2.02),
        (10, 1.26),
        (8, 0.70),
        (6, 0.44),
        (4, 0.28),
        (2, 0.18),
        (1, 0.15),
        (0, 0.12),
        (-1, 0.09),
        (-2, 0.07),
        (-3, 0.06),
    ] {
        let resistance = as_ohms(wire(ConductorSize::Awg(gauge), feet(1000.0)).resistance());
        // Aircraft 22, 20 and 18 have more copper than the gauge: 755, 1216 and 1900 circular mils in the same table.
        let more_copper = match gauge {
            22 => 755.0 / 642.4,
            20 => 1216.0 / 1021.5,
            18 => 1900.0 / 1624.3,
            _ => 1.0,
        };
        assert!(
            resistance / more_copper < limit,
            "{gauge} AWG: {resistance} against {limit}"
        );
        assert!(
            resistance / more_copper > 0.7 * limit,
            "{gauge} AWG: {resistance} against {limit}"
        );
    }
}

/// IEC 60228, most ohms per km at 20 °C for plain copper (read, three tables agree), classes 1 and 2, then 5 and 6. Copper of
/// 1/58 Ω·mm²/m and nominal section stays below, by no more than the lay of the strands and the tolerances explain.
#[test]
fn copper_of_nominal_section_stays_below_the_limits_of_iec_60228() {
    for (mm2, solid, flexible) in [
        (0.5, 36.0, 39.0),
        (0.75, 24.5, 26.0),
        (1.0, 18.1, 19.5),
        (1.5, 12.1, 13.3),
        (2.5, 7.41, 7.98),
        (4.0, 4.61, 4.95),
        (6.0, 3.08, 3.30),
        (10.0, 1.83, 1.91),
    ] {
        let size = ConductorSize::SquareMillimetres(square_millimetres(mm2));
        let resistance = as_ohms(wire(size, metres(1000.0)).resistance());
        for limit in [solid, flexible] {
            let share = resistance / limit;
            assert!(
                (0.86..1.0).contains(&share),
                "{mm2} mm²: {resistance} against {limit}"
            );
        }
    }
}

/// FAA AC 43.13-1B CHG 1, tables 11-7 and 11-8 (read): volts lost by 20 A over some feet of wire with some ohms per foot.
/// The row that prints 0.366 V for 19.5 ft of 0.00126 Ω/ft is a misprint (0.491 V) and is left out.
#[test]
fn voltage_drops_are_those_of_the_aircraft_handbook() {
    for (id, ohm_per_foot, length, printed, tolerance) in [
        ("F1", 0.000_44, 107.0, 0.942, 0.0005),
        ("F2", 0.000_28, 90.0, 0.504, 0.0005),
        ("F3, printed rounded up", 0.002_02, 88.0, 3.60, 0.05),
        ("F4", 0.003_06, 100.0, 6.12, 0.005),
        ("F5", 0.001_26, 39.0, 0.98, 0.005),
        ("F7", 0.001_26, 156.0, 3.93, 0.005),
        ("F8", 0.001_26, 273.0, 6.88, 0.005),
    ] {
        let table = Material {
            resistivity: ohm_per_foot / as_metres(feet(1.0)),
            coefficient: 0.0,
        };
        let resistance = table.resistance(feet(length), square_millimetres(1.0));
        near(
            as_volts(voltage_drop(resistance, amperes(20.0))),
            printed,
            tolerance,
            id,
        );
    }
}

/// Shortening of a run for a hot wire, L2 = 254.5·L1/(234.5 + t): FAA AC 43.13-1B p. 11-22 (formula read, ratios derived).
/// 234.5 °C is 1/0.00393 − 20 rounded, hence the tolerance.
#[test]
fn hot_copper_agrees_with_the_handbook_s_shortening_of_runs() {
    for (celsius, ratio) in [(62.0, 0.858_347), (85.0, 0.796_557), (105.0, 0.749_632)] {
        near(
            1.0 / as_ohms(at_temperature(ohms(1.0), celsius)),
            ratio,
            1e-4,
            &format!("{celsius} °C"),
        );
    }
}

/// Lessons in Electric Circuits I, chapter 12 (read): two wires of 15 Ω at 20 °C feed 250 Ω from 14 V; α = 0.004041.
#[test]
fn a_warm_circuit_is_that_of_the_textbook() {
    let copper = Material {
        coefficient: 0.004_041,
        ..COPPER
    };
    for (celsius, wire_ohm, total_ohm, ma, drop, load) in [
        (20.0, 15.0, 280.0, 50.0, 0.75, 12.5),
        (35.0, 15.909, 281.82, 49.677, 0.79, 12.42),
    ] {
        let one_way = copper.at_temperature(ohms(15.0), celsius);
        near(as_ohms(one_way), wire_ohm, 0.0005, "T1");
        let total = one_way + one_way + ohms(250.0);
        near(as_ohms(total), total_ohm, 0.005, "T3");
        let current = volts(14.0) / total;
        near(as_milliamperes(current), ma, 0.0005, "T2, T3");
        near(
            as_volts(voltage_drop(one_way, current)),
            drop,
            0.005,
            "T2, T3",
        );
        near(
            as_volts(voltage_drop(ohms(250.0), current)),
            load,
            0.005,
            "T2, T3",
        );
    }
}

/// Where a rising function crosses zero, by halving.
fn crossing(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    low
}

/// OpenStax, University Physics 2, chapter 9, module m58731 (read).
#[test]
fn temperature_problems_have_the_textbook_s_answers() {
    let material = |coefficient| Material {
        coefficient,
        ..COPPER
    };
    let doubling = crossing(20.0, 1000.0, |t| {
        as_ohms(material(0.0039).at_temperature(ohms(1.0), t)) - 2.0
    });
    near(doubling, 276.4, 0.05, "T4: copper has twice the resistance");
    let copper = |t| as_ohms(material(0.0039).at_temperature(ohms(0.500), t));
    let iron = |t| as_ohms(material(0.0065).at_temperature(ohms(0.525), t));
    near(
        crossing(-50.0, 50.0, |t| iron(t) - copper(t)),
        2.91,
        0.02,
        "T5: iron and copper are equal",
    );
    let tungsten = material(4.5e-3).at_temperature(ohms(0.350), 20.0 + 2830.0);
    near(as_ohms(tungsten), 4.8, 0.05, "T7");
}

/// OpenStax, University Physics 2, chapter 9, module m58731 (read).
#[test]
fn resistances_from_resistivity_are_the_textbook_s() {
    let circle = |diameter_mm: f64| {
        square_millimetres(std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm)
    };
    let gold = Material {
        resistivity: 2.44e-2,
        coefficient: 0.0034,
    };
    let gold_wire = gold.resistance(metres(25.0), circle(0.100));
    near(
        as_ohms(gold_wire),
        77.7,
        0.2,
        "T6: three digits of the resistivity",
    );
    near(
        as_ohms(gold.at_temperature(ohms(77.7), 150.0)),
        112.0,
        0.5,
        "T6",
    );
    let copper = Material {
        resistivity: 1.68e-2,
        coefficient: 0.0039,
    };
    near(
        as_ohms(copper.resistance(metres(5.0), square_millimetres(3.31))),
        0.025,
        0.0005,
        "T8",
    );
    near(
        as_ohms(copper.resistance(metres(20.0), circle(2.053))),
        0.10,
        0.005,
        "T9",
    );
    // The same wires by their gauge, of standard copper: 12 AWG in both examples; 2.6 % lie between the two resistivities.
    near(
        as_ohms(wire(ConductorSize::Awg(12), metres(20.0)).resistance()),
        0.1015,
        0.003,
        "T9 by gauge",
    );
}

/// Derived: half a square millimetre of IEC 60028 copper, one metre, at 20 and 85 °C; and an ohmic limit of 37.1 mΩ/m at 85 °C.
#[test]
fn a_metre_of_loom_wire_warms_as_calculated() {
    let metre = wire(
        ConductorSize::SquareMillimetres(square_millimetres(0.5)),
        metres(1.0),
    );
    let milli = |resistance: Ohms| 1000.0 * as_ohms(resistance);
    near(milli(metre.resistance()), 34.483, 0.0005, "T11");
    near(
        milli(at_temperature(metre.resistance(), 85.0)),
        43.291,
        0.0015,
        "T11",
    );
    near(
        milli(at_temperature(ohms(0.0371), 85.0)),
        46.577,
        0.0005,
        "T11",
    );
    near(
        1000.0 * as_volts(metre.voltage_drop(amperes(0.1))),
        3.4483,
        0.000_05,
        "100 mA over a metre",
    );
}

/// Lessons in Electric Circuits I, chapter 12 (read), with its resistivity of 10.09 Ω·cmil/ft.
#[test]
fn sizing_a_long_run_is_that_of_the_textbook() {
    let copper = per_circular_mil_foot(10.09, 0.004_041);
    near(
        per_circular_mil_foot(1.0, 0.0).resistivity,
        1.662_43e-3,
        2e-8,
        "C6: 1 Ω·cmil/ft",
    );
    let run = feet(2300.0);
    let needed = copper.area_for(run, ohms(0.2));
    near(
        as_square_millimetres(needed) / as_square_millimetres(circular_mils(1.0)),
        116_035.0,
        0.5,
        "S1",
    );
    let of_gauge = |gauge| as_ohms(copper.resistance(run, ConductorSize::Awg(gauge).area()));
    assert!(
        of_gauge(-1) <= 0.2 && of_gauge(0) > 0.2,
        "S1: 2/0 is thick enough, 1/0 is not"
    );
    let one_way = copper.resistance(run, circular_mils(4107.0));
    near(as_ohms(one_way), 5.651, 0.0005, "S2");
    near(as_ohms(one_way + one_way), 11.301, 0.0005, "S2");
    let short = volts(230.0) / (one_way + one_way);
    near(
        as_milliamperes(short) / 1000.0,
        20.352,
        0.0005,
        "S2: into a dead short",
    );
}

//! Typed and shown numbers: what is understood, what is refused, and that both ways agree. What is
//! typed is common practice, no source; prefixes are those of the SI.

use pinchpoint::quantity::{
    Typed, TypedError, Unit,
    format::{as_noted, as_read, clock, interval, minutes, percent, si},
    typed, typed_number,
};
use proptest::prelude::*;

fn check(unit: Unit, cases: &[(&str, Typed)]) {
    for (text, expected) in cases {
        assert_eq!(typed(text, unit), Ok(*expected), "{text}");
    }
}

#[test]
fn what_technicians_type_is_understood() {
    use Typed::{Between, Number, OverRange};
    check(
        Unit::Volts,
        &[
            ("0.8", Number(0.8)),
            (".8", Number(0.8)),
            ("5.", Number(5.0)),
            ("820m", Number(0.82)),
            ("640 mV", Number(0.64)),
            ("640 millivolts", Number(0.64)),
            ("12,03", Number(12.03)),
            ("1.2 V", Number(1.2)),
            ("1.2vdc", Number(1.2)),
            ("3V3", Number(3.3)),
            ("-0.02", Number(-0.02)),
            ("−0.02", Number(-0.02)),
            ("- 20 mV", Number(-0.02)),
            ("250 uV", Number(0.000_25)),
            ("250 µV", Number(0.000_25)),
            ("1e-3", Number(0.001)),
            ("OL", OverRange),
            ("ol", OverRange),
            ("0L", OverRange),
            ("O.L V", OverRange),
            ("0.4..0.6", Between(0.4, 0.6)),
            ("0.6 .. 0.4", Between(0.4, 0.6)),
            ("0,4…0,6", Between(0.4, 0.6)),
            ("400..600 mV", Between(0.4, 0.6)),
            ("400 mV to 0.6 V", Between(0.4, 0.6)),
            ("0.4V..0.6", Between(0.4, 0.6)),
            ("0.4-0.6", Between(0.4, 0.6)),
            ("-0.1 - -0.05", Between(-0.1, -0.05)),
            ("1e-3-2e-3", Between(0.001, 0.002)),
        ],
    );
    check(
        Unit::Ohms,
        &[
            ("4k7", Number(4700.0)),
            ("4K7", Number(4700.0)),
            ("4k7Ω", Number(4700.0)),
            ("4.7kΩ", Number(4700.0)),
            ("4.7 k\u{2126}", Number(4700.0)),
            ("4.7 kohms", Number(4700.0)),
            ("3R3", Number(3.3)),
            ("47R", Number(47.0)),
            ("2M2", Number(2.2e6)),
            ("10 M", Number(1e7)),
            ("5 mΩ", Number(0.005)),
            ("1 300", Number(1300.0)),
            ("1\u{a0}300", Number(1300.0)),
            ("1'300.5", Number(1300.5)),
            ("12 345 678", Number(12_345_678.0)),
            ("OL MΩ", OverRange),
        ],
    );
    check(
        Unit::Amperes,
        &[
            ("120 mA", Number(0.12)),
            ("120m", Number(0.12)),
            ("1.5 amps", Number(1.5)),
        ],
    );
    check(
        Unit::Metres,
        &[
            ("1.2m", Number(1.2)),
            ("80 cm", Number(0.8)),
            ("10 ft", Number(3.048)),
        ],
    );
    check(
        Unit::Minutes,
        &[("8", Number(8.0)), ("1.5 h", Number(90.0))],
    );
}

#[test]
fn what_is_not_clear_is_refused_with_the_reason() {
    let refused = |text: &str, unit| typed(text, unit).unwrap_err();
    assert_eq!(refused("  ", Unit::Volts), TypedError::Empty(Unit::Volts));
    for text in [
        "NaN", "inf", "-inf", "infinity", "volts", "-", ".", ",", "--1", "4+4x",
    ] {
        let error = refused(text, Unit::Volts);
        assert!(
            matches!(
                error,
                TypedError::NotANumber { .. }
                    | TypedError::UnknownUnit { .. }
                    | TypedError::Interval(_)
            ),
            "{text}: {error}"
        );
    }
    for text in ["1.234,5", "1,234.5", "1.2.3", "1,234,567", "4.7k5"] {
        let error = refused(text, Unit::Ohms);
        assert!(
            matches!(error, TypedError::Separators(_)),
            "{text}: {error}"
        );
        assert!(error.to_string().contains(text), "{error}");
    }
    for text in ["12 03", "1 3000", "1234 567", "0.000 1"] {
        assert!(
            matches!(refused(text, Unit::Ohms), TypedError::Grouping(_)),
            "{text}"
        );
    }
    for text in ["1e400", "-1e400", "1e13", "1e-400", "1e12k"] {
        assert!(
            matches!(refused(text, Unit::Ohms), TypedError::OutOfRange { .. }),
            "{text}"
        );
    }
    for (text, unit, found) in [
        ("1.2 V", Unit::Ohms, Unit::Volts),
        ("4.7kΩ", Unit::Volts, Unit::Ohms),
        ("4R7", Unit::Volts, Unit::Ohms),
        ("120 mA", Unit::Volts, Unit::Amperes),
        ("8 min", Unit::Metres, Unit::Minutes),
        ("4k7V", Unit::Ohms, Unit::Volts),
    ] {
        match refused(text, unit) {
            TypedError::WrongUnit {
                found: f, wanted, ..
            } => assert_eq!((f, wanted), (found, unit), "{text}"),
            other => panic!("{text}: {other}"),
        }
    }
    assert_eq!(
        refused("820 MV", Unit::Volts),
        TypedError::Mega("820 MV".into())
    );
    assert!(matches!(
        refused("12 furlong", Unit::Metres),
        TypedError::UnknownUnit { .. }
    ));
    for text in ["0.4..", "..0.6", "0.4..OL", "400m..600"] {
        assert!(
            matches!(refused(text, Unit::Volts), TypedError::Interval(_)),
            "{text}"
        );
    }
    assert!(typed_number("0.4..0.6", Unit::Volts).is_err());
}

#[test]
fn numbers_are_shown_as_a_meter_shows_them() {
    for (value, unit, expected) in [
        (0.0, Unit::Volts, "0.00 V"),
        (-0.0, Unit::Volts, "0.00 V"),
        (-0.0204, Unit::Volts, "-20.4 mV"),
        (0.000_25, Unit::Volts, "250 µV"),
        (11.97, Unit::Volts, "12.0 V"),
        (0.35, Unit::Ohms, "0.35 Ω"),
        (0.005, Unit::Ohms, "5.00 mΩ"),
        (47.25, Unit::Ohms, "47.2 Ω"),
        (999.7, Unit::Ohms, "1.00 kΩ"),
        (1e7, Unit::Ohms, "10.0 MΩ"),
        (f64::INFINITY, Unit::Ohms, "OL Ω"),
        (f64::NAN, Unit::Ohms, "no value"),
        (3.4, Unit::Metres, "3.40 m"),
        (19.93, Unit::Metres, "19.9 m"),
        (14.0, Unit::Minutes, "14 min"),
    ] {
        assert_eq!(si(value, unit), expected, "{value}");
    }
    assert_eq!(as_read(12.03, Unit::Volts), "12.03 V");
    assert_eq!(as_read(-0.0, Unit::Volts), "0 V");
    assert_eq!(as_read(0.1234, Unit::Amperes), "123.4 mA");
    assert_eq!(interval(640e-6, 820e-6, Unit::Amperes), "640 to 820 µA");
    assert_eq!(minutes(119.6), "2 h 00");
    assert_eq!(minutes(0.0), "0 min");
    assert_eq!(minutes(59.7), "1 h 00");
}

/// What is expected is the decimal itself, as the compiler or the standard library reads it.
#[test]
fn a_number_typed_with_a_prefix_is_the_nearest_double_of_its_decimal() {
    for (text, unit, expected) in [
        ("4.2m", Unit::Volts, 0.0042),
        ("4,2 mV", Unit::Volts, 0.0042),
        ("8.3 uV", Unit::Volts, 0.000_008_3),
        ("1.1k", Unit::Ohms, 1100.0),
        ("4k7", Unit::Ohms, 4700.0),
        ("0.0000011M", Unit::Ohms, 1.1),
        ("1.1e3m", Unit::Volts, 1.1),
        ("4.35 mm", Unit::Metres, 0.004_35),
        ("3 ft", Unit::Metres, 0.9144),
        ("1.1 in", Unit::Metres, 0.027_94),
        ("0.7 h", Unit::Minutes, 42.0),
        ("4.2..8.3m", Unit::Volts, 0.0042),
    ] {
        let read = match typed(text, unit) {
            Ok(Typed::Number(value) | Typed::Between(value, _)) => value,
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(read, expected, "{text}");
    }
    for tenths in 1..20_000u32 {
        let digits = format!("{}.{}", tenths / 10, tenths % 10);
        for (prefix, power) in [("m", -3), ("µ", -6), ("k", 3), ("M", 6)] {
            let expected: f64 = format!("{digits}e{power}").parse().expect("a decimal");
            let text = format!("{digits}{prefix}");
            assert_eq!(typed_number(&text, Unit::Ohms), Ok(expected), "{text}");
            let comma = text.replace('.', ",");
            assert_eq!(typed_number(&comma, Unit::Ohms), Ok(expected), "{comma}");
        }
    }
}

/// No source: whatever a file holds has to fit its place.
#[test]
fn what_is_beyond_all_measure_is_shown_as_a_power_of_ten() {
    for value in [
        1e308,
        -1e308,
        2.5e12,
        f64::MAX,
        f64::MIN_POSITIVE,
        -1e-300,
        5e-324,
    ] {
        for unit in [
            Unit::Volts,
            Unit::Ohms,
            Unit::Amperes,
            Unit::Metres,
            Unit::Minutes,
        ] {
            for text in [
                si(value, unit),
                as_read(value, unit),
                as_noted(value, Some(0.01), unit),
                interval(value, 2.0 * value, unit),
                minutes(value),
                clock(value),
                percent(value),
            ] {
                assert!(text.chars().count() < 30, "{value}: {text}");
            }
        }
    }
    assert_eq!(si(1e308, Unit::Volts), "1.00e308 V");
    assert_eq!(as_noted(1e308, Some(0.01), Unit::Volts), "1e308 V");
    assert_eq!(clock(1e308), "1.00e308 min");
}

proptest! {
    #[test]
    fn typing_what_is_shown_gives_the_value_back(
        digits in 1.0..10.0f64,
        exponent in -5..8i32,
        negative: bool,
        unit in prop_oneof![Just(Unit::Volts), Just(Unit::Ohms), Just(Unit::Amperes)],
    ) {
        let value = digits * 10f64.powi(exponent) * if negative { -1.0 } else { 1.0 };
        // Mega is refused for volts and amperes: nobody reads megavolts on a vehicle.
        prop_assume!(unit == Unit::Ohms || value.abs() < 9e5);
        let Typed::Number(back) = typed(&si(value, unit), unit).unwrap() else { panic!("no number") };
        // Three digits are half a percent at worst; ohms show steps of 0.01 Ω below 1 Ω and of 0.1 Ω below 10 Ω.
        let step = match value.abs() {
            ohms if unit == Unit::Ohms && (0.0999..0.9951).contains(&ohms) => 0.005,
            ohms if unit == Unit::Ohms && (0.9949..10.1).contains(&ohms) => 0.05,
            _ => 0.0,
        };
        prop_assert!((back - value).abs() <= 0.0051 * value.abs() + step, "{}", si(value, unit));
        let Typed::Number(back) = typed(&as_read(value, unit), unit).unwrap() else { panic!("no number") };
        prop_assert!((back - value).abs() <= 1e-9 * value.abs());
    }

    #[test]
    fn shown_intervals_can_be_typed(low in 0.0..50.0f64, width in 0.5..50.0f64) {
        let text = interval(low, low + width, Unit::Ohms);
        let Typed::Between(a, b) = typed(&text, Unit::Ohms).unwrap() else { panic!("{text}") };
        prop_assert!((a - low).abs() <= 0.051 && (b - low - width).abs() <= 0.051 + 0.005 * b);
    }

    #[test]
    fn no_text_panics_or_yields_a_number_that_is_none(text in "\\PC{0,40}") {
        for unit in [Unit::Volts, Unit::Ohms, Unit::Amperes, Unit::Metres, Unit::Minutes] {
            match typed(&text, unit) {
                Ok(Typed::Number(x)) => prop_assert!(x.is_finite()),
                Ok(Typed::Between(a, b)) => prop_assert!(a <= b && b.is_finite() && a.is_finite()),
                Ok(Typed::OverRange) => {}
                Err(error) => prop_assert!(error.to_string().chars().count() < 300),
            }
        }
    }

    #[test]
    fn near_numbers_never_panic(text in "[-+]?[0-9.,' ]{0,8}[kmMRVAΩµeEoOlL]{0,3}[-. 0-9]{0,6}[kmVAΩ]{0,2}") {
        for unit in [Unit::Volts, Unit::Ohms, Unit::Amperes] {
            if let Ok(Typed::Number(x)) = typed(&text, unit) {
                prop_assert!(x.abs() <= 1e12);
            }
        }
    }

    #[test]
    fn probabilities_are_never_shown_as_certain(p in 0.0..=1.0f64) {
        let text = percent(p);
        prop_assert!(text != "0 %" && text != "100 %");
    }
}

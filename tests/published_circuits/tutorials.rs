//! Loaded dividers of training texts, and the rule of what a meter takes away from its reading.

use crate::published::{
    Ask::{Amps, Drop, Sees, Volts},
    Part, Provenance, Published, check, current, emf, exact, printed, r, within,
};

#[test]
fn a_bleeder_divider_with_two_loads() {
    check(&[Published {
        id: "N1",
        source: "NEETS Module 1, practical application of voltage dividers, as copied on a web page",
        provenance: Provenance::Read,
        parts: vec![
            // R3 of 75 ohm: one resistor of 50 ohm in series with two of them in parallel.
            emf("R3 single", "0", "x", 190.5, 50.0),
            r("R3 one", "x", "165 V", 50.0),
            r("R3 two", "x", "165 V", 50.0),
            r("R2", "165 V", "45 V", 500.0),
            r("R1", "45 V", "0", 1500.0),
            current("load 1", "45 V", "0", 0.210),
            current("load 2", "165 V", "0", 0.100),
        ],
        expect: vec![
            (Volts("45 V", "0"), exact(45.0)),
            (Volts("165 V", "0"), exact(165.0)),
            (Amps("R1"), exact(0.030)),
            (Drop("R2"), exact(120.0)),
            (Amps("R2"), exact(0.240)),
            (Amps("R3 single"), exact(0.340)),
            // Two thirds of the 25.5 V fall over the single one.
            (Drop("R3 single"), exact(25.5 * 2.0 / 3.0)),
            (Drop("R3 one"), exact(25.5 / 3.0)),
        ],
    }]);
}

#[test]
fn a_divider_with_and_without_its_load() {
    let parts = |load: Option<f64>| -> Vec<Part> {
        let mut parts = vec![
            emf("R1", "0", "out", 12.0, 220.0),
            r("R2", "out", "0", 470.0),
        ];
        parts.extend(load.map(|ohms| r("load", "out", "0", ohms)));
        parts
    };
    let source = "a web tutorial on electrical principles, number 7";
    check(&[
        Published {
            id: "J1",
            source,
            provenance: Provenance::Read,
            parts: parts(None),
            expect: vec![(Volts("out", "0"), printed("8.17"))],
        },
        // The tutorial goes on with a rounded 150 || 470; unrounded it is 4.089 V.
        Published {
            id: "J1 loaded",
            source,
            provenance: Provenance::Read,
            parts: parts(Some(150.0)),
            expect: vec![(Volts("out", "0"), within(4.10, 0.02))],
        },
    ]);
}

/// A meter of 1000 ohm per volt across half of a divider. The source prints "5000-ohm"; its own results need 50 k,
/// and 120 V and 70 k were found by solving for them.
#[test]
fn a_low_resistance_meter_changes_what_it_reads() {
    let parts = |range: Option<f64>| -> Vec<Part> {
        let mut parts = vec![
            emf("R1", "0", "out", 120.0, 70e3),
            r("R2", "out", "0", 50e3),
        ];
        parts.extend(range.map(|volts| r("meter", "out", "0", 1000.0 * volts)));
        parts
    };
    let source = "US Army subcourse SS0602, page 18";
    check(&[
        Published {
            id: "A1 unloaded",
            source,
            provenance: Provenance::Read,
            parts: parts(None),
            expect: vec![(Volts("out", "0"), exact(50.0))],
        },
        Published {
            id: "A1 on the 100 V range",
            source,
            provenance: Provenance::Read,
            parts: parts(Some(100.0)),
            expect: vec![
                (Sees(&["R1"]), printed("103333")),
                (Amps("R1"), printed("1.16e-3")),
                // Printed from the rounded current.
                (Volts("out", "0"), within(38.8, 0.1)),
            ],
        },
        Published {
            id: "A1 on the 500 V range",
            source,
            provenance: Provenance::Read,
            parts: parts(Some(500.0)),
            expect: vec![(Volts("out", "0"), within(47.2, 0.1))],
        },
    ]);
}

/// Calculated: the reading is low by the fraction Rth / (Rth + Rm). 200 k is 20 k per volt on a 10 V range.
#[test]
fn a_meter_reads_low_by_its_share_of_the_loop() {
    let loaded = |id, meter: f64, expected| Published {
        id,
        source: "divider rule, written out by hand",
        provenance: Provenance::Derived,
        parts: vec![
            emf("source", "0", "out", 5.0, 100e3),
            r("meter", "out", "0", meter),
        ],
        expect: vec![
            (Volts("out", "0"), printed(expected)),
            (
                Volts("out", "0"),
                exact(5.0 * (1.0 - 100e3 / (100e3 + meter))),
            ),
        ],
    };
    check(&[
        loaded("10 M", 10e6, "4.9505"),
        loaded("1 M", 1e6, "4.5455"),
        loaded("200 k", 200e3, "3.3333"),
    ]);
}

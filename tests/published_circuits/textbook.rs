//! Circuits of "Lessons in Electric Circuits", Volume I "DC".

use crate::published::{
    Ask::{self, Amps, Between, Drop, Heat, Sees, Together, Volts},
    Part, Provenance, Published, STIFF, Solved, check, emf, exact, printed, r, within,
};

/// K3: two pairs in parallel, in series across 24 V; `second` is R2.
fn two_pairs(second: f64) -> Vec<Part> {
    vec![
        emf("R1", "0", "middle", 24.0, 100.0),
        emf("R2", "0", "middle", 24.0, second),
        r("R3", "middle", "0", 350.0),
        r("R4", "middle", "0", 200.0),
    ]
}

/// K6, K7: a bridge between the feed and the reference.
fn bridge(volts: f64, [r1, r2, r3, r4, r5]: [f64; 5]) -> Vec<Part> {
    vec![
        emf("R1", "0", "2", volts, r1),
        emf("R2", "0", "3", volts, r2),
        r("R3", "2", "3", r3),
        r("R4", "2", "0", r4),
        r("R5", "3", "0", r5),
    ]
}

/// K5: two batteries seen from the place of their load, with the load or without.
fn two_batteries(load: Option<f64>) -> Vec<Part> {
    let mut parts = vec![
        emf("R1", "0", "load", 28.0, 4.0),
        emf("R3", "0", "load", 7.0, 1.0),
    ];
    parts.extend(load.map(|ohms| r("RL", "load", "0", ohms)));
    parts
}

#[test]
fn dividers() {
    let divider = |volts| {
        vec![
            emf("R1", "0", "a", volts, 5e3),
            r("R2", "a", "b", 10e3),
            r("R3", "b", "0", 7.5e3),
        ]
    };
    let source = "Lessons, chapter 6, divider circuits";
    check(&[
        Published {
            id: "K1",
            source,
            provenance: Provenance::Figure,
            parts: divider(45.0),
            expect: vec![
                (Drop("R1"), exact(10.0)),
                (Drop("R2"), exact(20.0)),
                (Drop("R3"), exact(15.0)),
                (Amps("R3"), exact(2e-3)),
            ],
        },
        Published {
            id: "K2",
            source,
            provenance: Provenance::Figure,
            parts: divider(180.0),
            expect: vec![
                (Drop("R1"), exact(40.0)),
                (Drop("R2"), exact(80.0)),
                (Drop("R3"), exact(60.0)),
                (Amps("R1"), exact(8e-3)),
                (Sees(&["R1"]), exact(22.5e3)),
            ],
        },
        Published {
            id: "K11",
            source: "Lessons, chapter 5, simple series circuits",
            provenance: Provenance::Read,
            parts: vec![
                emf("R1", "0", "a", 9.0, 3e3),
                r("R2", "a", "b", 10e3),
                r("R3", "b", "0", 5e3),
            ],
            expect: vec![
                (Drop("R1"), exact(1.5)),
                (Drop("R2"), exact(5.0)),
                (Drop("R3"), exact(2.5)),
                (Amps("R2"), exact(0.5e-3)),
            ],
        },
    ]);
}

#[test]
fn series_and_parallel() {
    check(&[
        Published {
            id: "K3",
            source: "Lessons, chapter 7, series-parallel circuits",
            provenance: Provenance::Figure,
            parts: two_pairs(250.0),
            expect: vec![
                (Drop("R1"), printed("8.6275")),
                (Drop("R2"), printed("8.6275")),
                (Volts("middle", "0"), printed("15.373")),
                (Amps("R1"), printed("86.275e-3")),
                (Amps("R2"), printed("34.510e-3")),
                (Amps("R3"), printed("43.922e-3")),
                (Amps("R4"), printed("76.863e-3")),
                (Together(&["R1", "R2"]), printed("120.78e-3")),
                (Sees(&["R1", "R2"]), printed("198.70")),
            ],
        },
        // The source feeds the three straight, so it is a stiff one: 14.4 mA over 1 micro-ohm lose 1.6 parts in
        // a billion of the 9 V.
        Published {
            id: "K12",
            source: "Lessons, chapter 5, simple parallel circuits",
            provenance: Provenance::Read,
            parts: vec![
                emf("feed", "0", "a", 9.0, STIFF),
                r("R1", "a", "0", 10e3),
                r("R2", "a", "0", 2e3),
                r("R3", "a", "0", 1e3),
            ],
            expect: vec![
                (Amps("R1"), within(0.9e-3, 2e-9 * 0.9e-3)),
                (Amps("R2"), within(4.5e-3, 2e-9 * 4.5e-3)),
                (Amps("R3"), within(9.0e-3, 2e-9 * 9.0e-3)),
            ],
        },
    ]);
}

/// Source: Lessons, chapter 7, "component failure analysis" (read in text and figure): what each value of K3 does
/// when R2 fails shorted.
#[test]
fn a_shorted_resistor_moves_every_value_the_stated_way() {
    let (whole, failed) = (two_pairs(250.0), two_pairs(STIFF));
    let (whole, failed) = (Solved::new(&whole), Solved::new(&failed));
    let change = |ask: &Ask| failed.answer(ask) - whole.answer(ask);
    let total = ["R1", "R2"].as_slice();
    for (ask, up) in [
        (Drop("R1"), false),
        (Drop("R2"), false),
        (Drop("R3"), true),
        (Drop("R4"), true),
        (Amps("R1"), false),
        (Amps("R2"), true),
        (Amps("R3"), true),
        (Amps("R4"), true),
        (Together(&["R1", "R2"]), true),
        (Sees(&["R1", "R2"]), false),
    ] {
        let change = change(&ask);
        assert!(change.abs() > 1e-3, "K13 {ask:?} changes by {change}");
        assert_eq!(change > 0.0, up, "K13 {ask:?} changes by {change}");
    }
    // The total voltage stays the same.
    for solved in [&whole, &failed] {
        let volts = solved.answer(&Sees(total)) * solved.answer(&Together(total));
        assert!((volts - 24.0).abs() < 1e-9, "K13 total {volts}");
    }
}

#[test]
fn two_sources() {
    let source = "Lessons, chapter 10, DC network analysis";
    let loaded = |id, ohms, expect| Published {
        id,
        source,
        provenance: Provenance::Figure,
        parts: two_batteries(Some(ohms)),
        expect,
    };
    check(&[
        loaded(
            "K4",
            2.0,
            vec![
                (Volts("load", "0"), exact(8.0)),
                (Drop("R1"), exact(20.0)),
                (Drop("RL"), exact(8.0)),
                (Drop("R3"), exact(-1.0)),
                (Amps("R1"), exact(5.0)),
                (Amps("RL"), exact(4.0)),
                // Into the 7 V source.
                (Amps("R3"), exact(-1.0)),
            ],
        ),
        Published {
            id: "K5",
            source,
            provenance: Provenance::Figure,
            parts: two_batteries(None),
            expect: vec![
                (Volts("load", "0"), exact(11.2)),
                (Between("load", "0"), exact(0.8)),
            ],
        },
        loaded("K5 matched", 0.8, vec![(Heat("RL"), exact(39.2))]),
        loaded(
            "K5 half an ohm",
            0.5,
            vec![
                (Amps("RL"), printed("8.615")),
                (Drop("RL"), printed("4.308")),
                (Heat("RL"), printed("37.11")),
            ],
        ),
        loaded(
            "K5 1.1 ohm",
            1.1,
            vec![
                (Amps("RL"), printed("5.895")),
                (Drop("RL"), printed("6.484")),
                (Heat("RL"), printed("38.22")),
            ],
        ),
        // The Norton current is what flows into a short.
        loaded(
            "K5 short",
            STIFF,
            vec![(Amps("RL"), within(14.0, 14.0 * 2.0 * STIFF))],
        ),
        Published {
            id: "K8",
            source,
            provenance: Provenance::Read,
            parts: vec![
                emf("R1", "0", "1", 10.0, 2.0),
                r("R2", "1", "0", 4.0),
                r("R3", "1", "2", 2.5),
                r("R4", "2", "0", 5.0),
                emf("R5", "0", "2", -4.0, 1.0),
            ],
            expect: vec![
                (Volts("1", "0"), printed("3.809524")),
                (Volts("2", "0"), printed("-1.547619")),
            ],
        },
    ]);
}

#[test]
fn bridges() {
    let source =
        "Lessons, chapter 10, DC network analysis; exact: sympy 1.14; ohms: networkx 3.6.1";
    check(&[
        Published {
            id: "K6",
            source,
            provenance: Provenance::Figure,
            parts: bridge(24.0, [150.0, 50.0, 100.0, 300.0, 250.0]),
            expect: vec![
                (Volts("2", "0"), exact(512.0 / 29.0)),
                (Volts("3", "0"), exact(560.0 / 29.0)),
                (Drop("R1"), printed("6.3448")),
                (Drop("R2"), printed("4.6897")),
                (Drop("R3"), printed("-1.6552")),
                (Amps("R1"), printed("42.299e-3")),
                (Amps("R2"), printed("93.793e-3")),
                (Amps("R3"), printed("-16.552e-3")),
                (Amps("R4"), printed("58.851e-3")),
                (Amps("R5"), printed("77.241e-3")),
                (Together(&["R1", "R2"]), printed("0.136092")),
                (Sees(&["R1", "R2"]), printed("176.351351")),
            ],
        },
        Published {
            id: "K7",
            source,
            provenance: Provenance::Read,
            parts: bridge(10.0, [12.0, 18.0, 6.0, 18.0, 12.0]),
            expect: vec![
                (Volts("2", "0"), exact(90.0 / 17.0)),
                (Volts("3", "0"), exact(80.0 / 17.0)),
                (Drop("R1"), printed("4.706")),
                (Drop("R2"), printed("5.294")),
                (Drop("R3"), printed("0.5882")),
                (Drop("R4"), printed("5.294")),
                (Drop("R5"), printed("4.706")),
            ],
        },
    ]);
}

#[test]
fn meters_load_what_they_measure() {
    let source = "Lessons, chapter 8, DC metering circuits";
    let megohms = |meter: Option<f64>| {
        let mut parts = vec![
            emf("upper", "0", "a", 24.0, 250e6),
            r("lower", "a", "0", 250e6),
        ];
        parts.extend(meter.map(|ohms| r("meter", "a", "0", ohms)));
        parts
    };
    check(&[
        Published {
            id: "K9 unloaded",
            source,
            provenance: Provenance::Read,
            parts: megohms(None),
            expect: vec![(Volts("a", "0"), exact(12.0))],
        },
        Published {
            id: "K9",
            source,
            provenance: Provenance::Read,
            parts: megohms(Some(10e6)),
            expect: vec![
                (Volts("a", "0"), printed("0.8889")),
                (Drop("upper"), printed("23.1111")),
                // 250 M in series with 9.615 M.
                (Sees(&["upper"]), printed("259.615e6")),
            ],
        },
        Published {
            id: "K10",
            source,
            provenance: Provenance::Read,
            parts: vec![
                emf("load", "0", "shunt", 12.0, 15e3),
                r("shunt", "shunt", "0", 1.0),
            ],
            expect: vec![(Volts("shunt", "0"), printed("799.9e-6"))],
        },
    ]);
}

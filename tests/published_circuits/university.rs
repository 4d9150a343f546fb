//! Circuits of OpenStax, University Physics Volume 2, chapter 10 "Direct-Current Circuits".

use crate::published::{
    Ask::{AllDeliver, AllHeat, Amps, Between, Delivers, Drop, Heat, Sees, Volts},
    Expected, Part, Provenance, Published, STIFF, check, current, emf, exact, printed, r, within,
};

const SERIES: &str = "University Physics, module m58454, resistors in series and parallel";
const EMF: &str = "University Physics, module m58453, electromotive force";
const KIRCHHOFF: &str = "University Physics, module m58455, Kirchhoff's rules";

fn read(
    id: &'static str,
    source: &'static str,
    parts: Vec<Part>,
    expect: Vec<(crate::published::Ask, Expected)>,
) -> Published {
    Published {
        id,
        source,
        provenance: Provenance::Read,
        parts,
        expect,
    }
}

#[test]
fn series_and_parallel() {
    let nearly = |value: f64| within(value, 1e-5 * value);
    check(&[
        read(
            "O1",
            SERIES,
            vec![
                emf("R1", "0", "a", 9.0, 20.0),
                r("R2", "a", "b", 20.0),
                r("R3", "b", "c", 20.0),
                r("R4", "c", "d", 20.0),
                r("R5", "d", "0", 10.0),
            ],
            vec![
                (Sees(&["R1"]), exact(90.0)),
                (Amps("R5"), exact(0.1)),
                (Drop("R1"), exact(2.0)),
                (Drop("R2"), exact(2.0)),
                (Drop("R3"), exact(2.0)),
                (Drop("R4"), exact(2.0)),
                (Drop("R5"), exact(1.0)),
                (AllHeat, exact(0.9)),
                (AllDeliver, exact(0.9)),
            ],
        ),
        // A stiff source: 6 A over 1 micro-ohm, 2 parts in a million.
        read(
            "O2",
            SERIES,
            vec![
                emf("feed", "0", "a", 3.0, STIFF),
                r("R1", "a", "0", 1.0),
                r("R2", "a", "0", 2.0),
                r("R3", "a", "0", 2.0),
            ],
            vec![
                (Sees(&["feed"]), nearly(0.5)),
                (Amps("feed"), nearly(6.0)),
                (Amps("R1"), nearly(3.0)),
                (Amps("R2"), nearly(1.5)),
                (Amps("R3"), nearly(1.5)),
                (AllDeliver, nearly(18.0)),
            ],
        ),
        read(
            "O3",
            SERIES,
            vec![
                emf("R1", "0", "a", 24.0, 7.0),
                r("R2", "a", "0", 10.0),
                r("R3", "a", "b", 6.0),
                r("R4", "b", "0", 4.0),
            ],
            vec![
                (Sees(&["R1"]), exact(12.0)),
                (Amps("R1"), exact(2.0)),
                (Drop("R1"), exact(14.0)),
                (Drop("R2"), exact(10.0)),
                (Drop("R3"), exact(6.0)),
                (Drop("R4"), exact(4.0)),
                (Heat("R1"), exact(28.0)),
                (Heat("R2"), exact(10.0)),
                (Heat("R3"), exact(6.0)),
                (Heat("R4"), exact(4.0)),
            ],
        ),
        // The source prints 5.10 ohm; 1 + 78/19 is 5.105. Its other numbers follow from the unrounded one.
        read(
            "O4",
            SERIES,
            vec![
                emf("wire", "0", "a", 12.0, 1.0),
                r("R2", "a", "0", 6.0),
                r("R3", "a", "0", 13.0),
            ],
            vec![
                (Sees(&["wire"]), within(5.10, 0.01)),
                (Amps("wire"), printed("2.35")),
                (Drop("wire"), printed("2.35")),
                (Volts("a", "0"), printed("9.65")),
                (Amps("R2"), printed("1.61")),
                (Heat("R2"), printed("15.5")),
            ],
        ),
        read(
            "O5",
            SERIES,
            vec![
                current("source", "0", "a", 2.0),
                r("R1", "a", "b", 10.0),
                r("R2", "b", "c", 10.0),
                r("R3", "c", "0", 10.0),
                r("R4", "c", "0", 10.0),
            ],
            vec![
                (Between("a", "0"), exact(25.0)),
                (Volts("a", "0"), exact(50.0)),
                (Delivers("source"), exact(100.0)),
            ],
        ),
        read(
            "O10 most",
            SERIES,
            vec![
                r("R1", "a", "b", 36.0),
                r("R2", "b", "c", 50.0),
                r("R3", "c", "0", 700.0),
            ],
            vec![(Between("a", "0"), exact(786.0))],
        ),
        read(
            "O10 least",
            SERIES,
            vec![
                r("R1", "a", "0", 36.0),
                r("R2", "a", "0", 50.0),
                r("R3", "a", "0", 700.0),
            ],
            vec![(Between("a", "0"), printed("20.32"))],
        ),
        // A 75 W bulb is 192 ohm at 120 V. The source gives 15 A through the wire; the bulb at the remaining 108 V
        // takes 0.5625 A of it and the motor the rest.
        read(
            "O11",
            SERIES,
            vec![
                emf("wire", "0", "lamp", 120.0, 0.8),
                r("bulb", "lamp", "0", 192.0),
                current("motor", "lamp", "0", 15.0 - 0.5625),
            ],
            vec![
                (Amps("wire"), exact(15.0)),
                (Heat("bulb"), printed("60.8")),
                (Delivers("motor"), within(-1.56e3, 5.0)),
            ],
        ),
    ]);
}

#[test]
fn sources_with_resistance() {
    let battery = |source: f64, load: f64| {
        vec![
            emf("source", "0", "pole", 12.0, source),
            r("load", "pole", "0", load),
        ]
    };
    let cells = |bad: f64| {
        vec![
            emf("cell 1", "0", "a", 1.58, 0.02),
            emf("cell 2", "a", "b", 1.58, 0.02),
            emf("cell 3", "b", "c", 1.58, 0.02),
            emf("cell 4", "c", "d", 1.53, bad),
            r("load", "d", "0", 10.0),
        ]
    };
    check(&[
        // The source goes on with its rounded current: it prints 11.90 V, 12 - 1.188 x 0.1 is 11.881 V.
        read(
            "O6",
            EMF,
            battery(0.1, 10.0),
            vec![
                (Amps("load"), printed("1.188")),
                (Volts("pole", "0"), within(11.90, 0.02)),
            ],
        ),
        read(
            "O6 heavy load",
            EMF,
            battery(0.1, 0.5),
            vec![
                (Amps("load"), exact(20.0)),
                (Volts("pole", "0"), exact(10.0)),
                (Heat("load"), exact(200.0)),
            ],
        ),
        read(
            "O6 weak battery",
            EMF,
            battery(0.5, 0.5),
            vec![
                (Amps("load"), exact(12.0)),
                (Volts("pole", "0"), exact(6.0)),
                (Heat("load"), exact(72.0)),
            ],
        ),
        read(
            "O12",
            KIRCHHOFF,
            cells(0.1),
            vec![
                (Amps("load"), printed("0.617")),
                (Heat("load"), printed("3.81")),
            ],
        ),
        read(
            "O12 bad cell",
            KIRCHHOFF,
            cells(18.0),
            vec![(Heat("load"), within(0.5, 0.005))],
        ),
    ]);
}

#[test]
fn several_sources() {
    // Both orientations of the smaller cell.
    let opposed = |cell: f64| {
        vec![
            r("R1", "a", "b", 2e3),
            emf("R3", "a", "b", cell, 1e3),
            emf("R2", "b", "a", 1.6, 1e3),
            // Nothing flows here: it only says where 0 V is.
            r("reference", "b", "0", 1.0),
        ]
    };
    check(&[
        read(
            "O7",
            KIRCHHOFF,
            vec![
                emf("R1", "0", "b", 24.0, 3.0),
                r("R2", "b", "0", 3.0),
                emf("R3", "0", "b", 29.0, 7.0),
            ],
            vec![
                (Amps("R1"), exact(3.0)),
                (Amps("R2"), exact(5.0)),
                // Printed as -2 A: the source draws the arrow towards the 29 V battery.
                (Amps("R3"), exact(2.0)),
                (AllDeliver, exact(130.0)),
                (AllHeat, exact(130.0)),
            ],
        ),
        // Built from the printed loop equations 3 I1 - 8 I2 = -1.8 and 8 I2 + I3 = 2.9, I1 + I2 = I3.
        read(
            "O8",
            KIRCHHOFF,
            vec![
                emf("R1", "0", "b", 2.9 - 1.8, 3.0),
                emf("R2", "0", "b", 2.9, 8.0),
                r("R3", "b", "0", 1.0),
            ],
            vec![
                (Amps("R1"), exact(0.20)),
                (Amps("R2"), exact(0.30)),
                (Amps("R3"), exact(0.50)),
                (AllHeat, exact(1.09)),
            ],
        ),
        // The equation in the source prints R3 = 10; its figure and the powers say 20.
        Published {
            id: "O9",
            source: KIRCHHOFF,
            provenance: Provenance::Figure,
            parts: vec![
                emf("R1", "0", "a", 24.0, 10.0),
                r("R2", "a", "b", 30.0),
                emf("R3", "b", "0", -12.0, 20.0),
            ],
            expect: vec![
                (Amps("R2"), exact(0.20)),
                (Heat("R1"), exact(0.4)),
                (Heat("R2"), exact(1.2)),
                (Heat("R3"), exact(0.8)),
                (Delivers("R3"), exact(-2.4)),
            ],
        },
        Published {
            id: "O13",
            source: KIRCHHOFF,
            provenance: Provenance::Figure,
            parts: opposed(-1.4),
            expect: vec![
                (Amps("R1"), printed("0.6e-3")),
                (Amps("R2"), printed("0.4e-3")),
                (Amps("R3"), printed("-0.2e-3")),
                (AllHeat, printed("0.92e-3")),
            ],
        },
        Published {
            id: "O13 reversed",
            source: KIRCHHOFF,
            provenance: Provenance::Figure,
            parts: opposed(1.4),
            expect: vec![
                (Amps("R1"), printed("0.04e-3")),
                (Amps("R2"), printed("1.52e-3")),
                // Printed as -1.48 mA, the way the first figure draws the arrow.
                (Amps("R3"), printed("1.48e-3")),
                (AllHeat, printed("4.50e-3")),
            ],
        },
        // The 5 V source holds a node by itself, so it is a stiff one: 2 A over 1 micro-ohm.
        Published {
            id: "O14",
            source: KIRCHHOFF,
            provenance: Provenance::Figure,
            parts: vec![
                emf("R2", "0", "a", 12.0, 3.0),
                r("R1", "a", "0", 4.0),
                r("R3", "a", "b", 2.0),
                emf("V2", "0", "b", 5.0, STIFF),
                r("R4", "b", "0", 2.0),
            ],
            expect: vec![
                (Amps("R1"), within(1.5, 1e-5)),
                (Amps("R2"), within(2.0, 1e-5)),
                (Amps("R3"), within(0.5, 1e-5)),
                (Amps("R4"), within(2.5, 1e-5)),
                (Amps("V2"), within(2.0, 1e-5)),
                (AllDeliver, within(34.0, 1e-4)),
                (AllHeat, within(34.0, 1e-4)),
            ],
        },
    ]);
}

/// Source: University Physics, module m58456, measuring instruments: inputs read there, answers calculated.
#[test]
fn a_cell_under_a_meter() {
    check(&[Published {
        id: "O15",
        source: "University Physics, module m58456, a problem",
        provenance: Provenance::InputsRead,
        parts: vec![
            emf("cell", "0", "pole", 1.585, 0.1),
            r("meter", "pole", "0", 1e3),
        ],
        expect: vec![
            (Amps("meter"), printed("1.58e-3")),
            (Volts("pole", "0"), printed("1.5848")),
        ],
    }]);
}

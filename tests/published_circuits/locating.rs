//! Where along a wire a short sits, from voltage drops.
//!
//! Calculated by hand from the stated inputs; no published worked example was found. 37.1 milliohm per metre is a
//! 0.5 mm2 conductor at 20 °C (maximum of ISO 6722-1, from memory; here only an input).

use pinchpoint::network::{Branch, Factor, Pattern, Port, SmallSystem, port::PORTS};

use crate::published::{
    Ask::{Amps, Drop, Volts},
    Provenance, Published, Solved, check, current, emf, printed, r, within,
};

const PER_METRE: f64 = 0.0371;

/// L8: the same current driven in at either end; the far end takes none, so it shows the voltage of the fault.
#[test]
fn the_ratio_of_two_drops_is_the_ratio_of_two_lengths() {
    let (length, fault) = (6.0, 2.4);
    let amperes = 0.30 / (fault * PER_METRE);
    let drop = |near: &'static str, far: &'static str| {
        let parts = [
            current("test", "0", near, amperes),
            r("left", "A", "fault", fault * PER_METRE),
            r("right", "fault", "B", (length - fault) * PER_METRE),
            r("short", "fault", "0", 2.0),
        ];
        Solved::new(&parts).answer(&Volts(near, far))
    };
    let (from_a, from_b) = (drop("A", "B"), drop("B", "A"));
    assert!((from_a - 0.30).abs() < 1e-12, "{from_a}");
    assert!((from_b - 0.45).abs() < 1e-12, "{from_b}");
    let metres = length * from_a / (from_a + from_b);
    assert!((metres - 2.4).abs() < 1e-9, "{metres}");
}

/// L9 and L10.
#[test]
fn drops_up_to_a_short() {
    check(&[
        Published {
            id: "L9",
            source: "Ohm's law by hand",
            provenance: Provenance::Derived,
            parts: vec![
                current("supply", "0", "near", 0.5),
                r("wire", "near", "fault", 1.35 * PER_METRE),
                r("short", "fault", "0", 1.0),
            ],
            expect: vec![
                (Drop("wire"), within(25.0425e-3, 1e-9)),
                (Volts("near", "fault"), within(25.0425e-3, 1e-9)),
            ],
        },
        Published {
            id: "L10",
            source: "divider rule by hand",
            provenance: Provenance::Derived,
            parts: vec![
                emf("source", "0", "module", 5.0, 47.0),
                r("wire", "module", "fault", 3.0 * PER_METRE),
                r("short", "fault", "0", 2.0),
            ],
            expect: vec![
                (Volts("module", "0"), printed("0.214951")),
                (Volts("fault", "0"), printed("0.203619")),
                (Amps("short"), printed("0.101810")),
            ],
        },
    ]);
}

/// L10 once more with the short as a port part of the way along a longer wire, as the diagnosis does it. What lies
/// beyond the short carries nothing and changes nothing.
#[test]
fn the_same_short_without_a_node_of_its_own() {
    let wire = 7.5 * PER_METRE;
    let (module, end, ground) = (0, 1, 2);
    let branches = [(module, ground), (module, end)].map(|(a, b)| Branch { a, b });
    let pattern = Pattern::new(2, branches.to_vec());
    let factor = Factor::new(&pattern, &[1.0 / 47.0, 1.0 / wire]).expect("nothing floats");
    let mut volts = vec![5.0 / 47.0, 0.0, 0.0];
    factor.solve(&mut volts);
    let x = 3.0 / 7.5;
    let port = Port::along(module, end, x, ground);
    let column = factor.column(&port);
    let mut z = [[0.0; PORTS]; PORTS];
    z[0][0] = port.of(&column);
    let siemens = 1.0 / (2.0 + x * (1.0 - x) * wire);
    let mut y = [0.0; PORTS];
    y[0] = siemens;
    let system = SmallSystem::new(1, &z, &y).expect("solvable");
    let mut across = [0.0; PORTS];
    across[0] = port.of(&volts);
    system.solve(&mut across);
    let amperes = siemens * across[0];
    for (what, answer, expected) in [
        (
            "module pin",
            volts[module] - column[module] * amperes,
            0.214951,
        ),
        (
            "end of the wire",
            volts[end] - column[end] * amperes,
            0.203619,
        ),
        ("at the short", 2.0 * amperes, 0.203619),
        ("current", amperes, 0.101810),
    ] {
        assert!(
            (answer - expected).abs() < 0.5001e-6,
            "{what}: {answer} instead of {expected}"
        );
    }
}

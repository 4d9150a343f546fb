//! Meshes of equal resistors with known resistance between two corners.
//!
//! Source: networkx 3.6.1 `resistance_distance`; the cube and the ladder are classics known from memory as well.

use pinchpoint::network::{Branch, Factor, Pattern, Port};

/// Resistance between two of the nodes 0..=ground of a mesh of 1 ohm resistors; the last node is the reference.
#[track_caller]
fn check(edges: &[(usize, usize)], ground: usize, (a, b): (usize, usize), expected: f64) {
    let branches = edges.iter().map(|&(a, b)| Branch { a, b }).collect();
    let pattern = Pattern::new(ground, branches);
    let factor = Factor::new(&pattern, &vec![1.0; edges.len()]).expect("nothing floats");
    let port = Port::between(a, b);
    let ohms = port.of(&factor.column(&port));
    assert!(
        (ohms - expected).abs() < 1e-12 * expected,
        "{a}-{b}: {ohms} instead of {expected}"
    );
}

/// X1: sections of 1 ohm in series and 1 ohm across, open at the end.
#[test]
fn ladders() {
    for (sections, expected) in [
        (1, 2.0),
        (2, 5.0 / 3.0),
        (3, 13.0 / 8.0),
        (4, 34.0 / 21.0),
        (5, 89.0 / 55.0),
        (6, 233.0 / 144.0),
        (40, f64::midpoint(1.0, 5f64.sqrt())),
    ] {
        let ground = sections + 1;
        let edges: Vec<(usize, usize)> = (0..sections)
            .flat_map(|at| [(at, at + 1), (at + 1, ground)])
            .collect();
        check(&edges, ground, (0, ground), expected);
    }
}

/// X2: corners are numbered by their coordinates in binary.
#[test]
fn cube() {
    let edges: Vec<(usize, usize)> = (0..8_usize)
        .flat_map(|corner| [1, 2, 4].map(|axis| (corner, corner ^ axis)))
        .filter(|(a, b)| a < b)
        .collect();
    assert_eq!(edges.len(), 12);
    for corner in 0..8 {
        check(&edges, 7, (corner, corner ^ 1), 7.0 / 12.0);
        check(&edges, 7, (corner, corner ^ 3), 3.0 / 4.0);
        check(&edges, 7, (corner, corner ^ 7), 5.0 / 6.0);
    }
}

/// X3.
#[test]
fn ring_clique_and_path() {
    let ring: Vec<(usize, usize)> = (0..6).map(|at| (at, (at + 1) % 6)).collect();
    let clique: Vec<(usize, usize)> = (0..5)
        .flat_map(|a| (a + 1..5).map(move |b| (a, b)))
        .collect();
    let path: Vec<(usize, usize)> = (0..4).map(|at| (at, at + 1)).collect();
    for at in 0..6 {
        check(&ring, 5, (at, (at + 3) % 6), 1.5);
    }
    for &pair in &clique {
        check(&clique, 4, pair, 0.4);
    }
    check(&path, 4, (0, 4), 4.0);
}

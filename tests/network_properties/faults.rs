//! Faults attached as ports against the same faults drawn into the network with nodes of their own.

use pinchpoint::network::{Branch, Factor, Pattern, Port, SmallSystem, port::PORTS};
use proptest::{collection::vec, prelude::*};

use crate::random::{Network, networks};

/// Where a short sits.
#[derive(Clone, Copy, Debug, PartialEq)]
enum End {
    Node(usize),
    /// At a fraction of a branch, counted from its node `a`.
    Along(usize, f64),
}

#[derive(Clone, Copy, Debug)]
enum Fault {
    /// A resistance between two places.
    Short(End, End, f64),
    /// A branch whose conductance is multiplied.
    Changed(usize, f64),
}

/// A place as drawn: a node or not, fraction of the list, fraction along the branch.
type Place = (bool, f64, f64);

/// A fault as drawn: changed or short, two places, a power of ten.
type Drawn = (bool, Place, Place, f64);

fn place() -> impl Strategy<Value = Place> {
    (any::<bool>(), 0.0..1.0, 0.01..0.99)
}

fn faults(count: std::ops::RangeInclusive<usize>) -> impl Strategy<Value = Vec<Drawn>> {
    vec(
        (prop::bool::weighted(0.3), place(), place(), 0.0..1.0),
        count,
    )
}

/// Fits drawn faults to a network. Left out are those that touch what another one changes, and places less than a
/// hundredth of a branch apart, which would ask for a piece of no length.
fn fit(network: &Network, drawn: &[Drawn]) -> Vec<Fault> {
    let mut changed: Vec<usize> = Vec::new();
    let mut taken: Vec<(usize, f64)> = Vec::new();
    let mut fitted = Vec::new();
    for &(is_changed, one, two, size) in drawn {
        let branch = |fraction: f64| (fraction * network.branches.len() as f64) as usize;
        if is_changed {
            let branch = branch(one.1);
            if !changed.contains(&branch) && taken.iter().all(|&(other, _)| other != branch) {
                changed.push(branch);
                fitted.push(Fault::Changed(branch, 10f64.powf(6.0 * size - 3.0)));
            }
            continue;
        }
        let end = |(is_node, fraction, x): Place| {
            if is_node {
                End::Node((fraction * (network.nodes + 1) as f64) as usize)
            } else {
                End::Along(branch(fraction), x)
            }
        };
        let ends = [end(one), end(two)];
        let mut places = taken.clone();
        let free = ends.iter().all(|&end| match end {
            End::Node(_) => true,
            End::Along(branch, x) => {
                let free = !changed.contains(&branch)
                    && places
                        .iter()
                        .all(|&(other, at)| other != branch || (at - x).abs() > 0.01);
                places.push((branch, x));
                free
            }
        });
        if free {
            taken = places;
            let ohms = 10f64.powf(7.0 * size - 2.0);
            fitted.push(Fault::Short(ends[0], ends[1], ohms));
        }
    }
    fitted
}

/// The network with every fault drawn in. The voltages of its first nodes are those of the network's nodes.
fn drawn_out(network: &Network, faults: &[Fault]) -> Vec<f64> {
    let mut places: Vec<(usize, f64)> = Vec::new();
    let mut siemens = network.siemens.clone();
    for fault in faults {
        match *fault {
            Fault::Changed(branch, factor) => siemens[branch] *= factor,
            Fault::Short(one, two, _) => {
                for end in [one, two] {
                    if let End::Along(branch, x) = end {
                        places.push((branch, x));
                    }
                }
            }
        }
    }
    places.sort_by(|one, two| one.0.cmp(&two.0).then(one.1.total_cmp(&two.1)));
    let ground = network.nodes + places.len();
    let moved = |node: usize| if node == network.nodes { ground } else { node };
    let (mut branches, mut pieces) = (Vec::new(), Vec::new());
    for (index, branch) in network.branches.iter().enumerate() {
        let (mut from, mut from_x) = (moved(branch.a), 0.0);
        for (number, &(_, x)) in places.iter().enumerate().filter(|(_, p)| p.0 == index) {
            let place = network.nodes + number;
            branches.push(Branch { a: from, b: place });
            pieces.push(siemens[index] / (x - from_x));
            (from, from_x) = (place, x);
        }
        branches.push(Branch {
            a: from,
            b: moved(branch.b),
        });
        pieces.push(siemens[index] / (1.0 - from_x));
    }
    let node_of = |end: End| match end {
        End::Node(node) => moved(node),
        End::Along(branch, x) => {
            let found = places.iter().position(|&place| place == (branch, x));
            network.nodes + found.expect("every place has a node")
        }
    };
    for fault in faults {
        if let Fault::Short(one, two, ohms) = *fault {
            branches.push(Branch {
                a: node_of(one),
                b: node_of(two),
            });
            pieces.push(1.0 / ohms);
        }
    }
    let mut amperes = network.amperes[..network.nodes].to_vec();
    amperes.resize(ground + 1, 0.0);
    let drawn = Network {
        nodes: ground,
        branches,
        siemens: pieces,
        amperes,
    };
    let mut volts = drawn.volts();
    volts.truncate(network.nodes);
    volts.push(0.0);
    volts
}

fn port_of(network: &Network, fault: &Fault) -> Port {
    let ends = |branch: usize| (network.branches[branch].a, network.branches[branch].b);
    match *fault {
        Fault::Changed(branch, _) => Port::between(ends(branch).0, ends(branch).1),
        Fault::Short(End::Node(a), End::Node(b), _) => Port::between(a, b),
        Fault::Short(End::Along(branch, x), End::Node(to), _)
        | Fault::Short(End::Node(to), End::Along(branch, x), _) => {
            Port::along(ends(branch).0, ends(branch).1, x, to)
        }
        Fault::Short(End::Along(one, x), End::Along(two, y), _) => {
            let ((a, b), (c, d)) = (ends(one), ends(two));
            Port::along_both((a, b, x), (c, d, y))
        }
    }
}

/// Ohms between the places of two faults inside the branches themselves: min (1 − max) r for two places on one
/// branch, which for a place with itself is x (1 − x) r.
fn inside(network: &Network, one: &Fault, two: &Fault) -> f64 {
    // The port's positive end is the first place along a branch.
    let places = |fault: &Fault| match *fault {
        Fault::Short(End::Along(b, x), End::Along(c, y), _) => {
            [Some((b, x, 1.0)), Some((c, y, -1.0))]
        }
        Fault::Short(End::Along(b, x), _, _) | Fault::Short(_, End::Along(b, x), _) => {
            [Some((b, x, 1.0)), None]
        }
        _ => [None, None],
    };
    let mut ohms = 0.0;
    for (b, x, sign_x) in places(one).into_iter().flatten() {
        for (c, y, sign_y) in places(two).into_iter().flatten() {
            if b == c {
                ohms += sign_x * sign_y * x.min(y) * (1.0 - x.max(y)) / network.siemens[b];
            }
        }
    }
    ohms
}

/// The same by ports; the network itself is factorised as it is.
fn by_ports(network: &Network, faults: &[Fault]) -> Vec<f64> {
    let pattern = Pattern::new(network.nodes, network.branches.clone());
    let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
    let mut volts = network.amperes.clone();
    factor.solve(&mut volts);
    let ports: Vec<Port> = faults.iter().map(|fault| port_of(network, fault)).collect();
    let columns: Vec<Vec<f64>> = ports.iter().map(|port| factor.column(port)).collect();
    let (mut z, mut y, mut u) = ([[0.0; PORTS]; PORTS], [0.0; PORTS], [0.0; PORTS]);
    for (i, fault) in faults.iter().enumerate() {
        for (j, other) in faults.iter().enumerate() {
            z[i][j] = ports[i].of(&columns[j]) + inside(network, fault, other);
        }
        y[i] = match *fault {
            Fault::Changed(branch, factor) => network.siemens[branch] * (factor - 1.0),
            Fault::Short(.., ohms) => 1.0 / ohms,
        };
        u[i] = ports[i].of(&volts);
    }
    let system = SmallSystem::new(faults.len(), &z, &y).expect("faults of these sizes are regular");
    system.solve(&mut u);
    for (i, column) in columns.iter().enumerate() {
        for (volts, z) in volts.iter_mut().zip(column) {
            *volts -= z * y[i] * u[i];
        }
    }
    volts
}

/// Relative 1e-9 of every voltage that the faults leave above a ten-thousandth of what the node had: what is shorted
/// away is the difference of two large numbers. A node that had nothing gets its volts from nodes that had some, so its
/// rounding is theirs: a hundred-trillionth of the largest.
fn compare(network: &Network, faults: &[Fault]) -> Result<(), TestCaseError> {
    let healthy = network.volts();
    let (ports, drawn) = (by_ports(network, faults), drawn_out(network, faults));
    let most = healthy.iter().copied().fold(0.0, f64::max);
    for node in 0..network.nodes {
        let scale = drawn[node].max(1e-4 * healthy[node]);
        prop_assert!(
            (ports[node] - drawn[node]).abs() <= 1e-9 * scale + 1e-14 * most,
            "node {}: {} V by ports, {} V drawn out, {} V healthy, {:?}",
            node,
            ports[node],
            drawn[node],
            healthy[node],
            faults
        );
    }
    Ok(())
}

const DECADES: (f64, f64) = (-3.0, 3.0);

/// 1 + z y cannot tell "nothing left" from rounding, so it does not pretend to.
#[test]
fn what_the_ports_tear_off_is_refused() {
    let branches = [(0, 2), (0, 1)].map(|(a, b)| Branch { a, b });
    let pattern = Pattern::new(2, branches.to_vec());
    let factor = Factor::new(&pattern, &[1.0, 4.0]).expect("nothing floats");
    let port = Port::between(0, 1);
    let (mut z, mut y) = ([[0.0; PORTS]; PORTS], [0.0; PORTS]);
    z[0][0] = port.of(&factor.column(&port));
    y[0] = -4.0;
    assert!(SmallSystem::new(1, &z, &y).is_none());
}

/// Two pins joined by 0.1 ohm hang on insulation, one is shorted to ground by 1 ohm: an ohmmeter at the other reads
/// 1.1 ohm, to the stated part of the insulation's ohms.
#[test]
fn a_short_on_a_part_that_hangs_on_insulation() {
    let ground = 2;
    let branches = [(0, 1), (0, ground), (1, ground)].map(|(a, b)| Branch { a, b });
    let pattern = Pattern::new(2, branches.to_vec());
    for leak in [1e-6, 1e-9, 1e-12] {
        let factor = Factor::new(&pattern, &[10.0, leak, leak]).expect("nothing floats");
        let [meter, short] = [0, 1].map(|node| factor.column(&Port::between(node, ground)));
        let (mut z, mut y, mut u) = ([[0.0; PORTS]; PORTS], [0.0; PORTS], [0.0; PORTS]);
        z[0][0] = short[1];
        y[0] = 1.0;
        u[0] = meter[1];
        let system = SmallSystem::new(1, &z, &y).expect("regular");
        system.solve(&mut u);
        let ohms = meter[0] - short[0] * y[0] * u[0];
        // The insulation itself takes 2.21 ohm2 times its conductance off.
        let error = (ohms - (1.1 - 2.21 * leak)).abs();
        assert!(error <= 1e-15 * meter[0] + 1e-11, "{leak} S: {ohms} ohm");
    }
}

proptest! {
    #[test]
    fn one_fault_by_its_port_is_the_fault_drawn_out(
        network in networks(30, DECADES),
        drawn in faults(1..=1),
    ) {
        let faults = fit(&network, &drawn);
        compare(&network, &faults)?;
    }

    #[test]
    fn several_faults_by_their_ports_are_the_faults_drawn_out(
        network in networks(30, DECADES),
        drawn in faults(2..=PORTS),
    ) {
        let faults = fit(&network, &drawn);
        compare(&network, &faults)?;
    }

    /// Taking conductance away is a subtraction: of a branch of which nearly nothing is left, digits are lost by the
    /// factor 1 + z y, and no more than that.
    #[test]
    fn an_opened_branch_costs_the_stated_digits(
        network in networks(30, DECADES),
        fraction in 0.0..1.0,
        left in -12.0..0.0,
    ) {
        let index = (fraction * network.branches.len() as f64) as usize;
        let faults = [Fault::Changed(index, 10f64.powf(left))];
        let pattern = network.pattern();
        let factor = Factor::new(&pattern, &network.siemens).expect("nothing floats");
        let port = port_of(&network, &faults[0]);
        let z = port.of(&factor.column(&port));
        let kept = 1.0 - z * network.siemens[index] * (1.0 - 10f64.powf(left));
        let (ports, drawn) = (by_ports(&network, &faults), drawn_out(&network, &faults));
        let top = drawn.iter().copied().fold(0.0, f64::max);
        for (by_port, drawn) in ports.into_iter().zip(drawn) {
            let error = (by_port - drawn).abs() / top;
            prop_assert!(error <= 1e-13 / kept, "{} V and {} V, {} kept", by_port, drawn, kept);
        }
    }
}
